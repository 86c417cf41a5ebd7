"""The board of a place from the front, to scale: parts, holes, and the side to which each lug points.

A hole is drawn only where size, position and the holes of a foot are known; for everything else the sheet says whose
template is wanted.
"""

from collections.abc import Callable
from typing import TypeAlias

from ohmwright.drawing.boards import APART_mm, Lug, Plan, Seat, Side, lugs_of
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import plan_sizes
from ohmwright.drawing.lettering import in_inches, plain, text_width, wrapped
from ohmwright.drawing.page import BIG, EM, STEP, Page, holds
from ohmwright.drawing.roof_plan import beside
from ohmwright.drawing.scales import chain, length_words, scale_bar, sheet_and_scale
from ohmwright.drawing.shapes import THIN, Box, Polyline
from ohmwright.drawing.words import NB
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: How a point of the board comes to stand on the sheet.
At: TypeAlias = Callable[[float, float], tuple[float, float]]

#: A cross at a hole reaches so far beyond its edge, and an arrow of a lug so far from its part.
CROSS, ARROW = 3.0, 3.5
READING = (
    "Dashed: a size that nobody wrote down; the square that stands for it is 80 mm.",
    "Dash-dot outline: the size of the board is proposed. Holes stand centred on the outline of their part.",
    "An arrow is the side towards which lugs point: to the part at the other end, or to the nearest edge.",
)
#: What the dimensions and words take of a sheet's width and height beside the board.
PADS = (19.0, 60.0)


def said_proposed(plan: Plan) -> str:
    """What of a board is proposed; "" when all of it stands in the file."""
    what = [] if plan.known else ["the board's size"]
    seats = [s for s in plan.seats if s.proposed]
    if seats and len(seats) == len(plan.seats):
        what.append("every position")
    elif seats:
        what.append("position of " + ", ".join(plain(s.part.id) for s in seats))
    return f"PROPOSED, not measured: {'; '.join(what)}. Try it with the parts themselves." if what else ""


def board_page(rig: Rig, graph: Graph, plan: Plan, cautions: tuple[str, ...]) -> Page:
    """The board from the front, to scale, with dimensions, holes and lugs."""
    size, scale = sheet_and_scale(rig.job, plan.width_mm, plan.height_mm, *PADS)
    page = _drawn(rig, graph, plan, size, scale)
    usual = plan_sizes(rig.job)[1]
    return page if size == usual or holds(page, cautions) else _drawn(rig, graph, plan, usual, scale)


def _drawn(rig: Rig, graph: Graph, plan: Plan, size: str, scale: int) -> Page:
    page = Page(size)
    c = page.canvas
    left, top, right, bottom = page.room.drawing
    x0 = left + 18.0 + max(0.0, (right - left - PADS[0] - plan.width_mm / scale) / 2)
    y0 = top + 20.0 + max(0.0, (bottom - top - PADS[1] - plan.height_mm / scale) / 3) + plan.height_mm / scale

    def at(x: float, y: float) -> tuple[float, float]:
        return x0 + x / scale, y0 - y / scale

    name = f"BOARD AT {plain(plan.place.id).upper()}, SEEN FROM THE FRONT"
    c.text("", left, top + BIG, name, BIG, "sans-bold")
    for k, line in enumerate(wrapped(said_proposed(plan), EM, right - left, "sans-bold")):
        c.text("", left, top + BIG + STEP * (1.2 + k), line, EM, "sans-bold", "start", "violet")
    draw_outline(c, plan, at)
    lugs = {seat.part.id: lugs_of(rig, graph, plan, seat) for seat in plan.seats}
    for seat in plan.seats:
        draw_seat(c, seat, at, scale, lugs[seat.part.id], seat.holes)
    width, height = plan.width_mm / scale, plan.height_mm / scale
    chain(c, plan.place.id, y0 + 6.0, [x0, x0 + width], [_edge(plan.width_mm)])
    chain(c, plan.place.id, x0 - 6.0, [y0 - height, y0], [_edge(plan.height_mm)], upright=True)
    for seat in plan.seats:
        if _big(plain(seat.part.id), seat.width_mm / scale) is None:
            beside(c, seat.part.id, plain(seat.part.id), *at(*seat.middle))
    scale_bar(c, left, bottom - 3.0, scale)
    lines = [line for told in READING for line in wrapped(told, EM, right - left)]
    for k, line in enumerate(reversed(lines)):
        c.text("", left, bottom - 8.0 - STEP * k, line, EM)
    _notes(page, plan, lugs)
    return page


def _edge(mm: float) -> str:
    return length_words(mm, f"{mm:.0f}")


def _point(x_mm: float, y_mm: float) -> str:
    """A point as two lengths from the lower left corner; feet, inches and sixteenths of one stay on one line."""
    told = " / ".join(_edge(mm).replace(" ", NB) for mm in (x_mm, y_mm))
    return told if in_inches() else f"{told} mm"


def draw_outline(c: Canvas, plan: Plan, at: At) -> None:
    """The edge of the board."""
    (x1, y1), (x2, y2) = at(0.0, plan.height_mm), at(plan.width_mm, 0.0)
    c.box(
        plan.place.id,
        x1,
        y1,
        x2,
        y2,
        0.5 if plan.known else 0.35,
        "" if plan.known else "place",
        layer="place",
    )


def draw_seat(
    c: Canvas, seat: Seat, at: At, scale: float, lugs: tuple[Lug, ...], holes: tuple[tuple[float, float], ...]
) -> None:
    """A part with its holes, its name and arrows for its lugs."""
    ref = seat.part.id
    (x1, y1), (x2, y2) = at(seat.x_mm, seat.y_mm + seat.height_mm), at(seat.x_mm + seat.width_mm, seat.y_mm)
    c.box(ref, x1, y1, x2, y2, 0.35, "" if seat.extent else "tell")
    for x, y in holes:
        assert seat.fixing is not None
        _hole(c, ref, *at(x, y), seat.fixing.hole_mm / scale)
    lines = [w for w in ("" if seat.extent else "size ?", "proposed" if seat.proposed else "") if w]
    middle = (y1 + y2) / 2
    name = plain(ref)
    big = _big(name, x2 - x1)
    if big is not None:
        c.text(ref, (x1 + x2) / 2, middle + big * 0.3, name, big, "sans-bold", "middle")
        for k, line in enumerate(lines):
            if text_width(line, EM) < x2 - x1 - 1.0 and (y2 - y1) / 2 > (k + 2) * STEP:
                c.text(
                    ref,
                    (x1 + x2) / 2,
                    middle + big * 0.3 + STEP * (k + 1),
                    line,
                    EM,
                    "sans",
                    "middle",
                    "graphite",
                )
    c.anchor(ref, (x1, middle, "right"))
    for side in ("left", "right", "up", "down"):
        _arrows(
            c,
            ref,
            (x1, y1, x2, y2),
            side,
            sum(lug.side == side for lug in lugs),
            min(ARROW, 0.45 * APART_mm / scale),
        )


def _big(name: str, width: float) -> float | None:
    """How large a name stands in a box of that width; None where it is lettered beside it."""
    big = min(BIG, BIG * (width - 1.0) / max(text_width(name, BIG, "sans-bold"), 0.1))
    return big if big >= EM else None


def _arrows(c: Canvas, ref: str, box: Box, side: Side, count: int, reach: float) -> None:
    """One arrow for the lugs of a side, with their number."""
    if not count:
        return
    x1, y1, x2, y2 = box
    x, y = (x1 + x2) / 2, (y1 + y2) / 2
    dx, dy = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, -1.0), "down": (0.0, 1.0)}[side]
    tail_x, tail_y = (x1 if dx < 0 else x2 if dx > 0 else x), (y1 if dy < 0 else y2 if dy > 0 else y)
    edge_x, edge_y = tail_x + dx * reach, tail_y + dy * reach
    head = min(1.4, reach * 0.6)
    c.line(ref, tail_x, tail_y, edge_x, edge_y, 0.25, layer="note")
    c.add(
        ref,
        Polyline(
            (
                (edge_x - dx * head + dy * head / 2, edge_y - dy * head + dx * head / 2),
                (edge_x, edge_y),
                (edge_x - dx * head - dy * head / 2, edge_y - dy * head - dx * head / 2),
            ),
            0.25,
            layer="note",
        ),
    )


def _hole(c: Canvas, ref: str, x: float, y: float, diameter: float) -> None:
    c.circle(ref, x, y, diameter / 2, 0.25)
    reach = diameter / 2 + min(CROSS, max(0.8, diameter))
    c.line(ref, x - reach, y, x + reach, y, THIN)
    c.line(ref, x, y - reach, x, y + reach, THIN)


def _notes(page: Page, plan: Plan, lugs: dict[str, tuple[Lug, ...]]) -> None:
    page.note(
        "LOWER LEFT CORNER x / y; lugs point",
        [
            "; ".join(filter(None, (f"{s.part.id}: {_point(s.x_mm, s.y_mm)}", _sides_told(lugs[s.part.id]))))
            for s in plan.seats
        ],
    )
    page.note(
        "HOLES, Ø at x / y",
        [
            f"{s.part.id}: Ø {s.fixing.hole_mm:g} mm at " + ", ".join(_point(x, y) for x, y in s.holes)
            for s in plan.seats
            if s.fixing is not None and s.holes
        ],
    )
    without = [s.part.id for s in plan.seats if not s.holes]
    page.note("HOLES NOT IN THE FILE: maker's template", [", ".join(map(plain, without))] if without else [])
    page.note("FOUND NO ROOM", [", ".join(map(plain, plan.left_over))] if plan.left_over else [])


def _sides_told(lugs: tuple[Lug, ...]) -> str:
    """`right W33 W35; up W08`."""
    by_side: dict[Side, list[str]] = {}
    for lug in lugs:
        by_side.setdefault(lug.side, []).append(lug.run)
    return "; ".join(f"{side} {' '.join(dict.fromkeys(runs))}" for side, runs in by_side.items())
