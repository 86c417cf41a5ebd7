"""A place to draw on: shapes are gathered by the part or run they belong to, then measured and moved."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from ohmwright.drawing.geometry import crosses, overlap
from ohmwright.drawing.lettering import LEADING, text_box, text_width, turned
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
    box_around,
    edges,
    moved,
)

Anchored: TypeAlias = tuple[float, float, str]
"""The point that a flag's tip may touch, and "left" or "right": where it points."""


@dataclass(frozen=True, slots=True)
class Landing:
    """Where a wire may reach a symbol: the point, what it stands for, and the sides it may come from.

    `exits` holds letters of L R U D: the directions in which a wire may leave.
    """

    x: float
    y: float
    nodes: tuple[tuple[str, str], ...]
    exits: str


#: Side of a cell in which boxes are looked up, in millimetres.
CELL = 10.0


@dataclass(slots=True)
class _Block:
    """Shapes that are moved together. Whoever takes a canvas over shares its blocks and moves them later."""

    items: list[tuple[str, Shape]] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    landings: list[Landing] = field(default_factory=list)
    anchors: dict[str, list[Anchored]] = field(default_factory=dict)
    bounds: tuple[int, Box] | None = None
    """How many boxes were measured, and the box around them."""

    def measured(self) -> Box | None:
        """The box around its shapes."""
        n = len(self.boxes)
        if not n:
            return None
        if self.bounds is None or self.bounds[0] != n:
            lefts, tops, rights, bottoms = zip(*self.boxes, strict=True)
            self.bounds = (n, (min(lefts), min(tops), max(rights), max(bottoms)))
        return self.bounds[1]

    def put_after(self, other: "_Block", dx: float, dy: float) -> None:
        """Take over the shapes of another, moved."""
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


class Canvas:
    """Shapes with the address they belong to, and the landings that wires may reach.

    What is merged five times on its way to the sheet is moved once: when somebody asks for the shapes.
    """

    __slots__ = ("_blocks", "_celled", "_cells", "_own", "_refs")

    def __init__(self) -> None:
        self._own = _Block()
        self._blocks: list[tuple[_Block, float, float]] = [(self._own, 0.0, 0.0)]
        self._cells: dict[tuple[int, int], tuple[Box, ...]] = {}
        self._celled = 0
        self._refs: tuple[int, frozenset[str]] | None = None

    def _flat(self) -> _Block:
        if len(self._blocks) > 1:
            whole = _Block()
            for block, dx, dy in self._blocks:
                whole.put_after(block, dx, dy)
            self._own = whole
            self._blocks = [(whole, 0.0, 0.0)]
            self._cells, self._celled = {}, 0
        return self._own

    def _open(self) -> _Block:
        """The block that takes the next shape: always the last."""
        if self._blocks[-1][0] is not self._own:
            self._own = _Block()
            self._blocks.append((self._own, 0.0, 0.0))
        return self._own

    @property
    def items(self) -> list[tuple[str, Shape]]:
        """All shapes with their addresses, in the order in which they were put down."""
        return self._flat().items

    @property
    def boxes(self) -> list[Box]:
        """The box of each item; a pin's is a point."""
        return self._flat().boxes

    @property
    def landings(self) -> list[Landing]:
        """Where wires may reach the symbols."""
        return self._flat().landings

    @property
    def anchors(self) -> dict[str, list[Anchored]]:
        """Where a flag for an address may stand: the point that its tip touches, and where it points."""
        return self._flat().anchors

    def outlines(self) -> Iterator[Box]:
        """The boxes of all items, without moving the items."""
        for block, dx, dy in self._blocks:
            for a, b, c, d in block.boxes:
                yield a + dx, b + dy, c + dx, d + dy

    def landed(self) -> Iterator[Landing]:
        """All landings, without moving the items."""
        for block, dx, dy in self._blocks:
            for a in block.landings:
                yield Landing(a.x + dx, a.y + dy, a.nodes, a.exits)

    def owners(self) -> set[str]:
        """The addresses that own a shape."""
        return {ref for block, _, _ in self._blocks for ref, _ in block.items}

    def anchor(self, ref: str, *spots: Anchored) -> None:
        """Offer points at which a flag for an address may stand."""
        self._open().anchors.setdefault(ref, []).extend(spots)

    def add(self, ref: str, shape: Shape) -> None:
        """Put a shape down for the address `ref`."""
        own = self._open()
        own.items.append((ref, shape))
        own.boxes.append(box_around(shape))

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
        own = self._open()
        own.items.append((ref, Line(x1, y1, x2, y2, weight, dash, colour, layer)))
        own.boxes.append((min(x2, x1), min(y2, y1), max(x1, x2), max(y1, y2)))

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
            own = self._open()
            own.items.append((ref, Line(x1, y1, x2, y2, weight, dash, "ink", "conductor", key)))
            own.boxes.append((min(x2, x1), min(y2, y1), max(x1, x2), max(y1, y2)))

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
        own, corners = self._open(), ((x1, y1), (x2, y1), (x2, y2), (x1, y2))
        own.items.append((ref, Polyline(corners, weight, dash, colour, layer, True)))
        own.boxes.append((min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))

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
            own, shape = self._open(), Text(x, y, turned(text), em, face, anchor, colour)
            own.items.append((ref, shape))
            own.boxes.append(text_box(shape))

    def pin(self, ref: str, x: float, y: float, nodes: tuple[tuple[str, str], ...], exits: str = "") -> None:
        """A point of a symbol where conductors land."""
        own = self._open()
        own.items.append((ref, Pin(x, y, nodes)))
        own.boxes.append((x, y, x, y))
        own.landings.append(Landing(x, y, nodes, exits))

    def merge(self, other: "Canvas", dx: float = 0.0, dy: float = 0.0) -> None:
        """Take over another canvas, moved. Nothing may be drawn on the other one afterwards."""
        self._blocks += [(b, x + dx, y + dy) for b, x, y in other._blocks if b.items or b.anchors]

    def copied(self) -> "Canvas":
        """A canvas of its own with the same shapes."""
        flat, out = self._flat(), Canvas()
        out._own = _Block(
            flat.items[:], flat.boxes[:], flat.landings[:], {k: v[:] for k, v in flat.anchors.items()}
        )
        out._blocks = [(out._own, 0.0, 0.0)]
        out._cells, out._celled = self._cells.copy(), self._celled
        out._refs = self._refs
        return out

    @property
    def refs(self) -> frozenset[str]:
        """The addresses that something is drawn for."""
        items = self._flat().items
        if self._refs is None or self._refs[0] != len(items):
            self._refs = len(items), frozenset(ref for ref, _ in items)
        return self._refs[1]

    def exchange(self, k: int, shape: Shape) -> None:
        """Put another shape in the place of item number k."""
        flat = self._flat()
        flat.items[k] = (flat.items[k][0], shape)
        flat.boxes[k] = box_around(shape)
        flat.bounds = None
        self._cells, self._celled = {}, 0

    def bounds(self) -> Box:
        """The box of everything drawn."""
        found = [(m, dx, dy) for block, dx, dy in self._blocks if (m := block.measured()) is not None]
        if not found:
            return 0.0, 0.0, 0.0, 0.0
        return (
            min(m[0] + dx for m, dx, _ in found),
            min(m[1] + dy for m, _, dy in found),
            max(m[2] + dx for m, dx, _ in found),
            max(m[3] + dy for m, _, dy in found),
        )

    def is_clear(self, box: Box) -> bool:
        """True when no ink lies in a box."""
        left, top, right, bottom = box
        return not any(a < right and left < c and b < bottom and top < d for a, b, c, d in self.near(box))

    def is_open(self, box: Box) -> bool:
        """True when no lettering and no line lies in a box; an outline around it does not count."""
        return not any(
            overlap(box, b) and (isinstance(s, Text | Circle | Arc) or any(crosses(e, box) for e in edges(s)))
            for (_, s), b in zip(self.items, self.boxes, strict=True)
        )

    def strikes(self, line: tuple[float, float, float, float]) -> bool:
        """True when a line would run through lettering."""
        return any(
            isinstance(s, Text) and crosses(line, b) for (_, s), b in zip(self.items, self.boxes, strict=True)
        )

    def near(self, box: Box) -> Iterator[Box]:
        """The boxes of ink in the cells that a box touches; one that reaches over several may come several times."""
        flat = self._flat()
        if self._celled < len(flat.boxes):
            self._sort_into_cells(flat)
        cells = self._cells
        for i in range(int(box[0] // CELL), int(box[2] // CELL) + 1):
            for j in range(int(box[1] // CELL), int(box[3] // CELL) + 1):
                yield from cells.get((i, j), ())

    def _sort_into_cells(self, flat: _Block) -> None:
        cells = self._cells
        for k in range(self._celled, len(flat.boxes)):
            if isinstance(flat.items[k][1], Pin):
                continue
            a, b, c, d = box = flat.boxes[k]
            for i in range(int(a // CELL), int(c // CELL) + 1):
                for j in range(int(b // CELL), int(d // CELL) + 1):
                    cells[i, j] = (*cells.get((i, j), ()), box)
        self._celled = len(flat.boxes)


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
