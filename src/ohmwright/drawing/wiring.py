"""Leading open wires to their ends on the sheet, and breaking off, with names at both ends, what cannot be led."""

from dataclasses import dataclass, field, replace

from ohmwright.drawing import symbols
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.chains import wire_ink
from ohmwright.drawing.field import Field, corners
from ohmwright.drawing.frame import Room
from ohmwright.drawing.geometry import crosses
from ohmwright.drawing.layout import arrow
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Open, Pen
from ohmwright.drawing.shapes import GRID, Line, Pin, Polyline, Text
from ohmwright.drawing.view import End, Wire
from ohmwright.drawing.words import run_words

#: Steps of the grid a wire may cost before it is broken off instead.
LONGEST = 190


@dataclass(slots=True)
class Draft:
    """A sheet in the making: everything in sheet coordinates."""

    room: Room
    number: str
    canvas: Canvas
    bars: list[Bar]
    opens: list[Open]
    free: Field
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Port:
    """Where a wire may start or arrive: grid points with the letters they may be left by."""

    draft: Draft
    points: tuple[tuple[float, float, str], ...]
    bar: Bar | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """A wire to be led from one place to another; `lettered` is False when its words are still to be placed."""

    wire: Wire
    source: Port | None
    target: Port | None
    source_end: End
    target_end: End
    lettered: bool


def note_shapes(free: Field, canvas: Canvas, bars: list[Bar]) -> None:
    """Mark everything drawn as taken."""
    for (_, s), box in zip(canvas.items, canvas.boxes, strict=True):
        if isinstance(s, Line) and s.layer == "conductor":
            free.wire(s.x1, s.y1, s.x2, s.y2)
        elif not isinstance(s, Pin):
            free.block(box, 0.9 if isinstance(s, Text) else 0.7)
    for bar in bars:
        free.wire(bar.x1, bar.y, bar.x2, bar.y, bar=True)
        for x, _, _ in bar.taps:
            free.joint[free.index(x, bar.y)] = 1


def landings(drafts: list[Draft], wire: Wire, end: End) -> list[Port]:
    """All places of an end: a bar, or pins of symbols."""
    out: list[Port] = []
    for d in drafts:
        for bar in d.bars:
            if bar.ref == end.owner or (bar.post and not wire.ac and bar.post == end.terminal):
                out.append(Port(d, (), bar))
        spots = []
        for a in d.canvas.landings:
            if not a.exits:
                continue
            if wire.ac and len(wire.cores) > 1:
                if len(a.nodes) > 1 and any(t == end.nodes[0][1] for _, t in a.nodes):
                    spots.append((a.x, a.y, a.exits))
            elif a.nodes == (("", end.terminal),):
                spots.append((a.x, a.y, a.exits))
        if spots:
            out.append(Port(d, (*spots, *_joints(d, spots))))
    return out


def _joints(draft: Draft, spots: list[tuple[float, float, str]]) -> list[tuple[float, float, str]]:
    """Points close to a pin on the line that leaves it already: another wire of the same terminal may join there."""
    out = []
    at = {(x, y) for x, y, _ in spots}
    for _, s in draft.canvas.items:
        if not isinstance(s, Line) or s.layer != "conductor":
            continue
        for x, y, fx, fy in ((s.x1, s.y1, s.x2, s.y2), (s.x2, s.y2, s.x1, s.y1)):
            if (x, y) not in at:
                continue
            length = abs(fx - x) + abs(fy - y)
            for step in (GRID, 2 * GRID):
                if step < length:
                    ux, uy = (fx - x) / length, (fy - y) / length
                    out.append((x + ux * step, y + uy * step, "LR" if uy else "UD"))
    return out


def tasks_of(pen: Pen, drafts: list[Draft]) -> list[Task]:
    """Every wire that is not finished, nearest first."""
    tasks: list[Task] = []
    opened: set[str] = set()
    for d in drafts:
        for o in d.opens:
            opened.add(o.wire.id)
            other = o.wire.other(o.end) if o.end in (o.wire.a, o.wire.b) else o.wire.a
            tasks.append(_aimed(drafts, Task(o.wire, Port(d, ((o.x, o.y, o.exits),)), None, other, o.end, True)))
    for wire in pen.view.wires.values():
        if wire.id not in pen.taken and wire.id not in opened:
            tasks.append(_aimed(drafts, Task(wire, None, None, wire.a, wire.b, False)))
    return sorted(tasks, key=lambda t: (_distance(t), t.wire.id))


def _aimed(drafts: list[Draft], task: Task) -> Task:
    """The task with the places its ends can be reached at now."""
    targets = landings(drafts, task.wire, task.target_end)
    if task.lettered and task.source is not None:
        here = task.source.draft
        return replace(task, target=next((t for t in targets if t.draft is here), targets[0] if targets else None))
    sources = landings(drafts, task.wire, task.source_end)
    pair = next(((p, q) for p in sources for q in targets if p.draft is q.draft), None)
    source, target = pair or (sources[0] if sources else None, targets[0] if targets else None)
    return replace(task, source=source, target=target)


def _distance(task: Task) -> float:
    if task.source is None or task.target is None or task.source.draft is not task.target.draft:
        return 1e6
    ys = [p[1] for p in task.source.points] or [task.source.bar.y if task.source.bar else 0.0]
    yt = [p[1] for p in task.target.points] or [task.target.bar.y if task.target.bar else 0.0]
    if task.source.points and task.target.points:
        return min(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a in task.source.points for b in task.target.points)
    return min(abs(a - b) for a in ys for b in yt)


def lead(pen: Pen, drafts: list[Draft], *, break_all: frozenset[str] = frozenset()) -> None:
    """Lead every open wire, or break it off."""
    waiting: list[Task] = []
    for task in tasks_of(pen, drafts):
        pen.taken.add(task.wire.id)
        task = _aimed(drafts, task)
        together = task.source is not None and task.target is not None and task.source.draft is task.target.draft
        away = task.wire.id.startswith("~") and task.target is None
        if away or not together or task.wire.id in break_all or not _routed(pen, task):
            waiting.append(task)
    for task in waiting:
        _broken(pen, drafts, _aimed(drafts, task))


def _starts(port: Port, free: Field) -> list[tuple[int, str]]:
    if port.bar is not None:
        bar = port.bar
        taps = [t[0] for t in bar.taps]
        x = max(taps) + 2 * GRID if taps else bar.x1 + 6 * GRID
        return [(free.index(x, bar.y), "DU")]
    return [(free.index(x, y), exits) for x, y, exits in port.points]


_BACK = {"L": "R", "R": "L", "U": "D", "D": "U"}


def _goals(port: Port, free: Field) -> dict[int, str]:
    if port.bar is not None:
        bar = port.bar
        a, b = free.index(bar.x1, bar.y), free.index(bar.x2, bar.y)
        return {n: "DU" for n in range(a, b + 1) if not free.along[n] and not free.joint[n]}
    return {free.index(x, y): "".join(_BACK[e] for e in exits) for x, y, exits in port.points}


def _routed(pen: Pen, task: Task) -> bool:
    source, target = task.source, task.target
    assert source is not None and target is not None
    if source.bar is not None and target.bar is None:
        source, target = target, source
    draft = source.draft
    free = draft.free
    path = free.route(_starts(source, free), _goals(target, free), LONGEST)
    if path is None:
        return False
    points = corners([free.point(n) for n in path])
    _ink(draft, task.wire, points)
    if task.wire.ac:
        for port, (x, y) in ((source, points[0]), (target, points[-1])):
            end = task.target_end if port is task.target else task.source_end
            draft.canvas.add(task.wire.run, Pin(x, y, end.nodes))
    for port, (x, _) in ((source, points[0]), (target, points[-1])):
        if port.bar is not None:
            end = task.target_end if port is task.target else task.source_end
            nxt = points[1] if port is source else points[-2]
            side = "above" if nxt[1] < port.bar.y else "below"
            port.bar.taps.append((x, end.terminal, side))
            port.bar.x1, port.bar.x2 = min(port.bar.x1, x - 2.5), max(port.bar.x2, x + 2.5)
            free.joint[free.index(x, port.bar.y)] = 1
    if not task.lettered:
        letter(pen, draft, task.wire, points)
    return True


def _ink(draft: Draft, wire: Wire, points: list[tuple[float, float]]) -> None:
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        wire_ink(draft.canvas, wire, x1, y1, x2, y2)
        draft.free.wire(x1, y1, x2, y2)


def letter(pen: Pen, draft: Draft, wire: Wire, points: list[tuple[float, float]]) -> None:
    """Put a run's words where its line leaves room, else beside it with a leader."""
    words = run_words(pen.view, pen.drops, pen.view.run_pairs.get(wire.run, (wire,)) if not wire.ac else (wire,))
    em = pen.style.em
    first = " ".join(w for w in (words.first, words.size) if w)
    width = max(text_width(words.first, em, "sans-bold") + text_width(" " + words.size, em), text_width(words.second, em))
    height = 2 * pen.style.line
    marks = 3.0 if wire.ac else 0.0
    spans = sorted(zip(points, points[1:], strict=False), key=lambda s: -(abs(s[0][0] - s[1][0]) + abs(s[0][1] - s[1][1])))
    for (x1, y1), (x2, y2) in spans:
        length = abs(x1 - x2) + abs(y1 - y2)
        steps = max(int(length // GRID), 1)
        for k in sorted(range(1, steps), key=lambda k: abs(k - steps / 2)) or [1]:
            x, y = x1 + (x2 - x1) * k / steps, y1 + (y2 - y1) * k / steps
            if abs(x1 - x2) < 0.01:
                options = ((x + 1.5 + marks, y - height / 2), (x - 1.5 - marks - width, y - height / 2))
            else:
                options = ((x - width / 2, y - height - 0.6), (x - width / 2, y + 1.4 + marks / 2))
            for left, top in options:
                box = (left, top, left + width, top + height)
                if _clear(draft, box):
                    _write(pen, draft, wire, words.first, words.size, words.second, left, top)
                    if wire.ac:
                        symbols.core_marks(draft.canvas, wire.run, x, y, wire.cores, upright=abs(x1 - x2) < 0.01)
                    draft.canvas.anchors.setdefault(wire.run, []).append((x - 0.9, y, "right"))
                    return
    best: tuple[int, float, float, float, float, float, float] | None = None
    for (x1, y1), (x2, y2) in spans:
        for part in (0.5, 0.25, 0.75):
            x, y = x1 + (x2 - x1) * part, y1 + (y2 - y1) * part
            spot = draft.free.nearest_room(width + 2.0, height + 2.0, x, y)
            if spot is None:
                continue
            left, top = spot[0] + 1.0, spot[1] + 1.0
            edge_x, edge_y = min(max(x, left - 0.6), left + width + 0.6), min(max(y, top - 0.4), top + height + 0.2)
            struck = _struck(draft, (x, y, edge_x, edge_y))
            if best is None or struck < best[0]:
                best = (struck, x, y, edge_x, edge_y, left, top)
        if best is not None and not best[0]:
            break
    if best is None:
        draft.notes.append(f"{first} {words.second}: no room for its words")
        return
    _, x, y, edge_x, edge_y, left, top = best
    _write(pen, draft, wire, words.first, words.size, words.second, left, top)
    _leader(draft, wire.run, x, y, edge_x, edge_y)
    if wire.ac:
        symbols.core_marks(draft.canvas, wire.run, x, y, wire.cores, upright=abs(spans[0][0][0] - spans[0][1][0]) < 0.01)
    draft.canvas.anchors.setdefault(wire.run, []).append((left - 0.9, top + height / 2, "right"))


def _leader(draft: Draft, ref: str, x1: float, y1: float, x2: float, y2: float) -> None:
    """A thin line from a wire to its words."""
    draft.canvas.line(ref, x1, y1, x2, y2, 0.18, colour="graphite", layer="note")
    n = max(int(abs(x2 - x1) + abs(y2 - y1)), 1)
    for k in range(n + 1):
        x, y = x1 + (x2 - x1) * k / n, y1 + (y2 - y1) * k / n
        draft.free.block((x, y, x, y), 0.5)


def _struck(draft: Draft, line: tuple[float, float, float, float]) -> int:
    """How many texts a line would run through."""
    return sum(1 for (_, s), b in zip(draft.canvas.items, draft.canvas.boxes, strict=True) if isinstance(s, Text) and crosses(line, b))


def _clear(draft: Draft, box: tuple[float, float, float, float]) -> bool:
    left, top, right, bottom = draft.room.drawing
    if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
        return False
    if any(bar.x1 < box[2] and box[0] < bar.x2 and bar.y - 1.0 < box[3] and box[1] < bar.y + 1.0 for bar in draft.bars):
        return False
    return draft.canvas.is_clear((box[0] - 0.5, box[1] - 0.4, box[2] + 0.5, box[3] + 0.4))


def _write(pen: Pen, draft: Draft, wire: Wire, first: str, size: str, second: str, left: float, top: float) -> None:
    em = pen.style.em
    y = top + em * 0.8
    draft.canvas.text(wire.run, left, y, first, em, "sans-bold")
    draft.canvas.text(wire.run, left + (text_width(first + " ", em, "sans-bold") if first else 0.0), y, size, em)
    draft.canvas.text(wire.run, left, y + pen.style.line, second, em)
    width = max(text_width(first, em, "sans-bold") + text_width(" " + size, em), text_width(second, em))
    draft.free.block((left, top, left + width, top + 2 * pen.style.line), 0.9)


# ------------------------------------------------------------------------------------------------- broken off


def _broken(pen: Pen, drafts: list[Draft], task: Task) -> None:
    """Name both ends of a line that goes on elsewhere."""
    key = task.wire.id
    for port, here, there, other in (
        (task.source, task.source_end, task.target_end, task.target),
        (task.target, task.target_end, task.source_end, task.source),
    ):
        if port is None:
            continue
        place = _place_words(drafts, port, other, there)
        first = not task.lettered and port is task.source
        told = place if not first else ""
        if not _mark(pen, port, task.wire, key, told or place, here, first=first):
            _beside(pen, port, task.wire, key, place, here)


def _place_words(drafts: list[Draft], port: Port, other: Port | None, there: End) -> str:
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
    words = run_words(pen.view, pen.drops, pen.view.run_pairs.get(wire.run, (wire,)) if not wire.ac else (wire,)) if not key.startswith("~") else None
    lines = [f"{run.rpartition('.')[0]} {run.rpartition('.')[2]} {place}" if key.startswith("~") else place if not first and port.points else f"{wire.run} {place}"]
    if first and words is not None:
        lines = [f"{words.first} {words.size}".strip(), words.second, place]
    width = max(text_width(w, em) for w in lines) + 0.5
    if len(lines) == 1 and _quick(draft, wire, port, key, lines[0], width, em, end):
        return True
    height = max(5.0, len(lines) * pen.style.line + 1.2)
    starts = _starts(port, draft.free)
    x0, y0 = draft.free.point(starts[0][0])
    for _ in range(6):
        spot = draft.free.nearest_room(width + 6.0, height, x0, y0)
        if spot is None:
            break
        left, top = spot
        right = left + GRID * (-(-(width + 6.0) // GRID))
        row = top + GRID * round(height / 2 / GRID)
        goals = {draft.free.index(left, row): "R", draft.free.index(right, row): "L"}
        kept = bytes(draft.free.blocked)
        draft.free.block((left, top, right, top + height), 0.0)
        path = draft.free.route(starts, goals, 80)
        draft.free.blocked[:] = kept
        if path is None:
            draft.free.block((left, top, left + GRID, top + GRID), 0.0)
            continue
        points = corners([draft.free.point(n) for n in path])
        _ink(draft, wire, points)
        x, y = points[-1]
        to = "right" if x < (left + right) / 2 else "left"
        arrow(draft.canvas, wire.run, x, y, to)
        draft.canvas.add(wire.run, Pin(x, y, (), key))
        if wire.ac:
            draft.canvas.add(wire.run, Pin(*points[0], end.nodes))
        tx = x + (2.2 if to == "right" else -2.2)
        base = y + em * 0.33 - (len(lines) - 1) * pen.style.line / 2
        for i, line in enumerate(lines):
            draft.canvas.text(wire.run, tx, base + i * pen.style.line, line, em, "sans-semibold" if first and i == 0 else "sans", "start" if to == "right" else "end", "ink" if first else "graphite")
        draft.free.block((min(x, tx + (0 if to == "right" else -width)), top, max(x, tx + (width if to == "right" else 0)), top + height), 0.3)
        if port.bar is not None:
            bar = port.bar
            side = "above" if len(points) > 1 and points[1][1] < bar.y else "below"
            bar.taps.append((points[0][0], end.terminal, side))
            bar.x1, bar.x2 = min(bar.x1, points[0][0] - 2.5), max(bar.x2, points[0][0] + 2.5)
        if wire.ac and first:
            (ax, ay), (bx, by) = points[0], points[1]
            symbols.core_marks(draft.canvas, wire.run, (ax + bx) / 2, (ay + by) / 2, wire.cores, upright=abs(ax - bx) < 0.01)
        draft.canvas.anchors.setdefault(wire.run, []).append((x, y - 3.0, "right"))
        return True
    return False


def _beside(pen: Pen, port: Port, wire: Wire, key: str, place: str, end: End) -> None:
    """The last way out: the words where there is room, a thin leader to the point, no line at all."""
    draft, em = port.draft, pen.style.em
    x, y = draft.free.point(_starts(port, draft.free)[0][0])
    words = run_words(pen.view, pen.drops, (wire,)) if not key.startswith("~") else None
    told = f"{wire.run} {words.size if words else key.partition('@')[0].rpartition('.')[2]} {words.second if words else ''} to {place}"
    told = " ".join(told.split(" "))
    width = text_width(told, em)
    spot = draft.free.nearest_room(width + 2.0, 5.0, x, y)
    draft.canvas.add(wire.run, Pin(x, y, end.nodes if wire.ac else (), key))
    if port.bar is not None:
        port.bar.taps.append((x, end.terminal, "below"))
    if spot is None:
        draft.notes.append(f"{told}: no room on the sheet")
        return
    kept = bytes(draft.free.blocked)
    best: tuple[int, float, float] | None = None
    for _ in range(16):
        left, base = spot[0] + 1.0, spot[1] + 3.2
        struck = _struck(draft, (x, y, min(max(x, left), left + width), base - em * 0.75 if y < base else base + em * 0.25))
        if best is None or struck < best[0]:
            best = (struck, left, base)
        if not struck:
            break
        draft.free.block((spot[0], spot[1], spot[0] + GRID, spot[1] + GRID), 0.0)
        spot = draft.free.nearest_room(width + 2.0, 5.0, x, y) or spot
    draft.free.blocked[:] = kept
    assert best is not None
    _, left, base = best
    draft.canvas.text(wire.run, left, base, told, em)
    draft.free.block((left, base - em, left + width, base + 1.0), 0.5)
    to_x = min(max(x, left), left + width)
    _leader(draft, wire.run, x, y, to_x, base - em * 0.75 if y < base else base + em * 0.25)
    draft.canvas.anchors.setdefault(wire.run, []).append((left - 0.9, base, "right"))


def _quick(draft: Draft, wire: Wire, port: Port, key: str, told: str, width: float, em: float, end: End) -> bool:
    """The mark right at the point, when there is room for it."""
    for x, y, exits in port.points:
        for letter_ in exits:
            dx, dy = {"L": (-GRID, 0.0), "R": (GRID, 0.0), "D": (0.0, GRID), "U": (0.0, -GRID)}[letter_]
            tip_x, tip_y = x + dx, y + dy
            if letter_ in "LR":
                box = (tip_x - 2.2 - width, y - em * 0.75, tip_x - 0.2, y + em * 0.3) if letter_ == "L" else (tip_x + 0.2, y - em * 0.75, tip_x + 2.2 + width, y + em * 0.3)
                text = (tip_x + (-2.2 if letter_ == "L" else 2.2), y + em * 0.33, "end" if letter_ == "L" else "start")
            else:
                sign = 1.0 if letter_ == "D" else -1.0
                base = tip_y + sign * 2.2 + (em * 0.66 if sign > 0 else -em * 0.2)
                box = (x - width / 2, base - em * 0.75, x + width / 2, base + em * 0.25)
                text = (x, base, "middle")
            if not _clear(draft, box):
                continue
            wire_ink(draft.canvas, wire, x, y, tip_x, tip_y)
            draft.free.wire(x, y, tip_x, tip_y)
            arrow(draft.canvas, wire.run, tip_x, tip_y, {"L": "left", "R": "right", "D": "down", "U": "up"}[letter_])
            draft.canvas.add(wire.run, Pin(tip_x, tip_y, (), key))
            if wire.ac:
                draft.canvas.add(wire.run, Pin(x, y, end.nodes))
            draft.canvas.text(wire.run, text[0], text[1], told, em, "sans", text[2], "graphite")  # type: ignore[arg-type]
            draft.free.block(box, 0.5)
            return True
    return False


__all__ = ["Draft", "Polyline", "lead", "note_shapes"]
