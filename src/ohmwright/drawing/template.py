"""The drill template of a board, one to one: whole on one sheet, and in tiles on the sheets that an office printer takes.

Only tiles with something to drill are made.  Every sheet bears a measuring bar: whoever prints it holds a ruler there
first, for a printer that fits a page to its paper makes every hole wrong.
"""

from collections.abc import Iterator

from ohmwright.drawing.board_plan import draw_outline, draw_seat, said_proposed
from ohmwright.drawing.boards import Plan, Seat
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import Title
from ohmwright.drawing.geometry import clipped, overlap
from ohmwright.drawing.lettering import in_inches, lettered_in, plain, shortened, text_width
from ohmwright.drawing.page import BIG, EM, STEP
from ohmwright.drawing.shapes import (
    THIN,
    Box,
    Circle,
    Group,
    Line,
    Polyline,
    Shape,
    Sheet,
    Text,
    edges,
    moved,
)
from ohmwright.rig.model import Job

#: Sheets that an office printer takes: A4 after ISO 216, letter after ANSI Y14.1 (A), from memory.
PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: Printers leave an edge bare: nothing to be measured stands nearer to it (common practice, no source).
BARE = 15.0
#: Foot of a tile: measuring bar and words.
FOOT = 31.0
#: Neighbouring tiles share so much, to be laid over each other at the crop marks.
SHARED = 10.0
CAUTION = "Know what is behind the board. Local codes and a licensed person's judgement rule over this sheet."
#: Length of the measuring bar.
BAR = 100.0


def template_sheets(plan: Plan, job: Job, title: Title, number: str) -> tuple[Sheet, ...]:
    """The whole board one to one, then its tiles; nothing while no hole of it is known to stand anywhere."""
    if not any(s.drilled for s in plan.seats):
        return ()
    inches = in_inches()
    with lettered_in(None):
        return tuple(_sheets(plan, job, title, number, inches))


def _sheets(plan: Plan, job: Job, title: Title, number: str, inches: bool) -> Iterator[Sheet]:
    drawn = _drawn(plan, inches)
    size = PAPER[job.paper or ("letter" if job.units == "us" or job.rules.startswith("us") else "a4")]
    yield _whole(plan, drawn, title, number, inches)
    yield from _tiles(plan, drawn, size, title, number, inches)


def _both(mm: float, inches: bool) -> str:
    """Millimetres, with inches beside them: whoever drills may hold either ruler."""
    return f"{mm:g} mm ({mm / 25.4:.3f} in)" if inches else f"{mm:g}"


def _drawn(plan: Plan, inches: bool) -> Canvas:
    """The board one to one, its upper left corner at (0, 0)."""
    c = Canvas()

    def at(x: float, y: float) -> tuple[float, float]:
        return x, plan.height_mm - y

    draw_outline(c, plan, at)
    for seat in plan.seats:
        draw_seat(c, seat, at, 1.0, (), seat.drilled)
        _told(c, plan, seat, inches)
    return c


def _told(c: Canvas, plan: Plan, seat: Seat, inches: bool) -> None:
    """At each hole its diameter; at a part without holes whose template is wanted."""
    ref = seat.part.id
    if not seat.drilled:
        x, y = seat.middle
        c.text(
            ref,
            x,
            plan.height_mm - y + BIG + STEP * 2.4,
            "maker's template" if not seat.holes else "no position: no holes",
            EM,
            "sans",
            "middle",
            "graphite",
        )
        return
    assert seat.fixing is not None
    told = f"Ø{_both(seat.fixing.hole_mm, inches)}"
    out = seat.fixing.hole_mm / 2 + 1.0
    wide = text_width(told, EM)
    for x, y in seat.drilled:
        py = plan.height_mm - y
        spots = [
            (x + out if right else x - out - wide, py - out + 0.4 if above else py + out + EM * 0.7)
            for above in (True, False)
            for right in (True, False)
        ]
        free = (
            s for s in spots if c.is_open((s[0] - 0.3, s[1] - EM * 0.75, s[0] + wide + 0.3, s[1] + EM * 0.2))
        )
        c.text(ref, *next(free, spots[0]), told, EM)


def _measuring_bar(c: Canvas, x: float, y: float, inches: bool) -> None:
    c.line("", x, y, x + BAR, y, 0.35, layer="note")
    for k in range(11):
        c.line(
            "", x + BAR * k / 10, y - (2.5 if k % 5 == 0 else 1.5), x + BAR * k / 10, y, THIN, layer="note"
        )
    c.text(
        "",
        x,
        y + STEP + 0.4,
        f"100 mm{' (3.937 in)' if inches else ''}: hold a ruler here. If it is not 100 mm, print at 100 %, without fitting to the page.",
        EM,
    )


def _whose(c: Canvas, title: Title, x: float, y: float, wide: float) -> None:
    """Which state of which file it is made from, and whose judgement rules over it."""
    file = ", ".join(filter(None, (plain(title.host), title.rules, title.date, title.sha256[:12] and f"file {title.sha256[:12]}")))  # fmt: skip
    for k, words in enumerate(filter(None, (file, CAUTION))):
        c.text("", x, y + k * STEP, shortened(words, EM, wide), EM)


def _whole(plan: Plan, drawn: Canvas, title: Title, number: str, inches: bool) -> Sheet:
    """One sheet as large as the board."""
    c = Canvas()
    c.merge(drawn, 20.0, 20.0)
    foot = plan.height_mm + 32.0
    _measuring_bar(c, 20.0, foot, inches)
    words = f"{plain(title.job)}: drill template of {plain(plan.place.id)}, 1:1"
    width = max(plan.width_mm, 140.0) + 40.0
    c.text("", 20.0, foot + 2 * STEP + 2.0, words, EM, "sans-bold")
    c.text("", 20.0, foot + 3 * STEP + 2.0, said_proposed(plan), EM, "sans-bold", "start", "violet")
    _whose(c, title, 20.0, foot + 4 * STEP + 2.0, width - 40.0)
    return _sheet(
        c,
        f"{number}-1to1",
        f"{plain(title.job)}, drill template of {plain(plan.place.id)}",
        width,
        foot + 6 * STEP + 8.0,
    )


def _tiles(
    plan: Plan, drawn: Canvas, size: tuple[float, float], title: Title, number: str, inches: bool
) -> Iterator[Sheet]:
    wide, high = size[0] - 2 * BARE, size[1] - 2 * BARE - FOOT
    columns = max(1, int(-(-(plan.width_mm - SHARED) // (wide - SHARED))))
    rows = max(1, int(-(-(plan.height_mm - SHARED) // (high - SHARED))))
    for j in range(rows):
        for i in range(columns):
            x, y = i * (wide - SHARED), j * (high - SHARED)
            window = (x, y, x + wide, y + high)
            if not any(_drilled(plan, s, window) for s in plan.seats):
                continue
            c = Canvas()
            for (ref, shape), box in zip(drawn.items, drawn.boxes, strict=True):
                for piece in _within(shape, box, window):
                    c.add(ref, moved(piece, BARE - x, BARE - y))
            _crop_marks(c, (BARE, BARE, BARE + wide, BARE + high))
            foot = BARE + high + 6.0
            _measuring_bar(c, BARE, foot, inches)
            words = f"{plain(title.job)}: {plain(plan.place.id)}, 1:1, column {i + 1} of {columns}, row {j + 1} of {rows} from the top"
            c.text("", BARE, foot + 2 * STEP + 1.0, words, EM, "sans-bold")
            told = "lay tiles over each other at the crop marks; tiles without a hole are left out"
            c.text("", BARE, foot + 3 * STEP + 1.0, told, EM)
            said = shortened(said_proposed(plan), EM, wide, "sans-bold")
            c.text("", BARE, foot + 4 * STEP + 1.0, said, EM, "sans-bold", "start", "violet")
            _whose(c, title, BARE, foot + 5 * STEP + 1.0, wide)
            yield _sheet(c, f"{number}-tile-{j + 1}-{i + 1}", words, *size)


def _drilled(plan: Plan, seat: Seat, window: Box) -> bool:
    return any(
        window[0] <= x <= window[2] and window[1] <= plan.height_mm - y <= window[3] for x, y in seat.drilled
    )


def _within(shape: Shape, box: Box, window: Box) -> Iterator[Shape]:
    """As much of a shape as lies in a window."""
    if window[0] <= box[0] and box[2] <= window[2] and window[1] <= box[1] and box[3] <= window[3]:
        yield shape
    elif isinstance(shape, Line | Polyline):
        for edge in edges(shape):
            cut = clipped(edge, window)
            if cut is not None:
                yield Line(*cut, shape.weight, shape.dash, shape.colour, shape.layer)
    elif (
        isinstance(shape, Circle)
        and window[0] <= shape.cx <= window[2]
        and window[1] <= shape.cy <= window[3]
    ):
        yield shape  # a hole at the very edge: the whole of it, so that it can be drilled from here
    elif isinstance(shape, Text) and overlap(box, window, 1.0) and shape.anchor == "middle":
        inside = min(max(shape.x, window[0] + (box[2] - box[0]) / 2), window[2] - (box[2] - box[0]) / 2)
        if window[1] <= box[1] and box[3] <= window[3] and inside == shape.x:
            yield shape


def _crop_marks(c: Canvas, box: Box) -> None:
    """Two strokes outside each corner of what counts."""
    left, top, right, bottom = box
    for x, out in ((left, -1.0), (right, 1.0)):
        for y, away in ((top, -1.0), (bottom, 1.0)):
            c.line("", x + out * 1.0, y, x + out * 5.0, y, THIN, layer="note")
            c.line("", x, y + away * 1.0, x, y + away * (5.0 if away < 0 else 3.0), THIN, layer="note")


def _sheet(c: Canvas, name: str, title: str, width: float, height: float) -> Sheet:
    by_ref: dict[str, list[Shape]] = {}
    for ref, shape in c.items:
        by_ref.setdefault(ref, []).append(shape)
    groups = tuple(Group(ref, ref, tuple(shapes)) for ref, shapes in by_ref.items())
    said = "Drill template, one to one: hold a ruler to its measuring bar before a hole is drilled."
    return Sheet(name, title, said, width, height, groups, em=EM)
