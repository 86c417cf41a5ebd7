"""A file read again after an edit: an entry that stands as it stood is not parsed again.

A file is cut where a key stands first in its line, and large sections again where their own keys do.  Such a piece says
alone what it says within the file: where it would not, it cannot be read alone (an open bracket or quote), and the file
is read whole.  So is everything that is to be refused, so that a mistake is told in one way.
"""

import re
from functools import lru_cache

from ohmwright.working.errors import Position
from ohmwright.working.tree import (
    MAX_NODES,
    Entry,
    Mapping,
    Scalar,
    Sequence,
    Tree,
    read_piece,
    read_tree,
    refuse_text,
)

#: Pieces of this many characters are cut once more.
LARGE = 400
MOST_KEPT = 20_000
_KEY = re.compile(r"([A-Za-z][\w.-]*):(?=[ \n])")
_ALONE = re.compile(r"[A-Za-z][\w.-]*:[ ]*(?:#[^\n]*)?\n")
_FIRST = re.compile(r"^( *)(?=[^ \n#])", re.MULTILINE)

#: Pieces by file, column, depth and text: line and offset of the last one, and its entry.
_KEPT: dict[tuple[str, int, int, str], tuple[int, int, Entry]] = {}


class _WholeError(Exception):
    """Only the whole file tells what it is."""


def read_again(text: str, file: str = "") -> Tree:
    """As `read_tree`, with what has been read of the file before."""
    refuse_text(text, file)
    if 4 * (text.count(",") + text.count("\n") + text.count(": ")) > MAX_NODES:
        return read_tree(text, file)
    if len(_KEPT) > MOST_KEPT:
        _KEPT.clear()
    try:
        return _level(text, file, 0, len(text), 0, 0, 1)
    except _WholeError:
        return read_tree(text, file)


def _level(text: str, file: str, start: int, stop: int, column: int, depth: int, line: int) -> Mapping:
    """The keys that stand in a column between two places, each with its piece."""
    cuts = [m.end() for m in _up_to(column).finditer(text, start, stop)]
    if not cuts:
        raise _WholeError
    entries: dict[str, Entry] = {}
    line += text.count("\n", start, cuts[0])
    first = line
    for at, end in zip(cuts, (*cuts[1:], stop), strict=True):
        key = _KEY.match(text, at)
        if key is None or text.rfind("\n", 0, at) + 1 + column != at or key[1] in entries:
            raise _WholeError
        entries[key[1]] = _entry(text, file, at, end, column, depth, line)
        line += text.count("\n", at, end)
    return Mapping(entries, Position(file, first, column + 1, cuts[0], stop))


def _entry(text: str, file: str, at: int, end: int, column: int, depth: int, line: int) -> Entry:
    piece = text[at:end]
    kept = _KEPT.get((file, column, depth, piece))
    if kept is None:
        entry = _read(text, file, at, end, column, depth, line)
    elif kept[:2] == (line, at):
        return kept[2]
    else:
        entry = _entry_moved(kept[2], line - kept[0], at - kept[1])
    _KEPT[file, column, depth, piece] = line, at, entry
    return entry


def _read(text: str, file: str, at: int, end: int, column: int, depth: int, line: int) -> Entry:
    head = _ALONE.match(text, at, end) if end - at > LARGE else None
    inner = _FIRST.search(text, head.end(), end) if head is not None else None
    if head is not None and inner is not None and len(inner[1]) > column and _KEY.match(text, inner.end()):
        name = head[0].partition(":")[0]
        key = Scalar(name, Position(file, line, column + 1, at, at + len(name)))
        return Entry(key, _level(text, file, head.end(), end, len(inner[1]), depth + 1, line + 1))
    tree = read_piece(text[at:end], file, line, column + 1, at, depth)
    if not isinstance(tree, Mapping) or len(tree) != 1:
        raise _WholeError
    return next(iter(tree.entries.values()))


@lru_cache(maxsize=64)
def _up_to(column: int) -> re.Pattern[str]:
    """The indent of a line that begins in a column or before it, other than a comment."""
    return re.compile(rf"^ {{0,{column}}}(?=[^ \n#])", re.MULTILINE)


def _entry_moved(entry: Entry, lines: int, characters: int) -> Entry:
    """The same entry further down or up in the file."""
    key = _moved(entry.key, lines, characters)
    assert isinstance(key, Scalar)
    return Entry(key, _moved(entry.value, lines, characters))


def _moved(tree: Tree, lines: int, characters: int) -> Tree:
    at = tree.at
    here = Position(at.file, at.line + lines, at.column, at.offset + characters, at.end + characters)
    if isinstance(tree, Scalar):
        return Scalar(tree.text, here, tree.plain)
    if isinstance(tree, Sequence):
        return Sequence(tuple([_moved(t, lines, characters) for t in tree.items]), here)
    return Mapping({k: _entry_moved(e, lines, characters) for k, e in tree.entries.items()}, here)
