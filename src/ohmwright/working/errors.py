"""Errors for people: what, where, and what to write instead.

A mistake of ours is never dressed as one of these, and what a rule finds wrong in a design is a finding, not
an exception.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from ohmwright.working.quickly import quickly_made


class OhmwrightError(Exception):
    """Something the user can put right."""

    def __init__(self, message: str, *, remedy: str = "") -> None:
        self.message = message
        self.remedy = remedy
        super().__init__(message if not remedy else f"{message}; {remedy}")


@quickly_made
@dataclass(frozen=True, slots=True)
class Position:
    """Where in a file: line and column count from 1, `offset` and `end` are character indexes."""

    file: str
    line: int
    column: int
    offset: int = 0
    end: int = 0


NOWHERE = Position("", 0, 0)


class FileError(OhmwrightError):
    """A file that cannot be used as it stands: `FILE:LINE:COL: message; write ...`."""

    def __init__(self, message: str, *, at: Position, remedy: str = "", text: str = "") -> None:
        self.at = at
        self.text = text
        super().__init__(message, remedy=remedy)

    def __str__(self) -> str:
        place = (
            f"{self.at.file}:{self.at.line}:{self.at.column}" if self.at.line else (self.at.file or "input")
        )
        return f"{place}: {self.message}" + (f"; {self.remedy}" if self.remedy else "")


def nearest(word: str, among: Iterable[str]) -> str | None:
    """The right name nearest to a misspelt one, or None when nothing is near.

    >>> nearest("lenght", ["length", "from", "to"])
    'length'
    """
    import difflib

    found = difflib.get_close_matches(word, list(among), n=1, cutoff=0.6)
    return found[0] if found else None
