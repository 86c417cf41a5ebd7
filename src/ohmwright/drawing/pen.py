"""What every piece of the layout needs at hand: the rig as seen, the lettering, and what is drawn already."""

import math
from dataclasses import dataclass, field

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import CAPITAL, LEADING, text_width
from ohmwright.drawing.shapes import GRID
from ohmwright.drawing.symbols import SETS, SymbolSet
from ohmwright.drawing.view import End, View, Wire
from ohmwright.drawing.words import Drops


def up(value: float) -> float:
    """The next step of the grid."""
    return math.ceil(round(value / GRID, 6)) * GRID


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes that follow from the height of capitals."""

    capital: float

    @property
    def em(self) -> float:
        """Size of notes and ratings."""
        return self.capital / CAPITAL

    @property
    def big(self) -> float:
        """Size of references."""
        return self.em * 1.25

    @property
    def line(self) -> float:
        """From base line to base line."""
        return self.em * LEADING

    @property
    def slot(self) -> float:
        """Height of a run with its two lines."""
        return up(2 * self.line + 1.0)

    @property
    def poles_apart(self) -> float:
        """Distance of two conductors that run side by side."""
        return up(3.1 * self.em + 1.0)

    def block(self, lines: int) -> float:
        """Height of a reference over so many lines."""
        return self.big * 0.9 + lines * self.line


@dataclass(frozen=True, slots=True)
class Open:
    """A wire that is drawn from one end as far as (x, y); `end` is what it still has to reach."""

    wire: Wire
    x: float
    y: float
    exits: str
    end: End


@dataclass(slots=True)
class Column:
    """A piece of the sheet: its canvas, wires that go on from it, and where it taps the bar above (y = 0)."""

    canvas: Canvas = field(default_factory=Canvas)
    opens: list[Open] = field(default_factory=list)
    taps: list[tuple[float, str]] = field(default_factory=list)

    def merge(self, other: "Column", dx: float = 0.0, dy: float = 0.0) -> None:
        """Take over another piece, moved."""
        self.canvas.merge(other.canvas, dx, dy)
        self.opens += [Open(o.wire, o.x + dx, o.y + dy, o.exits, o.end) for o in other.opens]
        self.taps += [(x + dx, t) for x, t in other.taps]


@dataclass(slots=True)
class Pen:
    """The state of one drawing."""

    view: View
    drops: Drops
    style: Style
    home: str = ""
    symbols: SymbolSet = SETS["iec"]
    taken: set[str] = field(default_factory=set)
    """Parts, loads and wires that are drawn."""
    awaited: set[str] = field(default_factory=set)
    """Terminals that a wire drawn from its other end still has to reach."""

    def leave(self, column: Column, wire: Wire, x: float, y: float, exits: str, end: End) -> None:
        """Note a wire that is drawn as far as (x, y) and has to be led on to `end`."""
        column.opens.append(Open(wire, x, y, exits, end))
        self.taken.add(wire.id)
        self.awaited |= {t for _, t in end.nodes}

    def width(self, text: str, *, bold: bool = False) -> float:
        """Width of a text at the size of notes (bold: of references)."""
        return text_width(text, self.style.big, "sans-bold") if bold else text_width(text, self.style.em)


def pole_name(local: str) -> str:
    """`bat.-` as a sheet letters it: `bat −`."""
    words = local.split(".")
    words = ["−" if w == "-" else w for w in words]
    return " ".join(words)
