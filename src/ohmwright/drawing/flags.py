"""What is put on a finished circuit: flags of findings, revision triangles of new work, ticks across removed work."""

from collections.abc import Iterator

from ohmwright.drawing.bars import is_empty
from ohmwright.drawing.caption import crossed_by, struck_by
from ohmwright.drawing.draft import Draft
from ohmwright.drawing.geometry import overlap
from ohmwright.drawing.lettering import plain, text_width
from ohmwright.drawing.marks import WITHIN, LEAST_TAG_mm, tag, tag_width, triangle
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import THIN, Arc, Box, Circle, Line, Polyline, Text, edges

#: Where a mark may stand beside the points its subject offers.
NUDGES = ((0, 0), (0, 5), (0, -5), (6, 0), (12, 0), (0, 8), (0, -8))
#: A leader longer than this says less than the name beside the flag.
LONGEST_LEADER = 60.0

Spot = tuple[float, float, str]


def _spots(d: Draft, subject: str) -> Iterator[Spot]:
    """Where a mark may touch its subject: beside its symbol first, then behind its words."""
    offered = d.canvas.anchors.get(subject, [])
    for dx, dy in NUDGES:
        for x, y, to in offered:
            yield (x - dx if to == "right" else x + dx), y + dy, to
    for (ref, s), box in zip(d.canvas.items, d.canvas.boxes, strict=True):
        if ref == subject and isinstance(s, Text) and s.layer == "note":
            yield box[2] + 0.9, (box[1] + box[3]) / 2, "left"


def _place(d: Draft, subject: str, width: float, height: float) -> Spot | None:
    """The first spot at which a mark of that size covers nothing."""
    for x, y, to in _spots(d, subject):
        a, b = (x - width - 1.6, x - 0.1) if to == "right" else (x + 0.1, x + width + 1.6)
        if is_empty(d, (a, y - height / 2, b, y + height / 2)):
            return x, y, to
    return None


def _away(d: Draft, subject: str, width: float, height: float) -> tuple[Box, Spot | None] | None:
    """Room near a subject that leaves none at itself, and the point a leader may be led to without striking words."""
    offered = d.canvas.anchors.get(subject, [])
    best: tuple[float, Box, Spot | None] | None = None
    for x, y, to in offered[:3]:
        room = d.noted().nearest_room(width, height, x, y)
        if room is None:
            continue
        box = (room[0], room[1], room[0] + width, room[1] + height)
        edge = _edge(box, x, y)
        length = abs(edge[0] - x) + abs(edge[1] - y)
        clear = not struck_by(d, (x, y, *edge)) and not crossed_by(d, (x, y, *edge))
        led = (x, y, to) if clear and length <= LONGEST_LEADER else None
        score = length + (0.0 if led else 1000.0)
        if best is None or score < best[0]:
            best = (score, box, led)
    return best[1:] if best is not None else None


def _edge(box: Box, x: float, y: float) -> tuple[float, float]:
    """The point of a box nearest to another."""
    return min(max(x, box[0] + 1.0), box[2] - 1.0), min(max(y, box[1] + 1.0), box[3] - 1.0)


def _leader(d: Draft, ref: str, x1: float, y1: float, x2: float, y2: float) -> None:
    d.canvas.line(ref, x1, y1, x2, y2, THIN, colour="graphite", layer="note")


def flag(pen: Pen, d: Draft, subject: str, word: str, told: str) -> None:
    """A flag at its subject where there is room, else near it with a leader and the subject's name."""
    em = pen.style.em
    height = _height(em)
    w = tag_width(word, told, height, with_word=False) + 1.0
    at = _place(d, subject, w, height + 2.0)
    if at is not None:
        x, y, to = at
        tag(d.canvas, subject, x - 1.3 if to == "right" else x + 1.3, y, word, told, height=height, to=to)
        return
    if not d.canvas.anchors.get(subject):
        return
    name = plain(subject)
    found = _away(d, subject, w + text_width(name, em) + 5.0, height + 3.0)
    if found is None:
        d.notes.append(f"{subject}: no room for flag {told}")
        return
    (left, top, right, bottom), led = found
    tip, middle = left + w + 1.5, (top + bottom) / 2
    tag(d.canvas, subject, tip, middle, word, told, height=height, to="right")
    d.canvas.text(subject, tip + 1.6, middle + em * 0.33, name, em, "sans", "start", "graphite")
    if led is not None:
        after = tip + 2.2 + text_width(name, em)
        below, above = middle + height / 2 + 0.8, middle - height / 2 - 0.8
        start = (
            (after, middle)
            if led[0] > after
            else (left + 0.9, middle)
            if led[0] < left
            else (min(max(led[0], left + 1.0), after), below if led[1] > middle else above)
        )
        _leader(d, subject, *start, led[0], led[1])
    del right


def in_flag(s: Text, em: float) -> bool:
    """Whether lettering is the number in a flag of a sheet that is lettered in `em`."""
    return s.face == "sans-bold" and s.anchor == "middle" and s.em == _height(em) * WITHIN


def _height(em: float) -> float:
    return max(em * 1.45, LEAST_TAG_mm)


def revised(pen: Pen, d: Draft, address: str, letter: str) -> None:
    """The revision triangle at new work, with a leader where there is no room at it."""
    drawn = next((a for a in _above(address) if d.canvas.anchors.get(a)), None)
    if drawn is None:
        return
    em = pen.style.em
    size = 2 * em
    at = _place(d, drawn, size, size)
    if at is not None:
        x, y, to = at
        triangle(d.canvas, address, x - 1.2 - em if to == "right" else x + 1.2 + em, y, letter, em)
        return
    found = _away(d, drawn, size + 1.0, size + 1.0)
    if found is None:
        d.notes.append(f"{address}: no room for its revision mark")
        return
    (left, top, right, bottom), led = found
    x, y = (left + right) / 2, (top + bottom) / 2
    triangle(d.canvas, address, x, y, letter, em)
    if led is None:
        d.canvas.text(address, x + em + 0.6, y + em * 0.33, plain(address), em, "sans", "start", "violet")
        return
    away = max(abs(led[0] - x), abs(led[1] - y), 1e-6)
    _leader(d, address, x + (led[0] - x) / away * em, y + (led[1] - y) / away * em, led[0], led[1])


def _above(address: str) -> Iterator[str]:
    """An address and what it is part of."""
    while address:
        yield address
        address = address.rpartition(".")[0]


#: Removed work is crossed by strokes that far apart.
TICKS_APART = 5.0


def taken_out(d: Draft, address: str) -> None:
    """Short ticks across all ink of what is taken out: along its conductors and outlines, once across a small symbol."""
    ticks: list[Line] = []
    small: dict[str, list[Box]] = {}
    for (ref, s), box in zip(d.canvas.items, d.canvas.boxes, strict=True):
        if ref != address and not ref.startswith(f"{address}."):
            continue
        if isinstance(s, Line) and s.layer == "conductor":
            ticks += _along(s.x1, s.y1, s.x2, s.y2)
        elif isinstance(s, Text) and s.face == "sans-bold":
            y = (box[1] + box[3]) / 2
            ticks.append(Line(box[0] - 0.3, y, box[2] + 0.3, y, THIN, "", "violet", "core"))
        elif isinstance(s, Line | Polyline | Arc | Circle) and s.layer == "symbol":
            sides = [e for e in edges(s) if abs(e[2] - e[0]) + abs(e[3] - e[1]) > 2 * TICKS_APART]
            ticks += [t for e in sides for t in _along(*e)]
            if not sides:
                small.setdefault(ref, []).append(box)
    for boxes in small.values():
        left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
        right, foot = max(b[2] for b in boxes), max(b[3] for b in boxes)
        if right - left < 6 * TICKS_APART and foot - top < 6 * TICKS_APART:
            ticks.append(_tick((left + right) / 2, (top + foot) / 2, 2.0))
    words = [b for (_, s), b in zip(d.canvas.items, d.canvas.boxes, strict=True) if isinstance(s, Text)]
    for tick in ticks:
        ends = min(tick.x1, tick.x2), min(tick.y1, tick.y2), max(tick.x1, tick.x2), max(tick.y1, tick.y2)
        if tick.y1 == tick.y2 or not any(overlap(ends, w) for w in words):
            d.canvas.add(address, tick)


def _along(x1: float, y1: float, x2: float, y2: float) -> list[Line]:
    n = max(1, int((abs(x2 - x1) + abs(y2 - y1)) // TICKS_APART))
    return [_tick(x1 + (x2 - x1) * (k + 0.5) / n, y1 + (y2 - y1) * (k + 0.5) / n) for k in range(n)]


def _tick(x: float, y: float, half: float = 1.0) -> Line:
    return Line(x - half, y + half, x + half, y - half, 0.25, "", "violet", "core")
