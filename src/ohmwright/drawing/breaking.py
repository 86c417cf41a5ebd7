"""Lines that are broken off: an arrow and the other end's name and zone at both ends."""

from ohmwright.drawing import symbols
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.bars import number_tap
from ohmwright.drawing.caption import leader, room_beside
from ohmwright.drawing.chains import wire_ink
from ohmwright.drawing.draft import Draft, Port, ink_path, is_clear, starts_of, tap_bar
from ohmwright.drawing.field import corners
from ohmwright.drawing.layout import arrow
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import GRID, Pin
from ohmwright.drawing.view import End, Wire
from ohmwright.drawing.words import run_words

#: What the way to a mark may cost; beyond it the words stand by themselves with a leader.
FARTHEST = 80


def break_off(
    pen: Pen,
    wire: Wire,
    source: Port | None,
    target: Port | None,
    source_end: End,
    target_end: End,
    *,
    lettered: bool,
) -> None:
    """Name both ends of a line that goes on elsewhere."""
    key = wire.id
    for port, here, there, other in (
        (source, source_end, target_end, target),
        (target, target_end, source_end, source),
    ):
        if port is None:
            continue
        place = _place_words(port, other, there)
        first = not lettered and port is source
        told = place if not first else ""
        if not _mark(pen, port, wire, key, told or place, here, first=first):
            _beside(pen, port, wire, key, place, here)


def _place_words(port: Port, other: Port | None, there: End) -> str:
    terminal = there.nodes[0][1] if len(there.nodes) == 1 else there.port
    if terminal.startswith("~"):
        terminal = terminal.lstrip("~").split("@")[0]
    where = ""
    if other is not None:
        x, y = (other.bar.x2, other.bar.y) if other.bar is not None else other.points[0][:2]
        zone = other.draft.room.zone(x, y)
        where = zone if other.draft is port.draft else f"{other.draft.number} {zone}"
    return " ".join(w for w in (terminal, where) if w)


def _mark(pen: Pen, port: Port, wire: Wire, key: str, place: str, end: End, *, first: bool) -> bool:
    """An arrow with the other end's name where there is room near the point."""
    draft, em = port.draft, pen.style.em
    run = key.lstrip("~").split("@")[0]
    words = (
        run_words(pen.view, pen.drops, pen.view.run_pairs.get(wire.run, (wire,)) if not wire.ac else (wire,))
        if not key.startswith("~")
        else None
    )
    lines = [
        f"{run.rpartition('.')[0]} {run.rpartition('.')[2]} {place}"
        if key.startswith("~")
        else place
        if not first and port.points
        else f"{wire.run} {place}"
    ]
    if first and words is not None:
        lines = [f"{words.first} {words.size}".strip(), words.second, place]
    width = max(text_width(w, em) for w in lines) + 0.5
    if len(lines) == 1 and _quick(draft, wire, port, key, lines[0], width, em, end):
        return True
    height = max(5.0, len(lines) * pen.style.line + 1.2)
    starts = starts_of(port, draft.free)
    if not starts:
        return False
    x0, y0 = draft.free.point(starts[0][0])
    if port.bar is not None:
        _keep_for_stud(draft, port.bar, x0, end.terminal, em)
    untried = bytes(draft.free.blocked)
    for _ in range(6):
        spot = draft.free.nearest_room(width + 6.0, height, x0, y0)
        if spot is None:
            break
        left, top = spot
        right = left + GRID * (-(-(width + 6.0) // GRID))
        row = top + GRID * round(height / 2 / GRID)
        goals = {draft.free.index(left, row): "R", draft.free.index(right, row): "L"}
        tried = bytes(draft.free.blocked)
        draft.free.blocked[:] = untried
        draft.free.block((left, top, right, top + height), 0.0)
        path = draft.free.route(starts, goals, FARTHEST)
        draft.free.blocked[:] = untried if path is not None else tried
        if path is None:
            draft.free.block((left + GRID, top + GRID, right - GRID, top + height - GRID), 0.0)
            continue
        points = corners([draft.free.point(n) for n in path])
        ink_path(draft, wire, points)
        x, y = points[-1]
        to = "right" if x < (left + right) / 2 else "left"
        arrow(draft.canvas, wire.run, x, y, to)
        draft.canvas.add(wire.run, Pin(x, y, (), key))
        if wire.ac:
            draft.canvas.add(wire.run, Pin(*points[0], end.nodes))
        tx = x + (2.2 if to == "right" else -2.2)
        base = y + em * 0.33 - (len(lines) - 1) * pen.style.line / 2
        for i, line in enumerate(lines):
            draft.canvas.text(
                wire.run,
                tx,
                base + i * pen.style.line,
                line,
                em,
                "sans-semibold" if first and i == 0 else "sans",
                "start" if to == "right" else "end",
                "ink" if first else "graphite",
            )
        draft.free.block(
            (
                min(x, tx + (0 if to == "right" else -width)),
                top,
                max(x, tx + (width if to == "right" else 0)),
                top + height,
            ),
            0.3,
        )
        if port.bar is not None:
            bar = port.bar
            side = "above" if len(points) > 1 and points[1][1] < bar.y else "below"
            tap_bar(draft.free, bar, points[0][0], end.terminal, side)
            number_tap(pen, draft, bar)
        if wire.ac and first:
            (ax, ay), (bx, by) = points[0], points[1]
            symbols.core_marks(
                draft.canvas, wire.run, (ax + bx) / 2, (ay + by) / 2, wire.cores, upright=abs(ax - bx) < 0.01
            )
        draft.canvas.anchor(wire.run, (x, y - 3.0, "right"))
        return True
    draft.free.blocked[:] = untried
    return False


def _keep_for_stud(draft: Draft, bar: Bar, x: float, terminal: str, em: float) -> None:
    """Keep the places of a stud's number free, above and below the bar, left of the tap to be."""
    width = text_width(terminal.removeprefix(bar.ref + ".").split(".")[0], em)
    for top in (bar.y + 1.2, bar.y - 1.2 - em * 0.66):
        draft.free.block((x - 0.8 - width, top, x - 0.8, top + em * 0.66), 0.4)


def _beside(pen: Pen, port: Port, wire: Wire, key: str, place: str, end: End) -> None:
    """The last way out: the words where there is room, a thin leader to the point, no line at all."""
    draft, em = port.draft, pen.style.em
    starts = starts_of(port, draft.free)
    if not starts:
        draft.notes.append(f"{wire.run}: no room on the bar for {end.terminal}")
        return
    x, y = draft.free.point(starts[0][0])
    words = run_words(pen.view, pen.drops, (wire,)) if not key.startswith("~") else None
    told = f"{wire.run} {words.size if words else key.partition('@')[0].rpartition('.')[2]} {words.second if words else ''} to {place}"
    told = " ".join(told.split(" "))
    width = text_width(told, em)
    draft.canvas.add(wire.run, Pin(x, y, end.nodes if wire.ac else (), key))
    if port.bar is not None:
        tap_bar(draft.free, port.bar, x, end.terminal, "below")
        number_tap(pen, draft, port.bar)
    best = room_beside(draft, width, em, [(x, y)], 3, 40.0)
    if best is None:
        draft.notes.append(f"{told}: no room on the sheet")
        return
    _, _, edge_x, edge_y, left, top = best
    base = top + em * 0.75
    draft.canvas.text(wire.run, left, base, told, em)
    draft.free.block((left, top, left + width, top + em), 0.5)
    leader(draft, wire.run, x, y, edge_x, edge_y)
    draft.canvas.anchor(wire.run, (left - 0.9, base, "right"))


def _quick(
    draft: Draft, wire: Wire, port: Port, key: str, told: str, width: float, em: float, end: End
) -> bool:
    """The mark right at the point, when there is room for it."""
    for x, y, exits in port.points:
        for letter_ in exits:
            dx, dy = {"L": (-GRID, 0.0), "R": (GRID, 0.0), "D": (0.0, GRID), "U": (0.0, -GRID)}[letter_]
            tip_x, tip_y = x + dx, y + dy
            if letter_ in "LR":
                box = (
                    (tip_x - 2.2 - width, y - em * 0.75, tip_x - 0.2, y + em * 0.3)
                    if letter_ == "L"
                    else (tip_x + 0.2, y - em * 0.75, tip_x + 2.2 + width, y + em * 0.3)
                )
                text = (
                    tip_x + (-2.2 if letter_ == "L" else 2.2),
                    y + em * 0.33,
                    "end" if letter_ == "L" else "start",
                )
            else:
                sign = 1.0 if letter_ == "D" else -1.0
                base = tip_y + sign * 2.2 + (em * 0.66 if sign > 0 else -em * 0.2)
                box = (x - width / 2, base - em * 0.75, x + width / 2, base + em * 0.25)
                text = (x, base, "middle")
            if not is_clear(draft, box) or not _open_way(draft, x, y, tip_x, tip_y):
                continue
            wire_ink(draft.canvas, wire, x, y, tip_x, tip_y)
            draft.free.wire(x, y, tip_x, tip_y)
            arrow(
                draft.canvas,
                wire.run,
                tip_x,
                tip_y,
                {"L": "left", "R": "right", "D": "down", "U": "up"}[letter_],
            )
            draft.canvas.add(wire.run, Pin(tip_x, tip_y, (), key))
            if wire.ac:
                draft.canvas.add(wire.run, Pin(x, y, end.nodes))
            draft.canvas.text(wire.run, text[0], text[1], told, em, "sans", text[2], "graphite")  # type: ignore[arg-type]
            draft.free.block(box, 0.5)
            return True
    return False


def _open_way(draft: Draft, x: float, y: float, tip_x: float, tip_y: float) -> bool:
    """True when no other wire lies where a short stub would go."""
    free = draft.free
    n, tip = free.index(x, y), free.index(tip_x, tip_y)
    lying = free.across[n] if y == tip_y else free.along[n]
    own_end = free.joint[n]
    return not (free.across[tip] or free.along[tip] or free.blocked[tip]) and not (lying and not own_end)
