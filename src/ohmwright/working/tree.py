"""Text-only YAML: every scalar is text with its place in the file, until the model types it.

Refused, each with line and column: duplicate keys, tags, anchors and aliases, merge keys, more than one
document, files above the limits.  Parsing is libyaml's; what is kept of it is our own tree.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

import yaml

from ohmwright.working.errors import FileError, Position
from ohmwright.working.quickly import quickly_made

MAX_CHARACTERS = 2_000_000
MAX_DEPTH = 40
MAX_NODES = 200_000
MAX_SCALAR = 20_000


@quickly_made
@dataclass(frozen=True, slots=True)
class Scalar:
    """A piece of text. `plain` is False when it was quoted or a block."""

    text: str
    at: Position
    plain: bool = True


@quickly_made
@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: "tuple[Tree, ...]"
    at: Position


@quickly_made
@dataclass(frozen=True, slots=True)
class Entry:
    """A key and what stands behind it."""

    key: Scalar
    value: "Tree"


@quickly_made
@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys in file order."""

    entries: dict[str, Entry]
    at: Position

    def get(self, key: str) -> "Tree | None":
        """What stands behind `key`, or None."""
        entry = self.entries.get(key)
        return entry.value if entry else None

    def __iter__(self) -> Iterator[str]:
        return iter(self.entries)

    def __len__(self) -> int:
        return len(self.entries)

    def __contains__(self, key: str) -> bool:
        return key in self.entries


Tree: TypeAlias = Scalar | Sequence | Mapping

_OPEN_COMMENT = re.compile(r"(?:^|\s)#[^\n'\"]*\Z")
_SUSPICIOUS = re.compile(r"(?:^|[\s\[{,:-])[&*!]|<<\s*:|^[ \t]*[-?][ \t]+[-?][ \t]", re.MULTILINE)
#: Control characters, line breaks that editors do not show, halves of surrogate pairs: nothing a person typed.
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff\ud800-\udfff]")


@dataclass(slots=True)
class _Reading:
    """What is read, and where it stands when it is a piece of a file."""

    file: str
    line: int = 1
    column: int = 1
    offset: int = 0
    nodes: int = 0


def read_tree(text: str, file: str = "") -> Tree:
    """The tree of a YAML text, or a FileError that says where and what to write."""
    refuse_text(text, file)
    try:
        if _SUSPICIOUS.search(text) or _deep(text):
            _walk_events(text, file)
        node = _composed(text)
    except yaml.MarkedYAMLError as error:
        raise _told(error, file, text) from None
    except yaml.YAMLError as error:
        raise FileError(
            str(error).splitlines()[0], at=Position(file, 1, 1), remedy="write the file as UTF-8 text"
        ) from None
    if node is None:
        raise FileError(
            "the file is empty", at=Position(file, 1, 1), remedy="write ohmwright: 1 in its first line"
        )
    return _build(node, _Reading(file), 0)


def read_piece(text: str, file: str, line: int, column: int, offset: int, depth: int) -> Tree | None:
    """The tree of a piece of a file that begins there; None where only the whole file tells what it is."""
    if _SUSPICIOUS.search(text) or _deep(text):
        return None
    try:
        node = _composed(text)
        return None if node is None else _build(node, _Reading(file, line, column, offset), depth)
    except (yaml.YAMLError, FileError):
        return None


def refuse_text(text: str, file: str) -> None:
    """Refuse what can be told without reading: too much of it, no text, cut short."""
    if len(text) > MAX_CHARACTERS:
        raise FileError(
            f"the file has {len(text)} characters, more than {MAX_CHARACTERS}",
            at=Position(file, 1, 1),
            remedy="write one rig a file; logs and photographs belong in their own files",
        )
    if text.startswith("\ufeff"):
        raise FileError(
            "a byte order mark before the text",
            at=Position(file, 1, 1),
            remedy="save the file as UTF-8 without a byte order mark",
        )
    if (bad := _NO_TEXT.search(text)) is not None:
        at = _place(file, text, bad.start())
        raise FileError(
            f"a character that is no text (U+{ord(bad[0]):04X})",
            at=at,
            remedy="delete it and write the file as UTF-8 text",
        )
    if not text.endswith("\n") and _OPEN_COMMENT.search(text[text.rfind("\n") + 1 :]):
        raise FileError(
            "the file ends in the middle of a comment",
            at=_place(file, text, len(text) - 1),
            remedy="the file was cut short: write the missing rest, or end the line",
        )
    if text.count(",") + text.count("\n") + text.count(": ") > MAX_NODES:
        raise _too_much(Position(file, 1, 1))


def _composed(text: str) -> yaml.Node | None:
    loader = yaml.CBaseLoader(text)
    try:
        node: yaml.Node | None = loader.get_single_node()
        return node
    finally:
        loader.dispose()


def _too_much(at: Position) -> FileError:
    return FileError(
        "the file holds more than a rig can need",
        at=at,
        remedy=f"write at most {MAX_NODES} entries, {MAX_DEPTH} levels deep",
    )


def _told(error: yaml.MarkedYAMLError, file: str, text: str) -> FileError:
    mark = error.problem_mark or error.context_mark
    index = mark.index if mark else 0
    problem = (error.problem or "this is not YAML").removeprefix("while ")
    remedy = "look at the brackets, colons and indents just before this place"
    if mark is not None and text[index:].strip() == "":
        problem = f"the file ends in the middle of something ({problem})"
        remedy = "the file was cut short: write the missing rest"
        index = len(text.rstrip())
    if "expected a single document" in (error.context or ""):
        problem, remedy = "a second document begins here", "write one rig a file, without ---"
    if "tab" in problem or "'\\t'" in problem or "cannot start any token" in problem:
        remedy = "write spaces, not tabs, and quote a text that begins with @ ` or %"
    return FileError(problem, at=_place(file, text, index), remedy=remedy)


def _place(file: str, text: str, index: int) -> Position:
    return Position(file, text.count("\n", 0, index) + 1, index - text.rfind("\n", 0, index), index)


def _deep(text: str) -> bool:
    depth = deepest = 0
    for c in re.findall(r"[\[\]{}]", text):
        depth += 1 if c in "[{" else -1
        deepest = max(deepest, depth)
    indent = max((len(s) for s in re.findall(r"^ +", text, re.MULTILINE)), default=0)
    return deepest > MAX_DEPTH // 2 or indent > MAX_DEPTH


def _walk_events(text: str, file: str) -> None:
    """Refuse anchors, aliases and depth before any tree is built: events do not recurse."""
    depth = 0
    for event in yaml.parse(text, Loader=yaml.CBaseLoader):
        mark: Any = event.start_mark
        at = Position(file, mark.line + 1, mark.column + 1, mark.index)
        if isinstance(event, yaml.AliasEvent):
            raise FileError(
                f"an alias *{event.anchor}",
                at=at,
                remedy="write the text out again; a rig file has no aliases",
            )
        if anchor := getattr(event, "anchor", None):
            raise FileError(
                f"an anchor &{anchor}", at=at, remedy="leave the anchor out; to begin a text with & quote it"
            )
        if tag := getattr(event, "tag", None):
            raise FileError(
                f"a tag {tag}", at=at, remedy="leave the tag out; to begin a text with ! quote it"
            )
        if isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            depth += 1
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            depth -= 1
        if depth > MAX_DEPTH:
            raise FileError(f"more than {MAX_DEPTH} levels deep", at=at, remedy="write it flatter")


def _build(node: yaml.Node, reading: _Reading, depth: int) -> Tree:
    mark, end = node.start_mark, node.end_mark
    at = Position(
        reading.file,
        mark.line + reading.line,
        mark.column + (1 if mark.line else reading.column),
        mark.index + reading.offset,
        end.index + reading.offset,
    )
    reading.nodes += 1
    if reading.nodes > MAX_NODES or depth > MAX_DEPTH:
        raise _too_much(at)
    if isinstance(node, yaml.ScalarNode):
        if len(node.value) > MAX_SCALAR:
            raise FileError(
                f"a text of {len(node.value)} characters", at=at, remedy=f"write at most {MAX_SCALAR}"
            )
        if not node.value.isprintable() and (bad := _NO_TEXT.search(node.value)) is not None:
            raise FileError(
                f"a character that is no text (U+{ord(bad[0]):04X})",
                at=at,
                remedy="write printable characters only",
            )
        return Scalar(node.value, at, not node.style)
    if isinstance(node, yaml.SequenceNode):
        return Sequence(tuple(_build(n, reading, depth + 1) for n in node.value), at)
    entries: dict[str, Entry] = {}
    for key_node, value_node in node.value:
        key = _build(key_node, reading, depth + 1)
        if not isinstance(key, Scalar) or not key.text:
            raise FileError("a key that is no word", at=key.at, remedy="write a plain word before the colon")
        if key.text == "<<" and key.plain:
            raise FileError("a merge key <<", at=key.at, remedy="write the entries out again")
        if key.text in entries:
            first = entries[key.text].key.at
            raise FileError(
                f"'{key.text}' stands twice (first in line {first.line})",
                at=key.at,
                remedy="write it once",
                text=key.text,
            )
        entries[key.text] = Entry(key, _build(value_node, reading, depth + 1))
    return Mapping(entries, at)
