"""Drawing a chain: runs and devices one under the other on a vertical axis, with their lettering beside them."""

from ohmwright.drawing import symbols
from ohmwright.drawing.canvas import Canvas, lettered, run_lettered
from ohmwright.drawing.pen import Column, Pen, pole_name, up
from ohmwright.drawing.shapes import GRID, POWER, THIN, Dash
from ohmwright.drawing.view import Chain, End, Step, Wire
from ohmwright.drawing.words import part_lines, run_words

DASH_OF: dict[str, Dash] = {"power": "", "earth": "earth", "data": "data"}
WEIGHT_OF = {"power": 0.5, "earth": 0.35, "data": 0.25}


def wire_ink(canvas: Canvas, wire: Wire, x1: float, y1: float, x2: float, y2: float) -> None:
    """Ink for a wire in the dash of its sort."""
    canvas.wire(wire.run, wire.id, x1, y1, x2, y2, DASH_OF[wire.sort], WEIGHT_OF[wire.sort])


def turned(chain: Chain) -> Chain:
    """The same chain walked from its other end."""
    n = len(chain.steps)
    steps: list[Step] = []
    for i in range(n - 1, -1, -1):
        here = chain.steps[i]
        device = chain.steps[i - 1].device if i else ""
        ends = tuple(w.other(e) for w, e in zip(here.wires, here.ends, strict=True))
        steps.append(Step(here.wires, ends, device))
    return Chain(chain.stop, tuple(steps), chain.start)


def device_pads(pen: Pen, device: str) -> tuple[float, float]:
    """Room above and below a device's symbol that its lettering needs."""
    part = pen.view.rig.parts[device]
    more = up(max(0.0, pen.style.block(len(part_lines(part, pen.home))) + 1.0 - symbols.DEVICE))
    top = (more / 2) // GRID * GRID
    return top, more - top


def chain_height(pen: Pen, chain: Chain) -> float:
    """How tall a chain is when nothing stretches it."""
    height = 0.0
    for step in chain.steps:
        height += pen.style.slot
        if step.device:
            top, bottom = device_pads(pen, step.device)
            height += top + symbols.DEVICE + bottom
    if chain.steps[-1].device:
        height += up(pen.style.line)
    return height


def draw_chain(
    pen: Pen,
    column: Column,
    chain: Chain,
    xs: tuple[float, ...],
    y: float,
    *,
    left: bool = False,
    stretch: float = 0.0,
    leave: bool = False,
    lead: float = 0.0,
    beside: tuple[Chain, ...] = (),
) -> float:
    """Draw a chain downwards from `y`, one axis a pole; returns where its last wires end.

    `stretch` lengthens the last wire, `lead` the first; with `leave` the last wires stay open at their end, to be led on.
    A run that is lettered at a chain `beside` is not lettered again.
    """
    said = {w.run for c in beside for w in c.wires}
    canvas, view = column.canvas, pen.view
    at = y + lead
    pin_y = y
    for i, step in enumerate(chain.steps):
        last = i == len(chain.steps) - 1
        _run_label(pen, canvas, step.wires, xs, at, left=left, silent=step.wires[0].run in said)
        at += pen.style.slot
        if not step.device:
            at += stretch if last else 0.0
            for x, wire, end in zip(xs, step.wires, step.ends, strict=True):
                wire_ink(canvas, wire, x, pin_y, x, at)
                if leave:
                    pen.leave(column, wire, x, at, "DLR", end)
                else:
                    pen.taken.add(wire.id)
            return at
        top, bottom = device_pads(pen, step.device)
        at += top
        for x, wire, end in zip(xs, step.wires, step.ends, strict=True):
            wire_ink(canvas, wire, x, pin_y, x, at)
            pen.taken.add(wire.id)
            canvas.pin(step.device, x, at, (("", end.terminal),), "LR")
            canvas.pin(step.device, x, at + symbols.DEVICE, (("", view.across[end.terminal]),), "LR")
        device(pen, canvas, step.device, xs, at, left=left)
        pin_y = at + symbols.DEVICE
        at = pin_y + bottom
    for x in xs:
        if at > pin_y:
            canvas.line(chain.steps[-1].device, x, pin_y, x, at, POWER)
        open_end(pen, canvas, chain.steps[-1].device, x, at)
    return at + up(pen.style.line)


def open_end(pen: Pen, canvas: Canvas, ref: str, x: float, y: float) -> None:
    """A pin without a run: a ring, and the words."""
    canvas.circle(ref, x, y + 0.7, 0.7, 0.25, fill="sheet")
    canvas.text(
        ref, x + 1.4, y + 0.7 + pen.style.em * 0.7, "no run", pen.style.em, "sans", "start", "graphite"
    )


def _run_label(
    pen: Pen,
    canvas: Canvas,
    wires: tuple[Wire, ...],
    xs: tuple[float, ...],
    y: float,
    *,
    left: bool,
    silent: bool,
) -> None:
    middle = y + pen.style.slot / 2
    if silent:
        canvas.anchor(wires[0].run, (min(xs) - 0.9, middle, "right"))
        return
    words = run_words(pen.view, pen.drops, wires)
    if left:
        run_lettered(
            canvas,
            wires[0].run,
            min(xs) - 1.5,
            middle,
            words.first,
            words.size,
            words.second,
            pen.style.em,
            "end",
        )
        canvas.anchor(wires[0].run, (max(xs) + 0.9, middle, "left"))
    else:
        run_lettered(
            canvas, wires[0].run, max(xs) + 1.5, middle, words.first, words.size, words.second, pen.style.em
        )
        canvas.anchor(wires[0].run, (min(xs) - 0.9, middle, "right"))


def device(
    pen: Pen, canvas: Canvas, ref: str, xs: tuple[float, ...], y: float, *, left: bool = False
) -> None:
    """A device in one or more conductors, its upper pins at `y`."""
    part = pen.view.rig.parts[ref]
    pen.taken.add(ref)
    name = symbols.OF_KIND.get(part.kind.name, "device")
    reach_left, reach_right = pen.symbols.reach[name]
    for x in xs:
        pen.symbols.in_line(canvas, ref, name, x, y)
    if len(xs) > 1:
        canvas.line(ref, min(xs) - 1.0, y + 3.8, max(xs) - 1.0, y + 3.8, THIN, "link")
    middle = y + symbols.DEVICE / 2
    lines = part_lines(part, pen.home)
    side = _side_ports(pen, canvas, ref, min(xs), y)
    if left and not side:
        lettered(canvas, ref, min(xs) - reach_left - 1.2, middle, ref, lines, pen.style.em, "end")
        canvas.anchor(ref, (max(xs) + reach_right + 0.9, middle, "left"))
    else:
        lettered(canvas, ref, max(xs) + reach_right + 1.2, middle, ref, lines, pen.style.em)
        canvas.anchor(ref, (min(xs) - reach_left - 0.9 - side, middle, "right"))


def _side_ports(pen: Pen, canvas: Canvas, ref: str, x: float, y: float) -> float:
    """A coil or other port beside the contact: a small box to the left with its pins. Returns its reach."""
    view = pen.view
    mine = [
        t
        for t in view.terminals_of[ref]
        if t not in view.across and (view.at.get(t) or not view.graph.terminals[t].may_stay_free)
    ]
    if not mine:
        return 0.0
    coil_box(pen, canvas, ref, mine, x, y)
    return 12.5


def coil_box(pen: Pen, canvas: Canvas, ref: str, terminals: list[str], x: float, y: float) -> None:
    """A coil or other port: a box left of the contact whose upper pin is at (x, y), its pins further left."""
    view, em = pen.view, pen.style.em
    right = x - 5.0
    left = right - 5.0
    low = y + max(7.5, 5.0 * len(terminals) - 2.5)
    canvas.box(ref, left, y - 2.2, right, low + 2.2)
    canvas.line(ref, right, y + 3.8, x - 1.1, y + 3.8, THIN, "link")
    spots = (
        [y + 3.75 - 1.25]
        if len(terminals) == 1
        else [y, low]
        if len(terminals) == 2
        else [y + 5.0 * i for i in range(len(terminals))]
    )
    for t, at in zip(terminals, spots, strict=True):
        canvas.line(ref, left - 2.5, at, left, at)
        canvas.pin(ref, left - 2.5, at, (("", t),), "L")
        canvas.text(
            ref, left + 0.5, at + em * 0.33, pole_name(t.rpartition(".")[2]), em, "sans", "start", "graphite"
        )
        if not view.at.get(t):
            canvas.circle(ref, left - 3.2, at, 0.7, 0.25, fill="sheet")


def far_end(wire: Wire, terminal: str) -> End:
    """The end of a wire that does not land on `terminal`."""
    return wire.b if any(t == terminal for _, t in wire.a.nodes) else wire.a
