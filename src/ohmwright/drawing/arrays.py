"""An array or one of its strings: a row of modules, a row a string, with its pins below."""

from ohmwright.drawing import symbols
from ohmwright.drawing.canvas import lettered
from ohmwright.drawing.pen import Column, Pen
from ohmwright.drawing.shapes import POWER
from ohmwright.drawing.words import part_lines
from ohmwright.rig.model import Part

MODULE_W, MODULE_H, GAP = 5.0, 7.0, 1.5
MOST_DRAWN = 6


def draw_array(pen: Pen, column: Column, part: Part, bottoms: list[tuple[float, str]]) -> None:
    """Modules above y = 0 with plus and minus brought down to their pins."""
    canvas = column.canvas
    port = pen.view.graph.terminals[bottoms[0][1]].port
    per_string = part.per_string or 1
    strings = part.strings or 1
    name = port if strings > 1 else part.id
    xs = [x for x, _ in bottoms]
    plus = next((x for x, t in bottoms if pen.view.graph.terminals[t].pole == "+"), max(xs))
    minus = next((x for x, t in bottoms if pen.view.graph.terminals[t].pole == "-"), min(xs))
    drawn = min(per_string, MOST_DRAWN)
    width = drawn * MODULE_W + (drawn - 1) * GAP
    middle = (plus + minus) / 2
    left = middle - width / 2
    top = -MODULE_H - 5.0
    y = top + MODULE_H / 2
    for k in range(drawn):
        symbols.module(canvas, part.id, left + k * (MODULE_W + GAP), top, MODULE_W, MODULE_H)
        if k:
            canvas.line(part.id, left + k * (MODULE_W + GAP) - GAP, y, left + k * (MODULE_W + GAP), y)
    for pin, edge, sign in ((plus, left + width, 1.0), (minus, left, -1.0)):
        out = edge + sign * 2.5 if sign * (pin - edge) < 2.5 else pin
        canvas.line(part.id, edge, y, out, y, POWER)
        canvas.line(part.id, out, y, out, -2.5, POWER)
        canvas.line(part.id, out, -2.5, pin, -2.5, POWER)
        canvas.line(part.id, pin, -2.5, pin, 0.0, POWER)
    right = max(left + width + 2.5, plus)
    canvas.text(part.id, plus - 1.0, -0.4, "+", pen.style.em, "sans", "end")
    canvas.text(part.id, minus + 1.0, -0.4, "−", pen.style.em)
    for x, t in bottoms:
        canvas.pin(part.id, x, 0.0, (("", t),), "D")
    lines = part_lines(part, pen.home, pen.view.rig)
    if strings > 1:
        lines = [f"string of {per_string}", *lines] if port.endswith(".1") else [f"string of {per_string}"]
    lettered(
        canvas,
        part.id,
        right + 1.5,
        min(y + 1.0, -pen.style.block(len(lines)) / 2 - 1.0),
        name,
        lines,
        pen.style.em,
    )
    canvas.anchor(part.id, (min(left - 2.5, minus) - 1.0, y, "right"))
