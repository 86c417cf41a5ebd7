"""Splices that put whole entries into a rig file or take them out: a line comes or goes, all others stay as they were."""

from collections.abc import Iterator

from ohmwright.rig.splice import Splice, as_scalar, insert_key, last_character, root_of, spliced
from ohmwright.rig.telling import refuse, short
from ohmwright.working import Position
from ohmwright.working import tree as t

#: Maps whose keys are variables or parts: what names a thing that is gone goes with it.
_NAMING = (("settings",), ("cases", "*", "loads"), ("cases", "*", "set"), ("cuts", "*", "set"))


def put_entry(text: str, file: str, section: str, key: str, written: str, *, after: str = "") -> str:
    """The text with a new entry of `parts` or `runs`, on the line behind the entry `after` where there is one."""
    root = root_of(text, file)
    parent = root.get(section)
    if parent is None or (isinstance(parent, t.Scalar) and not parent.text):
        return spliced(text, [_new_section(text, root, section, key, written)])
    if not isinstance(parent, t.Mapping):
        refuse(parent.at, f"{section} is no map", "write key: value pairs")
    if key in parent:
        refuse(
            parent.entries[key].key.at, f"'{short(key)}' is taken", "write an id that is not used yet", key
        )
    if after in parent:
        return spliced(text, [_behind(text, parent, after, key, written)])
    return spliced(text, [insert_key(text, parent, key, written)])


def _new_section(text: str, root: t.Mapping, section: str, key: str, written: str) -> Splice:
    entry = root.entries.get(section)
    if entry is not None:
        here = entry.value.at.offset
        return Splice(here, here, f"\n  {key}: {written}")
    here = len(text.rstrip("\n"))
    return Splice(here, here, f"\n{section}:\n  {key}: {written}")


def _behind(text: str, parent: t.Mapping, after: str, key: str, written: str) -> Splice:
    here = last_character(text, parent.entries[after].value)
    if text[parent.at.offset] == "{":
        return Splice(here, here, f", {key}: {written}")
    end = text.find("\n", here)
    end = len(text) if end < 0 else end
    column = parent.entries[after].key.at.column - 1
    return Splice(end, end, f"\n{' ' * column}{key}: {written}")


def take_keys(text: str, file: str, path: tuple[str, ...], keys: frozenset[str]) -> str:
    """The text without some keys of the map at `path`; keys that are not there are left out of account."""
    root = root_of(text, file)
    found = _at(root, path)
    if not isinstance(found, t.Mapping):
        return text
    return spliced(text, _without(text, found, keys))


def take_entry(text: str, file: str, section: str, key: str) -> str:
    """The text without an entry of `parts` or `runs`, and without the settings and states that named it."""
    root = root_of(text, file)
    parent = root.get(section)
    if not isinstance(parent, t.Mapping) or key not in parent:
        refuse(
            Position(file, 1, 1), f"there is no '{short(key)}' in {section}", "write an id of this file", key
        )
    splices = _without(text, parent, frozenset({key}))
    for found in _naming(root):
        names = frozenset(k for k in found if k == key or k.startswith(f"{key}."))
        splices += _without(text, found, names)
    return spliced(text, splices)


def swap_record(text: str, file: str, path: tuple[str, ...], record: str, drop: frozenset[str]) -> str:
    """The text in which the part at `path` is another record; keys in `drop` belonged to the old one and go."""
    root = root_of(text, file)
    found = _at(root, path)
    if isinstance(found, t.Scalar):
        return spliced(text, [Splice(found.at.offset, found.at.end, as_scalar(record, found.at))])
    told = found.get("is") if isinstance(found, t.Mapping) else None
    if not isinstance(found, t.Mapping) or not isinstance(told, t.Scalar):
        refuse(root.at, f"{'.'.join(path)} is no part", "name a part of the file", ".".join(path))
    splices = [Splice(told.at.offset, told.at.end, as_scalar(record, told.at))]
    return spliced(text, [*splices, *_without(text, found, drop)])


def _naming(root: t.Mapping) -> Iterator[t.Mapping]:
    for pattern in _NAMING:
        yield from _matching(root, pattern)
    stays = _at(root, ("use", "stays"))
    if isinstance(stays, t.Sequence):
        for stay in stays.items:
            yield from _matching(stay, ("set",))


def _matching(tree: t.Tree, pattern: tuple[str, ...]) -> Iterator[t.Mapping]:
    if not pattern:
        if isinstance(tree, t.Mapping):
            yield tree
        return
    if isinstance(tree, t.Mapping):
        names = list(tree) if pattern[0] == "*" else [pattern[0]]
        for name in names:
            if (inner := tree.get(name)) is not None:
                yield from _matching(inner, pattern[1:])


def _at(tree: t.Tree, path: tuple[str, ...]) -> t.Tree | None:
    found: t.Tree | None = tree
    for word in path:
        if isinstance(found, t.Sequence) and word.isdecimal() and 1 <= int(word) <= len(found.items):
            found = found.items[int(word) - 1]
        else:
            found = found.get(word) if isinstance(found, t.Mapping) else None
    return found


def _without(text: str, parent: t.Mapping, keys: frozenset[str]) -> list[Splice]:
    """Splices that take entries out: whole lines of a block, words and their comma between braces."""
    gone = [k for k in parent if k in keys]
    if not gone:
        return []
    if text[parent.at.offset] != "{":
        return [_lines(text, parent.entries[k]) for k in gone]
    out: list[Splice] = []
    names = list(parent)
    for n, name in enumerate(names):
        if name not in keys:
            continue
        entry = parent.entries[name]
        start, end = entry.key.at.offset, last_character(text, entry.value)
        kept_before = [k for k in names[:n] if k not in keys]
        if kept_before:
            start = last_character(text, parent.entries[names[n - 1]].value)
        elif n + 1 < len(names):
            end = parent.entries[names[n + 1]].key.at.offset
        out.append(Splice(start, end, ""))
    return out


def _lines(text: str, entry: t.Entry) -> Splice:
    start = text.rfind("\n", 0, entry.key.at.offset) + 1
    end = text.find("\n", last_character(text, entry.value))
    return Splice(start, len(text) if end < 0 else end + 1, "")
