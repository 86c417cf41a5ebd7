"""A sheet in the making: what is drawn, what is still open, and which places are free."""

from dataclasses import dataclass, field
from itertools import pairwise

from ohmwright.drawing.bank import Bar
from ohmwright.drawing.canvas import Canvas, Landing
from ohmwright.drawing.chains import wire_ink
from ohmwright.drawing.field import Field
from ohmwright.drawing.frame import Room
from ohmwright.drawing.pen import Open
from ohmwright.drawing.shapes import GRID, Box, Line, Pin, Polyline, Text
from ohmwright.drawing.view import Wire

#: How far beyond its ends a bar keeps its line free.
GROWS = 12.5


@dataclass(slots=True)
class Survey:
    """How much of a drawing is noted in its field."""

    noted: int = 0
    landed: int = 0

    def update(self, free: Field, canvas: Canvas, bars: list[Bar]) -> None:
        """Note what was drawn since."""
        items, boxes = canvas.items, canvas.boxes
        for k in range(self.noted, len(items)):
            s = items[k][1]
            if isinstance(s, Line) and s.layer == "conductor":
                free.wire(s.x1, s.y1, s.x2, s.y2)
            elif not isinstance(s, Pin):
                free.block(boxes[k], 0.9 if isinstance(s, Text) else 0.7)
        self.noted = len(items)
        landings = canvas.landings
        for landing in landings[self.landed :]:
            if landing.exits:
                free.blocked[free.index(landing.x, landing.y)] = 1
        self.landed = len(landings)
        for bar in bars:
            _lay_bar(free, bar)
            for x, _, _ in bar.taps:
                free.joint[free.index(x, bar.y)] = 1


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
    _words: list[Box] = field(default_factory=list)
    _lines: list[Box] = field(default_factory=list)
    _leaving: dict[tuple[float, float], list[tuple[float, float]]] = field(default_factory=dict)
    _read: int = 0
    _landings: dict[str, list[Landing]] = field(default_factory=dict)
    _landed: int = 0
    _survey: Survey = field(default_factory=Survey)

    def _read_on(self) -> None:
        items, boxes = self.canvas.items, self.canvas.boxes
        for k in range(self._read, len(items)):
            s = items[k][1]
            if isinstance(s, Text):
                self._words.append(boxes[k])
            elif isinstance(s, Polyline) and s.layer == "symbol":
                corners = [*s.points, s.points[0]] if s.closed else list(s.points)
                self._lines += [
                    (min(a, c), min(b, d), max(a, c), max(b, d)) for (a, b), (c, d) in pairwise(corners)
                ]
            elif isinstance(s, Line) and s.layer == "conductor":
                self._lines.append(boxes[k])
                self._leaving.setdefault((s.x1, s.y1), []).append((s.x2, s.y2))
                self._leaving.setdefault((s.x2, s.y2), []).append((s.x1, s.y1))
        self._read = len(items)

    def words(self) -> list[Box]:
        """The boxes of all lettering."""
        self._read_on()
        return self._words

    def lines(self) -> list[Box]:
        """The boxes of all conductors, and of the edges of symbols."""
        self._read_on()
        return self._lines

    def leaving(self, x: float, y: float) -> list[tuple[float, float]]:
        """The far ends of all conductor ink that ends at a point."""
        self._read_on()
        return self._leaving.get((x, y), [])

    def landings(self, terminal: str) -> list[Landing]:
        """The points of symbols that stand for a terminal and may be reached."""
        every = self.canvas.landings
        for a in every[self._landed :]:
            if a.exits:
                for t in {t for _, t in a.nodes}:
                    self._landings.setdefault(t, []).append(a)
        self._landed = len(every)
        return self._landings.get(terminal, [])

    def copied(self) -> "Draft":
        """A draft of its own that looks the same."""
        bars = [bar.copied() for bar in self.bars]
        out = Draft(self.room, self.number, self.canvas.copied(), bars, [], self.free.copied(), self.notes[:])
        out._survey = Survey(self._survey.noted, self._survey.landed)
        return out

    def noted(self) -> Field:
        """The sheet as a field, with everything drawn so far noted as taken."""
        self._survey.update(self.free, self.canvas, self.bars)
        return self.free


@dataclass(frozen=True, slots=True)
class Port:
    """Where a wire may start or arrive: grid points with the letters they may be left by."""

    draft: Draft
    points: tuple[tuple[float, float, str], ...]
    bar: Bar | None = None


def _lay_bar(free: Field, bar: Bar) -> None:
    """Note a bar as taken, and so much beyond its ends as it may still grow."""
    more = 0.0 if bar.post else GROWS
    left, right = free.x0, free.x0 + (free.columns - 1) * GRID
    free.wire(max(left, bar.x1 - more), bar.y, min(right, bar.x2 + more), bar.y, bar=True)


def tap_bar(free: Field, bar: Bar, x: float, terminal: str, side: str) -> None:
    """One more tap on a bar, which grows to hold it."""
    bar.taps.append((x, terminal, side))
    bar.x1, bar.x2 = min(bar.x1, x - GRID), max(bar.x2, x + GRID)
    free.joint[free.index(x, bar.y)] = 1
    _lay_bar(free, bar)


def starts_of(port: Port, free: Field) -> list[tuple[int, str]]:
    """Where a wire may leave a port."""
    if port.bar is not None:
        bar = port.bar
        taps = sorted(t[0] for t in bar.taps)
        steps = int((bar.x2 - bar.x1) // GRID)
        along = [bar.x1 + GRID * k for k in range(steps + 1)]
        wanted = [taps[-1] + 2 * GRID, taps[0] - 2 * GRID] if taps else [bar.x1 + 6 * GRID]
        for x in (*wanted, *along):
            n = free.index(x, bar.y)
            if abs(free.point(n)[0] - x) < GRID / 2 and not free.along[n] and not free.joint[n]:
                return [(n, "DU")]
        return []
    return [(free.index(x, y), exits) for x, y, exits in port.points]


_BACK = {"L": "R", "R": "L", "U": "D", "D": "U"}


def goals_of(port: Port, free: Field) -> dict[int, str]:
    """Where a wire may arrive at a port, and from which side."""
    if port.bar is not None:
        bar = port.bar
        a, b = free.index(bar.x1, bar.y), free.index(bar.x2, bar.y)
        return {n: "DU" for n in range(a, b + 1) if not free.along[n] and not free.joint[n]}
    return {free.index(x, y): "".join(_BACK[e] for e in exits) for x, y, exits in port.points}


def ink_path(draft: Draft, wire: Wire, points: list[tuple[float, float]]) -> None:
    """Ink for a wire from point to point, noted as taken."""
    for (x1, y1), (x2, y2) in pairwise(points):
        wire_ink(draft.canvas, wire, x1, y1, x2, y2)
        draft.free.wire(x1, y1, x2, y2)


def is_clear(draft: Draft, box: Box) -> bool:
    """True when lettering may stand in a box of the drawing room."""
    left, top, right, bottom = draft.room.drawing
    if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
        return False
    if any(
        bar.x1 < box[2] and box[0] < bar.x2 and bar.y - 1.0 < box[3] and box[1] < bar.y + 1.0
        for bar in draft.bars
    ):
        return False
    return draft.canvas.is_clear((box[0] - 0.5, box[1] - 0.4, box[2] + 0.5, box[3] + 0.4))
