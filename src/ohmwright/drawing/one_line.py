"""The circuit sheet: direct current conductor by conductor, AC cable by cable, on as few sheets as hold it.

Law: there is ink for a conductor only where the file has that conductor.  `readback` reads the net back from the
finished ink and `lint` looks for what overlaps; a sheet is not issued unless both are content.
"""

from collections import Counter
from dataclasses import dataclass, replace

from ohmwright.drawing.again import Kept, Relettered, kept_of, relettered, retouched
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.bars import draw_studs
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.draft import Draft
from ohmwright.drawing.field import Field
from ohmwright.drawing.finish import CAUTIONS, Circuit, Finish, finished
from ohmwright.drawing.frame import Room, room, sizes_for
from ohmwright.drawing.ladder import Piece
from ohmwright.drawing.layout import Stock, bar_strip, bounds_of, in_one, in_pieces, loose_columns, stock_of
from ohmwright.drawing.lettering import LEAST_mm
from ohmwright.drawing.pen import Open, Pen, Style, up
from ohmwright.drawing.readback import differences
from ohmwright.drawing.refused import refused
from ohmwright.drawing.shapes import GRID, Sheet
from ohmwright.drawing.symbols import set_for
from ohmwright.drawing.view import View, view_of
from ohmwright.drawing.wiring import lead
from ohmwright.drawing.words import Drops

__all__ = ["CAPITALS", "CAUTIONS", "Circuit", "Drawing", "Kept", "circuit_sheets", "draw_circuit"]

#: Heights of capitals, tallest first; nothing under the last is printed. See docs/decisions/0010-lettering.md.
CAPITALS = (2.5, 2.2, LEAST_mm)
METAL_PITCH = 12.5


@dataclass(frozen=True, slots=True)
class Drawing:
    """The sheets of a circuit, and its layout for the next time."""

    sheets: tuple[Sheet, ...]
    kept: Kept
    again: bool
    """True when the layout is the one that was kept."""


def circuit_sheets(circuit: Circuit) -> tuple[Sheet, ...]:
    """The circuit on sheets: one when it fits, else several that name each other's zones."""
    return draw_circuit(circuit).sheets


def draw_circuit(circuit: Circuit, previous: Kept | None = None) -> Drawing:
    """The circuit on sheets; where only figures and words changed since `previous`, with its lines as they were."""
    view = view_of(circuit.rig, circuit.graph)
    drops = Drops(circuit.solution, view)
    if previous is not None:
        pen = _pen(view, drops, previous.pen.style.capital)
        new = relettered(previous, pen)
        if new is not None:
            return _drawn_again(circuit, pen, previous, new)
    pen, drafts = _laid_out(view, drops)
    return _read_back(circuit, kept_of(pen, drafts), finished(circuit, pen, drafts), again=False)


def _drawn_again(circuit: Circuit, pen: Pen, previous: Kept, new: Relettered) -> Drawing:
    touched = retouched(circuit, previous, new, pen)
    kept = Kept(pen, new.drafts, new.said)
    if touched is None:
        finish = finished(circuit, pen, [d.copied() for d in new.drafts])
        return _read_back(circuit, kept, finish, again=True)
    finish, inked = touched
    if inked:
        return _read_back(circuit, kept, finish, again=True)
    return Drawing(finish.sheets, replace(kept, finish=finish), again=True)


def _read_back(circuit: Circuit, kept: Kept, finish: Finish, *, again: bool) -> Drawing:
    """Nothing leaves the room unless its ink joins what the file joins."""
    found = differences(circuit.rig, circuit.graph, finish.sheets)
    if found:
        return Drawing(refused(finish.sheets, found), kept, again)
    return Drawing(finish.sheets, replace(kept, finish=finish), again)


def _laid_out(view: View, drops: Drops) -> tuple[Pen, list[Draft]]:
    """Every line led to its end."""
    size, pen, pieces = _fitted(view, drops)
    drafts = [
        _draft(pen, room(size if len(pieces) == 1 else _size_of(piece, pen)), piece, f"E-{i + 1:02d}")
        for i, piece in enumerate(pieces)
    ]
    _metal(pen, drafts)
    _loose(pen, drafts)
    for d in drafts:
        for bar in d.bars:
            draw_studs(pen, d, bar)
        d.noted()
        for o in d.opens:
            d.free.blocked[d.free.index(o.x, o.y)] = 1
    lead(pen, drafts)
    return pen, drafts


def _home(view: View) -> str:
    places = Counter(p.place for p in view.rig.parts.values() if p.place and not p.group)
    return max(sorted(places), key=lambda k: places[k]) if places else ""


def _pen(view: View, drops: Drops, capital: float) -> Pen:
    return Pen(view, drops, Style(capital), _home(view), set_for(view.rig.job))


def _foot(view: View) -> float:
    n = sum(1 for m in view.rig.metal if view.at.get(m))
    return METAL_PITCH * n + (10.0 if n else 0.0)


def _fits(piece: Piece, size: str, foot: float) -> bool:
    left, top, right, bottom = bounds_of(piece)
    a, b, c, d = room(size).drawing
    return right - left <= c - a and bottom - top + foot <= d - b


#: How a sheet shrinks with its lettering: so much of its width and height stays whatever the letters (measured
#: on our own rigs: 0.24 of the width; the height is taken a little more hopefully, and then tried).
STAYS = 0.2


def _may_fit(tall: Piece, capital: float, size: str, foot: float) -> bool:
    """Whether a lettering is worth trying, judged by the tallest one."""
    left, top, right, bottom = bounds_of(tall)
    part = STAYS + (1 - STAYS) * capital / CAPITALS[0]
    a, b, c, d = room(size).drawing
    return (right - left) * part <= c - a and (bottom - top) * part + foot <= d - b


def _fitted(view: View, drops: Drops) -> tuple[str, Pen, list[Piece]]:
    """The smallest sheet and, on it, the tallest lettering that holds everything; else several sheets."""
    foot = _foot(view)
    stocks = {CAPITALS[0]: stock_of(_pen(view, drops, CAPITALS[0]))}
    tall = in_one(stocks[CAPITALS[0]])
    wholes = {CAPITALS[0]: tall}

    def stock(capital: float) -> Stock:
        if capital not in stocks:
            stocks[capital] = stock_of(_pen(view, drops, capital))
        return stocks[capital]

    sizes = sizes_for(view.rig.job)
    for size in sizes[:2]:
        for capital in CAPITALS:
            if capital in wholes or _may_fit(tall, capital, size, foot):
                if capital not in wholes:
                    wholes[capital] = in_one(stock(capital))
                whole = wholes[capital]
                if _fits(whole, size, foot):
                    return size, stocks[capital].pen, [whole]
    middle = sizes[1]
    a, b, c, d = room(middle).drawing
    for capital in CAPITALS:
        pieces = in_pieces(stock(capital), c - a, d - b - foot)
        if capital == CAPITALS[-1] or all(_fits(p, middle, foot) for p in pieces):
            return middle, stocks[capital].pen, pieces
    raise AssertionError("the last lettering is always taken")


def _size_of(piece: Piece, pen: Pen) -> str:
    foot = _foot(pen.view)
    sizes = sizes_for(pen.view.rig.job)
    return next((s for s in sizes if _fits(piece, s, foot)), sizes[-1])


def _draft(pen: Pen, r: Room, piece: Piece, number: str) -> Draft:
    """A piece put into a sheet's room, with the room as a field."""
    left, top, right, bottom = bounds_of(piece)
    a, b, c, d = r.drawing
    foot = _foot(pen.view)
    slack_x, slack_y = (c - a) - (right - left), (d - b - foot) - (bottom - top)
    dx = a - left + min(max(0.0, slack_x / 2), 40.0)
    dy = b - top + max(0.0, min(slack_y / 2, 30.0))
    dx, dy = round(dx * 4) / 4, round(dy * 4) / 4
    canvas = Canvas()
    canvas.merge(piece.column.canvas, dx, dy)
    bars = [bar.moved(dx, dy) for bar in piece.bars]
    opens = [Open(o.wire, o.x + dx, o.y + dy, o.exits, o.end) for o in piece.column.opens]
    x0, y0 = dx % GRID, dy % GRID
    x0 += GRID * -(-(a - x0) // GRID)
    y0 += GRID * -(-(b - y0) // GRID)
    free = Field(x0, y0, int((c - x0) // GRID) + 1, int((d - y0) // GRID) + 1)
    return Draft(r, number, canvas, bars, opens, free)


def _metal(pen: Pen, drafts: list[Draft]) -> None:
    """Metal bodies as lines along the foot of every sheet; those that nothing lands on are left out again."""
    view = pen.view
    wired = [m for m in view.rig.metal if view.at.get(m)]
    for d in drafts:
        lowest = max([b.y for b in d.bars] + [d.canvas.bounds()[3]])
        first = min(
            up(lowest - d.free.y0) + d.free.y0 + up(2 * pen.style.line + 4.0),
            d.free.y0 + (d.free.rows - 1) * GRID - 7.5 - METAL_PITCH * (len(wired) - 1),
        )
        for k, m in enumerate(wired):
            y = first + METAL_PITCH * k
            x1, x2 = d.free.x0 + 2 * GRID, d.free.x0 + (d.free.columns - 2) * GRID
            d.bars.append(Bar(m, y, x1, x2))


def _loose(pen: Pen, drafts: list[Draft]) -> None:
    """What no column reached, put where there is room near what it is wired to."""
    view = pen.view
    strips = [p.id for p in view.rig.parts.values() if view.is_bar(p.id) and p.id not in pen.taken]
    columns = [(i, s[0]) for i in strips if (s := bar_strip(pen, i)) is not None] + loose_columns(pen)
    for owner, column in columns:
        left, top, right, bottom = column.canvas.bounds()
        best: tuple[float, Draft, float, float] | None = None
        for d in drafts:
            field = d.noted()
            x, y, n = _pull(pen, d, owner)
            spot = field.nearest_room(
                right - left + (40.0 if owner in strips else 7.5), bottom - top + 5.0, x, y
            )
            if spot is not None:
                score = abs(spot[0] - x) + abs(spot[1] - y) - 1000.0 * n
                if best is None or score < best[0]:
                    best = (score, d, spot[0], spot[1])
        if best is None:
            drafts.append(_empty_draft(pen, (right - left, bottom - top), f"E-{len(drafts) + 1:02d}"))
            d = drafts[-1]
            x, y = d.free.x0 + 20.0, d.free.y0 + 10.0
        else:
            _, d, x, y = best
        dx = x + (20.0 if owner in strips else 5.0) - GRID * (left // GRID)
        dy = y + 2.5 - GRID * (top // GRID)
        d.canvas.merge(column.canvas, dx, dy)
        d.opens += [Open(o.wire, o.x + dx, o.y + dy, o.exits, o.end) for o in column.opens]


def _empty_draft(pen: Pen, need: tuple[float, float], number: str) -> Draft:
    """One more sheet, for what found no room on the others."""
    foot = _foot(pen.view)
    sizes = sizes_for(pen.view.rig.job)
    size = next((s for s in sizes if _room_for(s, need[0] + 60.0, need[1] + foot + 30.0)), sizes[-1])
    r = room(size)
    a, b, c, d = r.drawing
    free = Field(a, b, int((c - a) // GRID) + 1, int((d - b) // GRID) + 1)
    return Draft(r, number, Canvas(), [], [], free)


def _room_for(size: str, width: float, height: float) -> bool:
    a, b, c, d = room(size).drawing
    return width <= c - a and height <= d - b


def _pull(pen: Pen, draft: Draft, owner: str) -> tuple[float, float, int]:
    """The middle of what a part is wired to on a sheet, and how many such points there are."""
    spots: list[tuple[float, float]] = []
    for wire, end in pen.view.wires_at(owner):
        other = wire.other(end)
        spots += [
            (a.x, a.y) for a in draft.canvas.landings if any(t == other.nodes[0][1] for _, t in a.nodes)
        ]
        spots += [((b.x1 + b.x2) / 2, b.y) for b in draft.bars if b.ref == other.owner]
        spots += [(o.x, o.y) for o in draft.opens if o.end.owner == owner]
    if not spots:
        _left, top, right, bottom = draft.room.drawing
        return right, (top + bottom) / 2, 0
    return sum(s[0] for s in spots) / len(spots), sum(s[1] for s in spots) / len(spots), len(spots)
