"""The lettering of wires that were led freely: beside the line where there is room, else with a leader."""

from itertools import pairwise
from math import inf
from typing import TypeAlias

from ohmwright.drawing import symbols
from ohmwright.drawing.draft import Draft, is_clear
from ohmwright.drawing.field import Rooms
from ohmwright.drawing.geometry import clipped, crosses
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import GRID
from ohmwright.drawing.view import Wire
from ohmwright.drawing.words import run_words

#: Where a leader starts and ends, and the upper left corner of the words.
Beside: TypeAlias = tuple[float, float, float, float, float, float]

#: Where to look for room, from the point itself outwards.
AROUND = ((0, 0), (-1, 0), (1, 0), (0, 1), (0, -1), (-1, 1), (1, 1), (-1, -1), (1, -1))


def letter(pen: Pen, draft: Draft, wire: Wire, points: list[tuple[float, float]]) -> None:
    """Put a run's words where its line leaves room, else beside it with a leader."""
    words = run_words(
        pen.view, pen.drops, pen.view.run_pairs.get(wire.run, (wire,)) if not wire.ac else (wire,)
    )
    em = pen.style.em
    first = " ".join(w for w in (words.first, words.size) if w)
    width = max(
        text_width(words.first, em, "sans-bold") + text_width(" " + words.size, em),
        text_width(words.second, em),
    )
    height = 2 * pen.style.line
    marks = 3.0 if wire.ac else 0.0
    spans = sorted(pairwise(points), key=lambda s: -(abs(s[0][0] - s[1][0]) + abs(s[0][1] - s[1][1])))
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
                if is_clear(draft, box):
                    _write(pen, draft, wire, words.first, words.size, words.second, left, top)
                    if wire.ac:
                        symbols.core_marks(
                            draft.canvas, wire.run, x, y, wire.cores, upright=abs(x1 - x2) < 0.01
                        )
                    draft.canvas.anchor(wire.run, (x - 0.9, y, "right"))
                    return
    anchors = [
        (x1 + (x2 - x1) * part, y1 + (y2 - y1) * part)
        for (x1, y1), (x2, y2) in spans
        for part in (0.5, 0.25, 0.75)
    ]
    best = room_beside(draft, width, height, anchors)
    if best is None:
        draft.notes.append(f"{first} {words.second}: no room for its words")
        return
    x, y, edge_x, edge_y, left, top = best
    _write(pen, draft, wire, words.first, words.size, words.second, left, top)
    leader(draft, wire.run, x, y, edge_x, edge_y)
    if wire.ac:
        symbols.core_marks(
            draft.canvas, wire.run, x, y, wire.cores, upright=abs(spans[0][0][0] - spans[0][1][0]) < 0.01
        )
    draft.canvas.anchor(wire.run, (left - 0.9, top + height / 2, "right"))


def room_beside(
    draft: Draft,
    width: float,
    height: float,
    anchors: list[tuple[float, float]],
    most: int = 3,
    spread: float = 0.0,
) -> Beside | None:
    """Room for words with a leader that runs through no other words and over few lines, if there is any.

    Returns where the leader starts and ends, and the upper left corner of the words.
    """
    best: tuple[float, Beside] | None = None
    rooms = draft.free.rooms(width + 2.0, height + 2.0)
    wide = [(x, y, x + dx * 40.0, y + dy * 40.0) for x, y in anchors[:1] for dx, dy in AROUND[1:]]
    near = [
        (x, y, x + dx * spread, y + dy * spread)
        for x, y in anchors[:6]
        for dx, dy in (AROUND if spread else AROUND[:1])
    ]
    for tries in (near, wide):
        if best is not None and best[0] < TOLERABLE:
            break
        for at in tries:
            best = _better(draft, best, at, (width, height), rooms, most)
            if best is not None and best[0] < ENOUGH:
                break
    return best[1] if best else None


def _better(
    draft: Draft,
    best: tuple[float, Beside] | None,
    at: tuple[float, float, float, float],
    size: tuple[float, float],
    rooms: Rooms,
    most: int,
) -> tuple[float, Beside] | None:
    """The best of what there was and of the rooms near a place, judged by their leaders."""
    x, y, near_x, near_y = at
    width, height = size
    for _ in range(most):
        spot = rooms.nearest(near_x, near_y)
        if spot is None:
            break
        left, top = spot[0] + 1.0, spot[1] + 1.0
        edge_x = min(max(x, left - 0.6), left + width + 0.6)
        edge_y = min(max(y, top - 0.4), top + height + 0.2)
        line = (x, y, edge_x, edge_y)
        most_wanted = best[0] if best is not None else inf
        cost = 0.2 * (abs(x - edge_x) + abs(y - edge_y))
        if cost < most_wanted:
            cost += 100.0 * struck_by(draft, line)
        if cost < most_wanted:
            cost += 8.0 * crossed_by(draft, line)
        if cost < most_wanted:
            best = (cost, (x, y, edge_x, edge_y, left, top))
        if cost < ENOUGH:
            break
        rooms.take((spot[0] + GRID, spot[1], spot[0] + width, spot[1] + height))
    return best


#: A leader that costs less is good enough: no words struck, no line crossed, not long. One that costs more than
#: the second figure is worth a search further around.
ENOUGH, TOLERABLE = 8.0, 30.0


#: A leader that runs nearer to a line than this is read as part of it.
BESIDE = 1.0


def crossed_by(draft: Draft, line: tuple[float, float, float, float]) -> int:
    """How many conductors and edges of symbols a leader would cross on its way from its point.

    A bar counts five times, and a line that it would run along six times.
    """
    away = max(abs(line[2] - line[0]), abs(line[3] - line[1]), 1e-6)
    part = min(0.5, 0.6 / away)
    x, y = line[0] + (line[2] - line[0]) * part, line[1] + (line[3] - line[1]) * part
    shorter = (x, y, line[2], line[3])
    left, right = min(x, line[2]) - 0.1, max(x, line[2]) + 0.1
    top, bottom = min(y, line[3]) - 0.1, max(y, line[3]) + 0.1
    lines = 0
    for a, b, c, d in draft.lines():
        if a < right and left < c and b < bottom and top < d:
            inside = clipped(shorter, (a - BESIDE, b - BESIDE, c + BESIDE, d + BESIDE))
            if inside is not None:
                along = abs(inside[2] - inside[0]) + abs(inside[3] - inside[1])
                lines += 1 if along < 4 * BESIDE else 6
    return lines + 5 * sum(crosses(shorter, (b.x1, b.y - 0.7, b.x2, b.y + 0.7)) for b in draft.bars)


def leader(draft: Draft, ref: str, x1: float, y1: float, x2: float, y2: float) -> None:
    """A thin line from a wire to its words."""
    draft.canvas.line(ref, x1, y1, x2, y2, 0.18, colour="graphite", layer="note")
    n = max(int(abs(x2 - x1) + abs(y2 - y1)), 1)
    for k in range(n + 1):
        x, y = x1 + (x2 - x1) * k / n, y1 + (y2 - y1) * k / n
        draft.free.block((x, y, x, y), 0.5)


def struck_by(draft: Draft, line: tuple[float, float, float, float]) -> int:
    """How many texts a line would run through."""
    left, right = min(line[0], line[2]), max(line[0], line[2])
    top, bottom = min(line[1], line[3]), max(line[1], line[3])
    return sum(
        1
        for a, b, c, d in draft.words()
        if a < right and left < c and b < bottom and top < d and crosses(line, (a, b, c, d))
    )


def _write(
    pen: Pen, draft: Draft, wire: Wire, first: str, size: str, second: str, left: float, top: float
) -> None:
    em = pen.style.em
    y = top + em * 0.8
    draft.canvas.text(wire.run, left, y, first, em, "sans-bold")
    draft.canvas.text(
        wire.run, left + (text_width(first + " ", em, "sans-bold") if first else 0.0), y, size, em
    )
    draft.canvas.text(wire.run, left, y + pen.style.line, second, em)
    width = max(text_width(first, em, "sans-bold") + text_width(" " + size, em), text_width(second, em))
    draft.free.block((left, top, left + width, top + 2 * pen.style.line), 0.9)
