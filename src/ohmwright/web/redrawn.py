"""What of a drawing and of its notes is otherwise than the sheet in the browser has it."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from markupsafe import Markup

from ohmwright.services.desk import Look
from ohmwright.services.sheets import Circuits
from ohmwright.web.circuit import Mark, Row, RunRow, marks_of
from ohmwright.web.render import amount

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
        if old is new or old == new:
            continue
        if replace(old, svg="") != replace(new, svg=""):
            return None
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


def redrawn_of(
    look: Look, before: Circuits | None, drawn: Circuits | None, marks: Sequence[Mark], *, whole: bool = False
) -> dict[str, object]:
    """The drawing and its notes as far as they are otherwise than those of `look`, for the template of a change."""
    if drawn is None:
        return {"drawn_too": False, "drawn": None, "redrawn": None, "renoted": None}
    if whole or before is None:
        return {"drawn_too": True, "drawn": drawn, "redrawn": None, "renoted": None}
    return {
        "drawn_too": True,
        "drawn": drawn,
        "redrawn": pieces_between(before, drawn),
        "renoted": notes_between(marks_of(look, before), marks),
    }


Rows = Sequence[RunRow | Row]


def rows_between(before: Rows, after: Rows) -> tuple[RunRow | Row, ...] | None:
    """The lines of a schedule that say something else; None where others have come or gone."""
    if [_id(r) for r in before] != [_id(r) for r in after]:
        return None
    return tuple(new for old, new in zip(before, after, strict=True) if _row_said(old) != _row_said(new))


def _id(r: RunRow | Row) -> str:
    return r.run.id if isinstance(r, RunRow) else r.id


def _row_said(r: RunRow | Row) -> tuple[object, ...]:
    marks = [(m.number, m.word) for m in r.marks]
    if isinstance(r, Row):
        return r.what, r.place, marks
    run = r.run
    current = None if r.current_A is None else f"{abs(r.current_A):.3g}"
    drop = None if r.drop_V is None else amount(abs(r.drop_V), "V", digits=2)
    return run.start, run.stop, run.cable.text, run.length, current, drop, r.case, r.behind, marks
