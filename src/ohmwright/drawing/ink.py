"""From wires laid out to ink: pieces of one line welded, a half circle where lines cross without being joined, a dot
where they are."""

from collections import defaultdict
from dataclasses import dataclass

from ohmwright.drawing.bank import Bar
from ohmwright.drawing.shapes import Arc, Circle, Dash, Line, Shape

HOP_BAR, HOP = 1.9, 1.1
DOT = 0.75
_EPS = 0.01


@dataclass(frozen=True, slots=True)
class Straight:
    """A welded line: upright or level, at `at`, from `start` to `stop`."""

    upright: bool
    at: float
    start: float
    stop: float
    weight: float
    dash: Dash


def weld(lines: list[Line]) -> list[Straight]:
    """Pieces on one line that touch, as one."""
    by_line: dict[tuple[bool, float, float, Dash], list[tuple[float, float]]] = defaultdict(list)
    for line in lines:
        upright = abs(line.x1 - line.x2) < _EPS
        at, a, b = (line.x1, line.y1, line.y2) if upright else (line.y1, line.x1, line.x2)
        by_line[(upright, round(at, 3), line.weight, line.dash)].append((min(a, b), max(a, b)))
    out: list[Straight] = []
    for (upright, at, weight, dash), spans in by_line.items():
        spans.sort()
        start, stop = spans[0]
        for a, b in spans[1:]:
            if a <= stop + _EPS:
                stop = max(stop, b)
            else:
                out.append(Straight(upright, at, start, stop, weight, dash))
                start, stop = a, b
        out.append(Straight(upright, at, start, stop, weight, dash))
    return out


def _joined_points(lines: list[Line]) -> dict[tuple[float, float], int]:
    """How many ends of lines meet at a point."""
    ends: dict[tuple[float, float], int] = defaultdict(int)
    for s in lines:
        ends[(round(s.x1, 2), round(s.y1, 2))] += 1
        ends[(round(s.x2, 2), round(s.y2, 2))] += 1
    return ends


def inked(lines: list[Line], bars: list[Bar]) -> list[Shape]:
    """The conductors as they are printed: welded, with hops and dots."""
    straights = weld(lines)
    level = [s for s in straights if not s.upright]
    upright = [s for s in straights if s.upright]
    out: list[Shape] = []
    for s in upright:
        over = {
            (h.at, HOP)
            for h in level
            if h.start + _EPS < s.at < h.stop - _EPS and s.start + _EPS < h.at < s.stop - _EPS
        }
        over |= {
            (b.y, HOP_BAR)
            for b in bars
            if b.ref and b.x1 - _EPS < s.at < b.x2 + _EPS and s.start + _EPS < b.y < s.stop - _EPS
        }
        out += _hopped(s, sorted(over))
    out += [Line(s.start, s.at, s.stop, s.at, s.weight, s.dash, "ink", "conductor") for s in level]
    out += _dots(lines, level, upright)
    return out


def _hopped(s: Straight, hops: list[tuple[float, float]]) -> list[Shape]:
    """Where a line has to leap over others: half circles, smaller ones where two leaps would touch."""
    out: list[Shape] = []
    at = s.start
    for k, (y, wanted) in enumerate(hops):
        near = min([abs(y - other) for j, (other, _) in enumerate(hops) if j != k], default=9.9)
        r = min(wanted, near / 2 - 0.05)
        if y - r > at + _EPS:
            out.append(Line(s.at, at, s.at, y - r, s.weight, s.dash, "ink", "conductor"))
        out.append(Arc(s.at, y, r, 270, 90, s.weight, "", "ink", "hop"))
        at = y + r
    if s.stop > at + _EPS:
        out.append(Line(s.at, at, s.at, s.stop, s.weight, s.dash, "ink", "conductor"))
    return out


def _dots(lines: list[Line], level: list[Straight], upright: list[Straight]) -> list[Shape]:
    """A dot where an end meets the middle of another line, or three ends meet."""
    spots: set[tuple[float, float]] = set()
    for h in level:
        for s in upright:
            on_h = h.start - _EPS <= s.at <= h.stop + _EPS
            on_s = s.start - _EPS <= h.at <= s.stop + _EPS
            if not (on_h and on_s):
                continue
            inside_h = h.start + _EPS < s.at < h.stop - _EPS
            inside_s = s.start + _EPS < h.at < s.stop - _EPS
            if inside_h != inside_s:
                spots.add((round(s.at, 2), round(h.at, 2)))
    for point, n in _joined_points(lines).items():
        if n >= 3 and _meets(point, level, upright) >= 3:
            spots.add(point)
    return [Circle(x, y, DOT, 0.0, "ink", "dot", "ink") for x, y in sorted(spots)]


def _meets(point: tuple[float, float], level: list[Straight], upright: list[Straight]) -> int:
    """From how many sides welded lines come to a point."""
    x, y = point
    n = 0
    for h in level:
        if abs(h.at - y) < _EPS and h.start - _EPS <= x <= h.stop + _EPS:
            n += (h.start < x - _EPS) + (h.stop > x + _EPS)
    for s in upright:
        if abs(s.at - x) < _EPS and s.start - _EPS <= y <= s.stop + _EPS:
            n += (s.start < y - _EPS) + (s.stop > y + _EPS)
    return n
