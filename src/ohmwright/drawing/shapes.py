"""What a sheet is made of: lines, arcs, circles and texts in millimetres, x to the right, y down.

Every exporter (SVG, DXF) reads these and nothing else.  A `Pin` has no ink: it says which terminals of the
rig a point of a symbol stands for, so that the net can be read back from the ink.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal, TypeAlias

from ohmwright.working.quickly import quickly_made

Colour = Literal["ink", "graphite", "red", "violet", "sheet", "field"]
Dash = Literal["", "earth", "place", "data", "tell", "link"]
Layer = Literal["conductor", "bus", "dot", "hop", "core", "symbol", "place", "frame", "flag", "note"]
Anchor = Literal["start", "middle", "end"]
Face = Literal["sans", "sans-semibold", "sans-bold", "serif", "serif-semibold"]

INK_HEX: dict[Colour, str] = {
    "ink": "#15191C",
    "graphite": "#4A5257",
    "red": "#9E1B1B",
    "violet": "#5A3596",
    "sheet": "#FFFFFF",
    "field": "#70797E",
}

#: Line weights in millimetres (the series of ISO 128, from memory).
BUS, FRAME, POWER, SYMBOL, THIN = 1.4, 0.7, 0.5, 0.35, 0.18

#: Dash patterns in millimetres: drawn, gap, drawn, gap ...
DASHES: dict[Dash, tuple[float, ...]] = {
    "": (),
    "earth": (6.0, 1.2, 0.6, 1.2),
    "place": (4.0, 1.0, 0.4, 1.0),
    "data": (1.6, 0.9),
    "tell": (1.4, 0.8),
    "link": (1.0, 0.6),
}

#: The grid everything stands on.
GRID = 2.5


@quickly_made
@dataclass(frozen=True, slots=True)
class Line:
    """A straight line. `key` is the conductor it is ink for, where it is one."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float = SYMBOL
    dash: Dash = ""
    colour: Colour = "ink"
    layer: Layer = "symbol"
    key: str = ""


@dataclass(frozen=True, slots=True)
class Polyline:
    """A chain of lines; `closed` joins the last point to the first; `fill` "" leaves it open to the sheet."""

    points: tuple[tuple[float, float], ...]
    weight: float = SYMBOL
    dash: Dash = ""
    colour: Colour = "ink"
    layer: Layer = "symbol"
    closed: bool = False
    fill: Colour | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, clockwise on the sheet from `start_deg` to `end_deg`; 0 points right, 90 down."""

    cx: float
    cy: float
    r: float
    start_deg: float
    end_deg: float
    weight: float = SYMBOL
    dash: Dash = ""
    colour: Colour = "ink"
    layer: Layer = "symbol"
    key: str = ""


@quickly_made
@dataclass(frozen=True, slots=True)
class Circle:
    """A whole circle."""

    cx: float
    cy: float
    r: float
    weight: float = SYMBOL
    colour: Colour = "ink"
    layer: Layer = "symbol"
    fill: Colour | Literal[""] = ""


@quickly_made
@dataclass(frozen=True, slots=True)
class Text:
    """A line of lettering: `x`, `y` is where its base line begins, is centred or ends; `em` its size."""

    x: float
    y: float
    text: str
    em: float
    face: Face = "sans"
    anchor: Anchor = "start"
    colour: Colour = "ink"
    layer: Layer = "note"


@dataclass(frozen=True, slots=True)
class Pin:
    """A point where conductors may land: which core of the conductor meets which terminal.

    A single conductor has the core "": `(("", "U1.bat.+"),)`.  A cable drawn as one line has a core a pole:
    `(("L", "U2.ac-in.L"), ("N", ...), ("PE", ...))`.  `join` names the other end of a line that is broken off
    and goes on elsewhere on the sheets.
    """

    x: float
    y: float
    nodes: tuple[tuple[str, str], ...]
    join: str = ""


Shape: TypeAlias = Line | Polyline | Arc | Circle | Text | Pin
Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right, bottom."""


@quickly_made
@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong to one part or run: `ref` is its address in the rig, "" for the sheet itself."""

    ref: str
    title: str
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Hit:
    """Where a click means a run: a line without ink."""

    ref: str
    points: tuple[tuple[float, float], ...]


@quickly_made
@dataclass(frozen=True, slots=True)
class Flagged:
    """A flag of a sheet: the number it bears, the zone it stands in, the rule and subject of its note."""

    number: str
    zone: str
    rule: str
    subject: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A finished sheet. `zones` answers where a part or run stands: "C3"."""

    name: str
    title: str
    description: str
    width: float
    height: float
    groups: tuple[Group, ...]
    hits: tuple[Hit, ...] = ()
    zones: Mapping[str, str] = field(default_factory=dict)
    em: float = 0.0
    notes: tuple[str, ...] = ()
    """What the sheet has to say about itself: what did not fit, what stands on another sheet."""
    flags: tuple[Flagged, ...] = ()
    """The flags by number, so that a page beside the sheet can number its notes alike."""

    def shapes(self) -> Iterator[Shape]:
        """All shapes in drawing order."""
        for group in self.groups:
            yield from group.shapes


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The same shape elsewhere."""
    match shape:
        case Line(x1, y1, x2, y2, weight, dash, colour, layer, key):
            return Line(x1 + dx, y1 + dy, x2 + dx, y2 + dy, weight, dash, colour, layer, key)
        case Text(x, y, text, em, face, anchor, colour, layer):
            return Text(x + dx, y + dy, text, em, face, anchor, colour, layer)
        case Pin(x, y, nodes, join):
            return Pin(x + dx, y + dy, nodes, join)
        case Circle(cx, cy, r, weight, colour, layer, fill):
            return Circle(cx + dx, cy + dy, r, weight, colour, layer, fill)
        case Arc(cx, cy, r, a, b, weight, dash, colour, layer, key):
            return Arc(cx + dx, cy + dy, r, a, b, weight, dash, colour, layer, key)
        case Polyline(points, weight, dash, colour, layer, closed, fill):
            return Polyline(
                tuple((x + dx, y + dy) for x, y in points), weight, dash, colour, layer, closed, fill
            )


def enlarged(shape: Shape, by: float, about: tuple[float, float]) -> Shape:
    """The same shape larger, seen from a point; its line as heavy as before."""
    ox, oy = about

    def at(x: float, y: float) -> tuple[float, float]:
        return ox + (x - ox) * by, oy + (y - oy) * by

    match shape:
        case Line():
            (x1, y1), (x2, y2) = at(shape.x1, shape.y1), at(shape.x2, shape.y2)
            return replace(shape, x1=x1, y1=y1, x2=x2, y2=y2)
        case Text():
            x, y = at(shape.x, shape.y)
            return replace(shape, x=x, y=y, em=shape.em * by)
        case Pin():
            x, y = at(shape.x, shape.y)
            return replace(shape, x=x, y=y)
        case Circle() | Arc():
            x, y = at(shape.cx, shape.cy)
            return replace(shape, cx=x, cy=y, r=shape.r * by)
        case Polyline():
            return replace(shape, points=tuple(at(x, y) for x, y in shape.points))


def edges(shape: Shape) -> Iterator[tuple[float, float, float, float]]:
    """The straight pieces of a shape."""
    if isinstance(shape, Line):
        yield shape.x1, shape.y1, shape.x2, shape.y2
    elif isinstance(shape, Polyline):
        points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
        for (x1, y1), (x2, y2) in pairwise(points):
            yield x1, y1, x2, y2


def box_of(shapes: Iterable[Shape]) -> Box | None:
    """The smallest box around shapes, lettering measured; None when there are none."""
    found = [box_around(s) for s in shapes]
    if not found:
        return None
    lefts, tops, rights, bottoms = zip(*found, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def box_around(s: Shape) -> Box:
    """The smallest box around a shape."""
    match s:
        case Line():
            return min(s.x1, s.x2), min(s.y1, s.y2), max(s.x1, s.x2), max(s.y1, s.y2)
        case Text():
            from ohmwright.drawing.lettering import text_box

            return text_box(s)
        case Circle() | Arc():
            return s.cx - s.r, s.cy - s.r, s.cx + s.r, s.cy + s.r
        case Polyline():
            xs, ys = zip(*s.points, strict=True)
            return min(xs), min(ys), max(xs), max(ys)
        case Pin():
            return s.x, s.y, s.x, s.y
