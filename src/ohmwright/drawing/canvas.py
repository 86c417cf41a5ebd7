"""A place to draw on: shapes are gathered by the part or run they belong to, then measured and moved."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from ohmwright.drawing.lettering import LEADING, text_width
from ohmwright.drawing.shapes import (
    POWER,
    SYMBOL,
    Anchor,
    Arc,
    Box,
    Circle,
    Colour,
    Dash,
    Face,
    Layer,
    Line,
    Pin,
    Polyline,
    Shape,
    Text,
    box_of,
    moved,
)


@dataclass(frozen=True, slots=True)
class Landing:
    """Where a wire may reach a symbol: the point, what it stands for, and the sides it may come from.

    `exits` holds letters of L R U D: the directions in which a wire may leave.
    """

    x: float
    y: float
    nodes: tuple[tuple[str, str], ...]
    exits: str


@dataclass(slots=True)
class Canvas:
    """Shapes with the address they belong to, and the landings that wires may reach."""

    items: list[tuple[str, Shape]] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    """The box of each item; a pin's is a point."""
    landings: list[Landing] = field(default_factory=list)
    anchors: dict[str, list[tuple[float, float, str]]] = field(default_factory=dict)
    """Where a flag for an address may stand: the point that its tip touches, and where it points."""

    def add(self, ref: str, shape: Shape) -> None:
        """Put a shape down for the address `ref`."""
        self.items.append((ref, shape))
        self.boxes.append(box_of((shape,)) or (0.0, 0.0, 0.0, 0.0))

    def line(
        self,
        ref: str,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        weight: float = SYMBOL,
        dash: Dash = "",
        *,
        colour: Colour = "ink",
        layer: Layer = "symbol",
    ) -> None:
        """A straight line of a symbol."""
        self.items.append((ref, Line(x1, y1, x2, y2, weight, dash, colour, layer)))
        self.boxes.append((min(x2, x1), min(y2, y1), max(x1, x2), max(y1, y2)))

    def wire(
        self,
        ref: str,
        key: str,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        dash: Dash = "",
        weight: float = POWER,
    ) -> None:
        """Ink for the conductor `key` of the run `ref`."""
        if (x1, y1) != (x2, y2):
            self.items.append((ref, Line(x1, y1, x2, y2, weight, dash, "ink", "conductor", key)))
            self.boxes.append((min(x2, x1), min(y2, y1), max(x1, x2), max(y1, y2)))

    def box(
        self,
        ref: str,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        weight: float = SYMBOL,
        dash: Dash = "",
        *,
        layer: Layer = "symbol",
        colour: Colour = "ink",
    ) -> None:
        """A rectangle."""
        self.add(ref, Polyline(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), weight, dash, colour, layer, True))

    def circle(
        self,
        ref: str,
        cx: float,
        cy: float,
        r: float,
        weight: float = SYMBOL,
        *,
        fill: Colour | str = "",
        layer: Layer = "symbol",
    ) -> None:
        """A circle."""
        self.add(ref, Circle(cx, cy, r, weight, "ink", layer, fill))  # type: ignore[arg-type]

    def dot(self, ref: str, x: float, y: float) -> None:
        """A joint."""
        self.add(ref, Circle(x, y, 0.75, 0.0, "ink", "dot", "ink"))

    def arc(
        self, ref: str, cx: float, cy: float, r: float, start: float, end: float, weight: float = SYMBOL
    ) -> None:
        """An arc."""
        self.add(ref, Arc(cx, cy, r, start, end, weight))

    def text(
        self,
        ref: str,
        x: float,
        y: float,
        text: str,
        em: float,
        face: Face = "sans",
        anchor: Anchor = "start",
        colour: Colour = "ink",
    ) -> None:
        """A line of lettering."""
        if text:
            self.add(ref, Text(x, y, text, em, face, anchor, colour))

    def pin(self, ref: str, x: float, y: float, nodes: tuple[tuple[str, str], ...], exits: str = "") -> None:
        """A point of a symbol where conductors land."""
        self.add(ref, Pin(x, y, nodes))
        self.landings.append(Landing(x, y, nodes, exits))

    def merge(self, other: "Canvas", dx: float = 0.0, dy: float = 0.0) -> None:
        """Take over another canvas, moved."""
        if dx == 0 and dy == 0:
            self.items += other.items
            self.boxes += other.boxes
            self.landings += other.landings
            for k, spots in other.anchors.items():
                self.anchors.setdefault(k, []).extend(spots)
            return
        self.items += [(ref, moved(s, dx, dy)) for ref, s in other.items]
        self.boxes += [(a + dx, b + dy, c + dx, d + dy) for a, b, c, d in other.boxes]
        self.landings += [Landing(a.x + dx, a.y + dy, a.nodes, a.exits) for a in other.landings]
        for k, spots in other.anchors.items():
            self.anchors.setdefault(k, []).extend((x + dx, y + dy, to) for x, y, to in spots)

    def bounds(self) -> Box:
        """The box of everything drawn."""
        if not self.boxes:
            return 0.0, 0.0, 0.0, 0.0
        return (
            min(b[0] for b in self.boxes),
            min(b[1] for b in self.boxes),
            max(b[2] for b in self.boxes),
            max(b[3] for b in self.boxes),
        )

    def is_clear(self, box: Box) -> bool:
        """True when no ink lies in a box."""
        left, top, right, bottom = box
        return not any(
            a < right and left < c and b < bottom and top < d and not isinstance(item[1], Pin)
            for (a, b, c, d), item in zip(self.boxes, self.items, strict=True)
        )


def lettered(
    canvas: Canvas,
    ref: str,
    x: float,
    y: float,
    first: str,
    lines: Iterable[str],
    em: float,
    anchor: Anchor = "start",
) -> None:
    """A reference in bold over its lines, the block centred on `y`."""
    told = tuple(lines)
    big = em * 1.25
    height = big * 0.9 + len(told) * em * LEADING
    base = y - height / 2 + big * 0.75
    canvas.text(ref, x, base, first, big, "sans-bold", anchor)
    for i, line in enumerate(told):
        canvas.text(ref, x, base + (i + 1) * em * LEADING, line, em, "sans", anchor)


def run_lettered(
    canvas: Canvas,
    ref: str,
    x: float,
    y: float,
    first: str,
    size: str,
    second: str,
    em: float,
    anchor: Anchor = "start",
) -> None:
    """A run's two lines: reference in bold and size, length and drop under it, the pair centred on `y`."""
    top = y - em * LEADING / 2 + em * 0.33
    if not second:
        top = y + em * 0.25
    gap = text_width(" ", em)
    if anchor == "start":
        canvas.text(ref, x, top, first, em, "sans-bold")
        canvas.text(ref, x + text_width(first, em, "sans-bold") + gap, top, size, em)
    else:
        canvas.text(ref, x, top, size, em, "sans", "end")
        canvas.text(ref, x - text_width(size, em) - (gap if size else 0), top, first, em, "sans-bold", "end")
    canvas.text(ref, x, top + em * LEADING, second, em, "sans", anchor)
