"""Adding an entry to a list or section of a rig file, and taking one out; every other line stays as it was."""

from collections.abc import Mapping as Words

from ohmwright.rig import shape
from ohmwright.rig.splice import Splice, as_scalar, last_character, root_of, spliced
from ohmwright.rig.telling import refuse, short
from ohmwright.working import Position
from ohmwright.working import tree as t


def flow(entry: Words[str, str | list[str]], at: Position) -> str:
    """An entry in braces, in one line; what is empty is left out."""
    told = []
    for key, value in entry.items():
        if isinstance(value, list):
            words = [as_scalar(v, at) for v in value if v]
            if words:
                told.append(f"{key}: [{', '.join(words)}]")
        elif value.strip():
            told.append(f"{key}: {as_scalar(value.strip(), at)}")
    return "{" + ", ".join(told) + "}"


def add_entry(text: str, file: str, path: tuple[str, ...], entry: Words[str, str | list[str]]) -> str:
    """The text with one more entry at the end of the list at `path` (`("overrides",)`, `("use", "stays")`)."""
    root = root_of(text, file)
    at = Position(file, 1, 1)
    written = flow(entry, at)
    return spliced(text, [_appended(text, root, path, written, at)])


def _appended(text: str, root: t.Mapping, path: tuple[str, ...], written: str, at: Position) -> Splice:
    if path[0] not in shape.SECTIONS:
        refuse(at, f"'{short(path[0])}' is no section", "name a section of the file", path[0])
    tree: t.Tree = root
    for n, key in enumerate(path):
        found = tree.get(key) if isinstance(tree, t.Mapping) else None
        if found is None or (isinstance(found, t.Scalar) and not found.text):
            return _new_list(text, tree, path[n:], written, found)
        tree = found
    if not isinstance(tree, t.Sequence):
        refuse(tree.at, f"{'.'.join(path)} is no list", "write it as a list: - {...}")
    if text[tree.at.offset : tree.at.offset + 1] == "[":
        if not tree.items:
            return Splice(tree.at.offset + 1, tree.at.offset + 1, written)
        here = last_character(text, tree.items[-1])
        return Splice(here, here, f", {written}")
    here = last_character(text, tree.items[-1])
    end = text.find("\n", here)
    end = len(text) if end < 0 else end
    dash = text.rfind("-", 0, tree.items[0].at.offset)
    column = dash - (text.rfind("\n", 0, dash) + 1)
    return Splice(end, end, f"\n{' ' * column}- {written}")


def _new_list(text: str, parent: t.Tree, keys: tuple[str, ...], written: str, empty: t.Tree | None) -> Splice:
    """The list is not there yet: as lines of their own at the end of what is."""
    if not isinstance(parent, t.Mapping):
        refuse(parent.at, "there is nothing to add to", "write the section in the file")
    if isinstance(empty, t.Scalar) and len(keys) == 1:
        return Splice(empty.at.offset, empty.at.offset, f" [{written}]")
    if text[parent.at.offset : parent.at.offset + 1] == "{":
        here = (
            last_character(text, list(parent.entries.values())[-1].value)
            if parent.entries
            else parent.at.offset + 1
        )
        return Splice(here, here, (", " if parent.entries else "") + _nested(keys, written))
    column = next(iter(parent.entries.values())).key.at.column - 1
    here = last_character(text, list(parent.entries.values())[-1].value)
    end = text.find("\n", here)
    end = len(text) if end < 0 else end
    lines = []
    for n, key in enumerate(keys):
        lines.append(f"{' ' * (column + 2 * n)}{key}:")
    lines.append(f"{' ' * (column + 2 * len(keys))}- {written}")
    return Splice(end, end, "\n" + "\n".join(lines))


def _nested(keys: tuple[str, ...], written: str) -> str:
    told = f"[{written}]"
    for key in reversed(keys[1:]):
        told = f"{{{key}: {told}}}"
    return f"{keys[0]}: {told}"


def remove_entry(text: str, file: str, path: tuple[str, ...]) -> str:
    """The text without one entry of a list (its place counts from 1) or of a map; whole lines where it has lines of its own."""
    root = root_of(text, file)
    parent: t.Tree = root
    for key in path[:-1]:
        found = parent.get(key) if isinstance(parent, t.Mapping) else None
        if found is None:
            refuse(Position(file, 1, 1), f"there is no {short('.'.join(path))}", "look at the file", key)
        parent = found
    name = path[-1]
    if isinstance(parent, t.Mapping) and name in parent:
        entry = parent.entries[name]
        start, end, one = entry.key.at.offset, last_character(text, entry.value), len(parent.entries) == 1
    elif isinstance(parent, t.Sequence) and name.isdecimal() and 1 <= int(name) <= len(parent.items):
        item = parent.items[int(name) - 1]
        start, end, one = item.at.offset, last_character(text, item), len(parent.items) == 1
    else:
        refuse(parent.at, f"there is no {short('.'.join(path))}", "look at the file", name)
    in_flow = text[parent.at.offset : parent.at.offset + 1] in ("{", "[")
    if one and not in_flow:
        return (
            spliced(text, [Splice(*_lines(text, start, end), "")])
            if len(path) == 1
            else remove_entry(text, file, path[:-1])
        )
    if in_flow:
        return spliced(text, [Splice(*_with_comma(text, start, end), "")])
    return spliced(text, [Splice(*_lines(text, start, end), "")])


def _lines(text: str, start: int, end: int) -> tuple[int, int]:
    first = text.rfind("\n", 0, start) + 1
    last = text.find("\n", end)
    return first, len(text) if last < 0 else last + 1


def _with_comma(text: str, start: int, end: int) -> tuple[int, int]:
    after = end
    while text[after : after + 1].isspace():
        after += 1
    if text[after : after + 1] == ",":
        after += 1
        while text[after : after + 1] == " ":
            after += 1
        return start, after
    before = start
    while before > 0 and text[before - 1].isspace():
        before -= 1
    return (before - 1, end) if text[before - 1 : before] == "," else (start, end)
