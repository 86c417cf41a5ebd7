"""What of a drawing and of its notes is otherwise than the sheet in the browser has it."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from markupsafe import Markup

from ohmwright.services.sheets import Circuits
from ohmwright.web.circuit import Mark

#: Where more than this part of the pieces is otherwise, the whole sheet is sent.
MOST_CHANGED = 0.5
_ELEMENTS = re.compile(r"\n(?=<)|\n\Z")


@dataclass(frozen=True, slots=True)
class Piece:
    """One child of a sheet's picture that takes the place of the child `at`."""

    sheet: int
    at: int
    svg: Markup


def pieces_between(before: Circuits | None, after: Circuits) -> tuple[Piece, ...] | None:
    """The pieces that are otherwise, or None where the sheets have to be sent whole."""
    if before is None or before.trouble or after.trouble or len(before.sheets) != len(after.sheets):
        return None
    out: list[Piece] = []
    for n, (old, new) in enumerate(zip(before.sheets, after.sheets, strict=True)):
        if replace(old, svg="") != replace(new, svg=""):
            return None
        if old.svg == new.svg:
            continue
        a, b = _children(old.svg), _children(new.svg)
        changed = [k for k in range(len(b)) if k >= len(a) or a[k] != b[k]]
        if len(a) != len(b) or a[0] != b[0] or len(changed) > MOST_CHANGED * len(b):
            return None
        out += [Piece(n, k - 1, Markup(b[k])) for k in changed]
    return tuple(out)


@lru_cache(maxsize=16)
def _children(svg: str) -> tuple[str, ...]:
    """The head of a picture, then its children one by one: the drawing room writes a line each, and closes a group on a line of its own."""
    head, _, body = svg.partition(">\n")
    return (head, *_split(_ELEMENTS.split(body)))


def _split(lines: list[str]) -> Iterator[str]:
    start = 0
    for n, line in enumerate(lines):
        if start == n and line.startswith("<g"):
            continue
        if lines[start].startswith("<g"):
            if line != "</g>":
                continue
        elif line in ("</svg>", ""):
            return
        yield "\n".join(lines[start : n + 1])
        start = n + 1


def notes_between(before: Sequence[Mark], after: Sequence[Mark]) -> tuple[Mark, ...] | None:
    """The notes that say something else; None where others have come or gone, so that the margin has to be sent whole."""
    a, b = ([m for m in marks if m.word] for marks in (before, after))
    if [m.number for m in a] != [m.number for m in b] or not all(m.number for m in b):
        return None
    return tuple(new for old, new in zip(a, b, strict=True) if _said(old) != _said(new))


def _said(m: Mark) -> tuple[object, ...]:
    f = m.finding
    return m.zone, m.word, m.same_remedy, f.rule, f.subject, f.number, f.message, f.remedy, f.clause, f.override, f.verdict, f.origin_unverified  # fmt: skip
