"""Boxes with pins on their edges: units, loads, sources.  The lettering stands inside."""

from dataclasses import dataclass, field

from ohmwright.drawing import symbols
from ohmwright.drawing.canvas import Canvas, lettered
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Pen, pole_name, up
from ohmwright.drawing.shapes import POWER, Pin
from ohmwright.drawing.words import load_lines, part_lines

#: What the square inside a unit says: from what, to what.
CONVERTS: dict[str, tuple[str, str]] = {
    "pv-controller": ("dc", "dc"), "pv-controller-pwm": ("dc", "dc"), "dcdc-charger": ("dc", "dc"), "dcdc-supply": ("dc", "dc"),
    "hydro-controller": ("dc", "dc"), "inverter": ("dc", "ac"), "inverter-charger": ("dc", "ac"), "isolation-transformer": ("ac", "ac"),
}  # fmt: skip


#: Room kept free beside a pin on a side, so that a wire can leave.
SPACE = 5.0


@dataclass(slots=True)
class Edge:
    """The pins of a box by edge: terminals (or whole ports, for a line that stands for a cable) in order."""

    top: list[tuple[float, tuple[tuple[str, str], ...], str]] = field(default_factory=list)
    bottom: list[tuple[float, tuple[tuple[str, str], ...], str]] = field(default_factory=list)
    left: list[tuple[tuple[tuple[str, str], ...], str]] = field(default_factory=list)
    right: list[tuple[tuple[tuple[str, str], ...], str]] = field(default_factory=list)
    through: list[tuple[float, float]] = field(default_factory=list)
    """Pins on top and bottom that are one terminal: x above, x below."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a box came to stand."""

    left: float
    top: float
    right: float
    bottom: float


def words_of(pen: Pen, owner: str) -> tuple[str, list[str]]:
    """Reference and lines of a part or load."""
    part = pen.view.rig.parts.get(owner)
    if part is not None:
        return owner, part_lines(part, pen.home)
    load = pen.view.rig.use.loads.get(owner)
    live = ["always live"] if owner in pen.view.always else []
    return owner, [*load_lines(load), *live] if load else []


def _names_height(pen: Pen, pins: list[tuple[float, tuple[tuple[str, str], ...], str]]) -> float:
    return pen.style.em * 1.1 if any(name for _, _, name in pins) else 0.5


def box_height(pen: Pen, owner: str, edge: Edge) -> float:
    """How tall a box has to be."""
    _, lines = words_of(pen, owner)
    inner = pen.style.block(len(lines)) + 1.0
    if pen.view.kind(owner) in CONVERTS:
        inner = max(inner, 9.0)
    content = inner + _names_height(pen, edge.top) + _names_height(pen, edge.bottom) + 1.0
    return up(max(content, 7.5 * len(edge.right) + 2.5, 5.0 * len(edge.left) + 2.5, 7.5))


def draw_box(pen: Pen, canvas: Canvas, owner: str, top: float, edge: Edge, *, grow: str = "right") -> Placed:
    """Draw the box with its upper edge at `top`, wide enough for pins and words; `grow` says to which side."""
    pen.taken.add(owner)
    first, lines = words_of(pen, owner)
    em = pen.style.em
    height = box_height(pen, owner, edge)
    square = 8.0 if pen.view.kind(owner) in CONVERTS else 0.0
    names_left = max((text_width(n, em) + 2.0 for _, n in edge.left), default=0.0)
    names_right = max((text_width(n, em) + 2.0 for _, n in edge.right), default=0.0)
    body = max([text_width(first, pen.style.big, "sans-bold"), *(text_width(w, em) for w in lines)]) + (
        square + 1.5 if square else 0.0
    )
    need = names_left + body + names_right + 3.0
    crossed = [x1 for x1, x2 in edge.through if x1 == x2]
    reach = [(x, text_width(name, em) / 2 + 0.8) for x, _, name in (*edge.top, *edge.bottom)] or [(0.0, 3.0)]
    left = min(x - max(r, 3.0) for x, r in reach)
    if names_left:
        left = min(left, min(x - r for x, r in reach) - names_left - 0.5)
    if edge.through:
        left = min(left, min(x - 2 * r for x, r in reach if x in {x for x, _ in edge.through}))
    right = max(x + max(r, 3.0) for x, r in reach)
    if names_right:
        right = max(right, up(max(x + r for x, r in reach) + names_right + 0.5))
    left = -up(-left)
    right = up(right)
    if right - left < need:
        more = up(need - (right - left))
        if grow == "right":
            right += more
        elif grow == "left":
            left -= more
        else:
            left -= up(more / 2)
            right = left + up(need)
    if crossed:
        right = max(right, up(max(crossed) + 2.5 + body + names_right + 1.5))
    bottom = top + height
    canvas.box(owner, left, top, right, bottom)
    above, below = top + _names_height(pen, edge.top), bottom - _names_height(pen, edge.bottom)
    inner_left = left + names_left + 1.5
    slack = right - names_right - inner_left - body - 1.5
    inner_left += max(0.0, slack / 2)
    if crossed:
        inner_left = max(inner_left, max(crossed) + 2.5)
    middle = (above + below) / 2
    if square:
        upper, lower = CONVERTS[pen.view.kind(owner)]
        symbols.converter(canvas, owner, inner_left, middle - square / 2, square, upper, lower)
        inner_left += square + 1.5
    lettered(canvas, owner, inner_left, middle, first, lines, em)
    lined = {x for x, y in edge.through if x == y}
    for x, nodes, name in edge.top:
        canvas.pin(owner, x, top, nodes, "U")
        canvas.text(
            owner,
            x - (0.8 if x in lined else 0.0),
            top + em * 0.95,
            name,
            em,
            "sans",
            "end" if x in lined else "middle",
            "graphite",
        )
    for x, nodes, name in edge.bottom:
        canvas.pin(owner, x, bottom, nodes, "D")
        canvas.text(
            owner,
            x - (0.8 if x in lined else 0.0),
            bottom - em * 0.3,
            name,
            em,
            "sans",
            "end" if x in lined else "middle",
            "graphite",
        )
    for x1, x2 in edge.through:
        if x1 != x2:
            continue
        canvas.line(owner, x1, top, x2, bottom, POWER)
        if square:
            canvas.circle(owner, x1, middle, 0.6, 0.0, fill="ink")
            canvas.line(owner, x1, middle, inner_left - square - 1.5, middle)
    for i, (nodes, name) in enumerate(edge.left):
        at = top + up((height - 5.0 * (len(edge.left) - 1)) / 2 - 1.25) + 5.0 * i
        canvas.pin(owner, left, at, nodes, "L")
        canvas.add(owner, Pin(left - SPACE, at, ()))
        canvas.text(owner, left + 0.8, at + em * 0.33, name, em, "sans", "start", "graphite")
    for i, (nodes, name) in enumerate(edge.right):
        at = top + 5.0 + 7.5 * i if height > 12.5 else top + up(height / 2)
        canvas.pin(owner, right, at, nodes, "R")
        canvas.add(owner, Pin(right + SPACE, at, ()))
        canvas.text(owner, right - 0.8, at + em * 0.33, name, em, "sans", "end", "graphite")
    canvas.anchor(
        owner,
        (left - 0.9, top + 3.5, "right"),
        (right + 0.9, top + 3.5, "left"),
        (left + 4.0, top - 3.0, "right"),
    )
    return Placed(left, top, right, bottom)


def local_name(owner: str, terminal: str) -> str:
    """The name of a terminal inside its part, as lettered at its pin."""
    return pole_name(terminal.removeprefix(owner + ".")) if terminal != owner else ""
