"""The board sheets: boards to scale, a table of what a drill template needs, and templates one to one where holes are known."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.drawing.board_plan import board_page
from ohmwright.drawing.boards import Plan, mounted, plans_of
from ohmwright.drawing.frame import Title, sizes_for
from ohmwright.drawing.page import Binding, bound
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.sizes import fixing_of
from ohmwright.drawing.tables import Column, Row, table_pages
from ohmwright.drawing.template import template_sheets
from ohmwright.drawing.words import NB
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.standing import clearance_mm, extent_of
from ohmwright.working import known

CAUTIONS = (
    "A position that is only proposed is no template: try it with the parts themselves, then write it in the file.",
    "A template counts only when its measuring bar measures 100 mm. Mark holes that are not in the file from the device itself.",
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


#: A place with fewer parts than this, and no board in the file, has a row in the table and no drawing.
WORTH_DRAWING = 3


def board_sheets(made_from: Board) -> tuple[Sheet, ...]:
    """Boards to scale, the table of what is mounted where, then drill templates; none for a rig without such parts."""
    rig, graph = made_from.rig, made_from.graph
    plans = plans_of(rig, graph)
    drawn = [p for p in plans if _worth_drawing(p)]
    rows = [_row(made_from, p) for place in rig.host.places for p in mounted(rig, place)]
    if not rows:
        return ()
    pages = [board_page(rig, graph, p, CAUTIONS) for p in drawn]
    pages += table_pages(sizes_for(rig.job)[0], COLUMNS, rows)
    title = made_from.title or Title(rig.job.title or rig.job.id)
    binding = Binding(
        title, "Board", "parts, holes, lugs", "D",
        f"{len(rows)} mounted parts with sizes, studs and the conductors that land on them.", CAUTIONS,
        {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()},
    )  # fmt: skip
    sheets = bound(pages, binding)
    templates = (t for n, p in enumerate(drawn, 1) for t in template_sheets(p, rig.job, title, f"D-{n:02d}"))
    return (*sheets, *templates)


def _worth_drawing(plan: Plan) -> bool:
    """What the file places is drawn; else a wall under a roof on which several parts hang."""
    told = plan.known or any(not s.proposed for s in plan.seats)
    return told or (len(plan.seats) >= WORTH_DRAWING and plan.place.regime != "outside")


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
                f"{torque.value:.3g}{NB}N·m" if torque else f"____{NB}N·m",
            ),
            ("; ".join(_landing(b, part)) or "none",),
            (
                "bend radius ____" if part.standing else "position ____ / ____",
                *(() if fixing_of(part) else ("holes ____",)),
            ),
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
