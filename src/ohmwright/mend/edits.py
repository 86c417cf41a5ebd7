"""Edits of a rig file's text; each one can be done again on a text in which the ones before it were done."""

from dataclasses import dataclass

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
