"""The board sheet: for every place what a drill template needs, and what of it nobody has written down yet."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.drawing.frame import Title, sizes_for
from ohmwright.drawing.page import Binding, bound
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.sizes import clearance_mm, extent_of
from ohmwright.drawing.tables import Column, Row, table_pages
from ohmwright.drawing.words import NB
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.ports import is_group
from ohmwright.working import known

CAUTIONS = (
    "No template is drawn: holes and positions are not in the file. Mark out from the device itself.",
    "A lug points the way its cable leaves; a cable bent at its lug breaks there.",
    "Know what is behind the board before a drill goes in.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)

COLUMNS = (
    Column("part", 1.0),
    Column("size, free space", 2.4),
    Column("stud, torque", 1.6),
    Column("conductors that land: to", 4.6),
    Column("to be measured", 2.6),
)


@dataclass(frozen=True, slots=True)
class Board:
    """What the sheet is made from."""

    rig: Rig
    graph: Graph
    title: Title | None = None


def board_sheets(made_from: Board) -> tuple[Sheet, ...]:
    """A table of what is mounted where, place by place; none for a rig without such parts."""
    rig = made_from.rig
    rows = [_row(made_from, p) for place in rig.host.places for p in _mounted(rig, place)]
    if not rows:
        return ()
    pages = table_pages(sizes_for(made_from.rig.job)[0], COLUMNS, rows)
    pages[0].note("WHY THERE IS NO 1:1 TEMPLATE", (
        "A template wants the position of each part on its board and the holes in its foot; the file has neither.",
        "It wants the size of the board; a place has a size, its walls have not.",
        "Until then this table says what lands on each part and from which place it comes, so that lugs can be turned that way.",
    ))  # fmt: skip
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "Board", "what a template needs", "D",
        f"{len(rows)} mounted parts with sizes, studs and the conductors that land on them.", CAUTIONS,
        {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()},
    )  # fmt: skip
    return bound(pages, binding)


def _mounted(rig: Rig, place: str) -> Iterator[Part]:
    for part in rig.parts.values():
        skip = ("module", "mounting", "supply-post", "electrode")
        if part.place == place and not is_group(part) and part.kind.name not in skip:
            yield part


def _row(b: Board, part: Part) -> Row:
    extent = extent_of(part)
    free, where = clearance_mm(part)
    size = (
        f"{extent.width_mm:.0f} × {extent.height_mm:.0f} × {extent.depth_mm:.0f}{NB}mm"
        if extent
        else "size ____"
    )
    stud, torque = known(part.figure("stud")), known(part.figure("torque"))
    return Row(
        (
            (part.id, f"at {part.place}"),
            (size, f"free {free:.0f}{NB}mm {where}" if free else "free space ____"),
            (
                f"M{stud.value * 1000:.0f}" if stud else "stud ____",
                f"{torque.value:.3g}{NB}Nm" if torque else f"____{NB}Nm",
            ),
            ("; ".join(_landing(b, part)) or "none",),
            ("position ____ / ____, holes ____", "bend radius ____"),
        ),
        part.id,
    )


def _landing(b: Board, part: Part) -> Iterator[str]:
    """Run by run: the place that its other end lies at."""
    for run in b.rig.runs.values():
        ends = [(b.graph.terminals[c.a], b.graph.terminals[c.b]) for c in run.cores]
        for one, other in ends:
            mine, far = (one, other) if one.owner == part.id else (other, one)
            if mine.owner == part.id:
                where = far.place if far.place and far.place != part.place else far.owner
                yield f"{run.id}{NB}→{NB}{where}"
                break
