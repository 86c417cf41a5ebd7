"""Cutting characters out of a file and setting others in, so that every other line stays as it was."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.rig.telling import refuse, short
from ohmwright.working import FileError, Position
from ohmwright.working import tree as t
from ohmwright.working.pieces import read_again


@dataclass(frozen=True, slots=True)
class Splice:
    """Characters `start` to `end` give way to `text`."""

    start: int
    end: int
    text: str


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """The text with all splices done; they must not overlap."""
    out: list[str] = []
    done = 0
    for s in sorted(splices, key=lambda s: (s.start, s.end)):
        out += [text[done : s.start], s.text]
        done = s.end
    return "".join([*out, text[done:]])


@lru_cache(maxsize=4)
def tree_of(text: str, file: str) -> t.Tree:
    """The tree of a text; an edit reads its own text back, and whoever asked for it reads it a third time."""
    return read_again(text, file)


def root_of(text: str, file: str) -> t.Mapping:
    """The tree of a rig file."""
    tree = tree_of(text, file)
    if not isinstance(tree, t.Mapping):
        refuse(tree.at, "a rig file is a map of sections", "write ohmwright: 1 in its first line")
    return tree


def as_scalar(value: str, at: Position) -> str:
    """`value` as it must be written to be read back as the same text: plain where that is enough, else quoted."""
    if (
        "\n" in value
        or "\r" in value
        or any(ord(c) < 32 or ord(c) in (0x7F, 0x85, 0x2028, 0x2029) for c in value)
    ):
        refuse(at, "a value with a line break or a control character", "write it in one line")
    if len(value) > 2000:
        refuse(at, f"a value of {len(value)} characters", "write a shorter one")
    ways = (value, "'" + value.replace("'", "''") + "'")
    written = next((w for w in ways if _reads_back(w, value)), None)
    if written is None:
        refuse(at, f"'{short(value)}' cannot be written into the file", "write plain words")
    return written


def _reads_back(written: str, value: str) -> bool:
    if not written or written != written.strip():
        return False
    try:
        tree = t.read_tree(f"- {{k: {written}, z: {written}}}\n")
    except FileError:
        return False
    if not isinstance(tree, t.Sequence) or len(tree.items) != 1:
        return False
    item = tree.items[0]
    if not isinstance(item, t.Mapping) or list(item.entries) != ["k", "z"]:
        return False
    return all(isinstance(e.value, t.Scalar) and e.value.text == value for e in item.entries.values())


def as_flow(value: str) -> t.Tree | None:
    """The map or list that a value in one line says, or None."""
    if not value.startswith(("{", "[")) or "\n" in value or "#" in value:
        return None
    try:
        tree = t.read_tree(f"k: {value}\n")
    except FileError:
        return None
    found = tree.get("k") if isinstance(tree, t.Mapping) else None
    return found if isinstance(found, t.Mapping | t.Sequence) else None


def span(text: str, tree: t.Tree) -> tuple[int, int]:
    """First and last character of a value that can be replaced in its line: a scalar, or a map in braces."""
    start, end = tree.at.offset, tree.at.end
    if isinstance(tree, t.Scalar):
        if not tree.plain and text[start : start + 1] not in ("'", '"'):
            refuse(tree.at, "a text in a block of lines", "change it in the file")
        return start, end
    if text[start : start + 1] not in ("{", "["):
        refuse(tree.at, "a map of several lines", "name one value in it, or change it in the file")
    return start, end


def last_character(text: str, tree: t.Tree) -> int:
    """Just behind the last character that belongs to a value, without the blank and comment lines after it."""
    if isinstance(tree, t.Mapping) and tree.entries and text[tree.at.offset] != "{":
        return last_character(text, list(tree.entries.values())[-1].value)
    if isinstance(tree, t.Sequence) and tree.items and text[tree.at.offset] != "[":
        return last_character(text, tree.items[-1])
    end = tree.at.end
    while end > tree.at.offset and text[end - 1] in " \t\n":
        end -= 1
    return end


def insert_key(text: str, parent: t.Mapping, key: str, written: str) -> Splice:
    """A new key of a map: before the closing brace, or on one new line after the last sibling."""
    entry = f"{key}: {written}"
    if text[parent.at.offset : parent.at.offset + 1] == "{":
        if not parent.entries:
            return Splice(parent.at.offset + 1, parent.at.offset + 1, entry)
        here = last_character(text, list(parent.entries.values())[-1].value)
        return Splice(here, here, f", {entry}")
    siblings = list(parent.entries.values())
    column = siblings[0].key.at.column - 1
    here = last_character(text, siblings[-1].value)
    line_end = text.find("\n", here)
    if line_end < 0:
        return Splice(len(text), len(text), f"\n{' ' * column}{entry}")
    return Splice(line_end, line_end, f"\n{' ' * column}{entry}")


def insert_lines(text: str, parent: t.Tree, keys: list[str], written: str) -> Splice:
    """New keys below each other, the last with its value: into an empty place, or behind the last sibling."""
    if isinstance(parent, t.Mapping) and parent.entries:
        siblings = list(parent.entries.values())
        column, here = siblings[0].key.at.column - 1, last_character(text, siblings[-1].value)
    else:
        here = parent.at.offset
        start = text.rfind("\n", 0, here) + 1
        column = len(text[start:here]) - len(text[start:here].lstrip(" ")) + 2
    end = text.find("\n", here)
    end = len(text) if end < 0 else end
    lines = [f"{' ' * (column + 2 * n)}{key}:" for n, key in enumerate(keys)]
    return Splice(end, end, "\n" + "\n".join(lines) + f" {written}")
