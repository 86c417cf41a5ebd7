"""Edits of a rig file's text; each one can be done again on a text in which the ones before it were done."""

from dataclasses import dataclass
from difflib import SequenceMatcher

from ohmwright.rig.edit import set_value
from ohmwright.rig.insert import put_entry, swap_record, take_entry, take_keys
from ohmwright.rig.splice import root_of
from ohmwright.working import tree as t


@dataclass(frozen=True, slots=True)
class SetAt:
    """One value set; `path` is a path of the file."""

    path: str
    value: str

    def apply(self, text: str, file: str) -> str:
        """The text with that value."""
        return set_value(text, file, self.path, self.value)


@dataclass(frozen=True, slots=True)
class Put:
    """A new entry of `parts` or `runs`."""

    section: str
    key: str
    written: str
    after: str = ""

    def apply(self, text: str, file: str) -> str:
        """The text with that entry."""
        return put_entry(text, file, self.section, self.key, self.written, after=self.after)


@dataclass(frozen=True, slots=True)
class Take:
    """An entry of `parts` or `runs` taken out."""

    section: str
    key: str

    def apply(self, text: str, file: str) -> str:
        """The text without it."""
        return take_entry(text, file, self.section, self.key)


@dataclass(frozen=True, slots=True)
class TakeKeys:
    """Keys of one map taken out; what is not there is no mistake."""

    path: tuple[str, ...]
    keys: frozenset[str]

    def apply(self, text: str, file: str) -> str:
        """The text without them."""
        return take_keys(text, file, self.path, self.keys)


@dataclass(frozen=True, slots=True)
class Swap:
    """A part of another record; what the file said of the old one goes."""

    path: tuple[str, ...]
    record: str
    drop: frozenset[str] = frozenset()

    def apply(self, text: str, file: str) -> str:
        """The text with the other record."""
        return swap_record(text, file, self.path, self.record, self.drop)


@dataclass(frozen=True, slots=True)
class Forget:
    """The settings of parts whose device was replaced: what was set in the old one is not set in the new one."""

    parts: frozenset[str]

    def apply(self, text: str, file: str) -> str:
        """The text without those entries, and without `settings` where none is left."""
        settings = root_of(text, file).get("settings")
        if isinstance(settings, t.Mapping) and settings.entries and set(settings) <= self.parts:
            return take_keys(text, file, (), frozenset({"settings"}))
        return take_keys(text, file, ("settings",), self.parts)


def undone(text: str, before: str, after: str) -> str | None:
    """`text` with the lines that differ from `before` to `after` put back; None where it has them not just once."""
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    for tag, a1, a2, b1, b2 in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        lead = "" if b2 > b1 else "".join(new[max(b1 - 1, 0) : b1])
        there, back = lead + "".join(new[b1:b2]), lead + "".join(old[a1:a2])
        if not there or text.count(there) != 1:
            return None
        text = text.replace(there, back)
    return text
