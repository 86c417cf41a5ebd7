"""A bank in its real topology: rails or bars, a branch a battery with its own fuse, links and leads with their ink."""

from dataclasses import dataclass, field

from ohmwright.drawing import symbols
from ohmwright.drawing.canvas import Canvas, lettered
from ohmwright.drawing.chains import draw_chain, wire_ink
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Column, Pen, up
from ohmwright.drawing.shapes import GRID
from ohmwright.drawing.view import Chain
from ohmwright.drawing.words import part_lines, run_words, short
from ohmwright.rig.model import Part
from ohmwright.rig.ports import is_group, members, own_device
from ohmwright.working import known


@dataclass(slots=True)
class Bar:
    """A bar of the sheet: what it is, where it lies, and what is tapped from it: (x, terminal)."""

    ref: str
    y: float
    x1: float
    x2: float
    taps: list[tuple[float, str, str]] = field(default_factory=list)
    """x, terminal, and "above" or "below": on which side the wire leaves."""
    post: str = ""
    """The terminal, where the bar is only a battery's post drawn long."""
    lettered: int = 0
    """How many taps bear their stud's number already."""

    def copied(self) -> "Bar":
        """A bar of its own that looks the same."""
        return Bar(self.ref, self.y, self.x1, self.x2, self.taps[:], self.post, self.lettered)

    def moved(self, dx: float, dy: float) -> "Bar":
        """The same bar elsewhere."""
        return Bar(
            self.ref,
            self.y + dy,
            self.x1 + dx,
            self.x2 + dx,
            [(x + dx, t, s) for x, t, s in self.taps],
            self.post,
        )


@dataclass(frozen=True, slots=True)
class Stack:
    """A battery with its device: where its upper and lower pins are."""

    x: float
    plus: str
    minus: str


@dataclass(slots=True)
class BankDrawn:
    """What a bank came out as: its column, its bars, where its take-offs are."""

    column: Column
    bars: list[Bar]
    plus_x: float
    minus_x: float
    rail_y: float
    foot_y: float


def batteries_of(pen: Pen, bank: Part) -> list[Part]:
    """The batteries of a bank: the members of a group, or the battery itself."""
    return members(bank, pen.view.rig.parts) if is_group(bank) else [bank]


def draw_bank(pen: Pen, bank: Part, plus: Chain | None, minus: Chain | None, head: float) -> BankDrawn:
    """The bank's column: from y = 0 down through the chain to its rail, the batteries, the chain to the minus bar.

    `head` is the least height of the part above the rail.
    """
    column = Column()
    canvas = column.canvas
    style = pen.style
    batteries = batteries_of(pen, bank)
    for b in (bank, *batteries):
        pen.taken.add(b.id)
    join = bank.join
    bars = join is not None and join.how == "busbars" and is_group(bank)
    series = join is not None and join.how == "series" and len(batteries) > 1
    rail_y = head
    if plus is not None:
        rail_y = draw_chain(pen, column, _down_chain(plus), (0.0,), 0.0)
        column.taps.append((0.0, plus.stop[0]))
    pitch = _pitch(pen, bank, batteries)
    lead = style.slot if bars else 0.0
    stacks: list[Stack] = []
    foot = 0.0
    pad = (
        0.0
        if is_group(bank)
        else up(max(0.0, pen.style.block(len(part_lines(bank, pen.home))) - symbols.DEVICE) / 2)
    )
    for i, battery in enumerate(batteries):
        x = i * pitch + (5.0 if bars else 0.0)
        y, top = _stack(pen, canvas, bank, battery, x, rail_y + lead, pad, named=is_group(bank))
        stacks.append(Stack(x, top, _minus_of(pen, battery)))
        foot = y
    drawn: list[Bar] = []
    minus_y = foot + (style.slot if bars else 0.0)
    if bars and join is not None:
        drawn = _leads(pen, canvas, bank, stacks, rail_y, lead, foot, minus_y)
        if plus is not None:
            drawn[0].taps.append((0.0, plus.start[0], "above"))
    elif len(batteries) > 1:
        _links(pen, canvas, bank, stacks, rail_y, foot, series=series)
    takeoffs = _takeoffs(pen, bank, stacks)
    plus_x = 0.0
    minus_x = takeoffs[1] if not bars else stacks[-1].x - 5.0
    if is_group(bank) and not bars:
        canvas.pin(bank.id, plus_x, rail_y, (("", f"{bank.id}.+"),), "LU")
        canvas.pin(bank.id, minus_x, minus_y, (("", f"{bank.id}.-"),), "DR")
    right = 3.3 if not is_group(bank) else stacks[-1].x + pitch - 3.2
    _bank_words(pen, canvas, bank, rail_y, minus_y, right, head)
    y = minus_y
    if minus is not None:
        y = draw_chain(
            pen,
            column,
            minus,
            (minus_x,),
            minus_y,
            left=_left_fits(pen, minus_x),
            leave=True,
            lead=GRID if len(batteries) > 1 and not bars else pad,
        )
        if bars and drawn:
            drawn[1].taps.append((minus_x, minus.start[0], "below"))
    return BankDrawn(column, drawn, plus_x, minus_x, rail_y, y)


def _down_chain(chain: Chain) -> Chain:
    """A chain that was walked from the battery, turned to be drawn from the bar."""
    from ohmwright.drawing.chains import turned

    return turned(chain)


def _pitch(pen: Pen, bank: Part, batteries: list[Part]) -> float:
    device = own_device(batteries[0], pen.view.rig.parts)
    texts = [text_width(batteries[-1].id, pen.style.em, "sans-bold")]
    if device is not None:
        texts += [
            text_width(device.id, pen.style.em, "sans-bold"),
            *(text_width(w, pen.style.em) for w in _device_lines(device)),
        ]
    if bank.join is not None and bank.join.how == "busbars":
        texts.append(text_width(f"{bank.id}.lead{len(batteries)}", pen.style.em, "sans-bold"))
    elif len(batteries) > 1:
        texts.append(text_width(f"{bank.id}.link{len(batteries)}", pen.style.em) - 4.0)
    return up(max(texts) + 4.5 + 3.2)


def _device_lines(device: Part) -> list[str]:
    rated = known(device.figure("rated"))
    return [short(rated.value, "A") if rated else "? A"]


def _minus_of(pen: Pen, battery: Part) -> str:
    return next(t for t in pen.view.terminals_of[battery.id] if pen.view.graph.terminals[t].pole == "-")


def _plus_of(pen: Pen, battery: Part) -> str:
    return next(t for t in pen.view.terminals_of[battery.id] if pen.view.graph.terminals[t].pole == "+")


def _stack(
    pen: Pen, canvas: Canvas, bank: Part, battery: Part, x: float, y: float, pad: float, *, named: bool
) -> tuple[float, str]:
    """A battery under its own device from `y`; returns its foot and its upper terminal."""
    view, em = pen.view, pen.style.em
    device = own_device(battery, view.rig.parts)
    plus, minus = _plus_of(pen, battery), _minus_of(pen, battery)
    top = plus
    at = y
    if device is not None:
        pen.taken.add(device.id)
        top, under = f"{device.id}.load", f"{device.id}.line"
        pen.symbols.in_line(canvas, device.id, symbols.OF_KIND.get(device.kind.name, "device"), x, at)
        lines = _device_lines(device)
        canvas.text(device.id, x + 2.2, at + 3.2, device.id, em, "sans-bold")
        for i, line in enumerate(lines):
            canvas.text(device.id, x + 2.2, at + 3.2 + (i + 1) * pen.style.line, line, em)
        canvas.anchor(device.id, (x - 2.2, at + 3.75, "right"))
        canvas.pin(device.id, x, at, (("", top),), "U")
        canvas.pin(device.id, x, at + 7.5, (("", under),), "")
        at += 7.5
        post = next((w for w, _ in view.at.get(under, ()) if w.id not in pen.taken), None)
        if post is not None:
            wire_ink(canvas, post, x, at, x, at + pen.style.slot)
            words = run_words(view, pen.drops, (post,))
            canvas.text(post.run, x + 1.5, at + pen.style.slot / 2 - 0.2, words.first, em, "sans-bold")
            canvas.text(post.run, x + 1.5, at + pen.style.slot / 2 + pen.style.line - 0.2, words.second, em)
            pen.taken.add(post.id)
            at += pen.style.slot
        elif bank.join is not None and bank.join.post_length is not None:
            canvas.circle(device.id, x, at + 0.7, 0.7, 0.25, fill="sheet")
            canvas.text(
                device.id, x + 1.5, at + pen.style.slot / 2, "no run", em, "sans", "start", "graphite"
            )
            at += pen.style.slot
            canvas.circle(battery.id, x, at - 0.7, 0.7, 0.25, fill="sheet")
    else:
        at += GRID + pad
        canvas.line(battery.id, x, y, x, at, 0.5)
    pen.symbols.battery(canvas, battery.id, x, at, em)
    if named:
        canvas.text(battery.id, x + 3.3, at + 4.6, battery.id, em, "sans-bold")
    canvas.anchor(battery.id, (x - 3.6, at + 4.5, "right"))
    exits = "LU" if device is None else ""
    canvas.pin(battery.id, x, y if device is None else at, (("", plus),), exits)
    canvas.pin(battery.id, x, at + 7.5, (("", minus),), "DR")
    for t in view.terminals_of[battery.id]:
        if t not in (plus, minus) and (view.at.get(t) or not view.graph.terminals[t].may_stay_free):
            canvas.line(battery.id, x - 2.6, at + 5.0, x - 5.0, at + 5.0, 0.18)
            canvas.pin(battery.id, x - 5.0, at + 5.0, (("", t),), "LDU")
    return at + 7.5, top


def _links(
    pen: Pen, canvas: Canvas, bank: Part, stacks: list[Stack], rail_y: float, foot: float, *, series: bool
) -> None:
    """The links of a chain: each between neighbours, in the rails above and below."""
    view = pen.view
    where = {s.plus: (s.x, rail_y) for s in stacks} | {s.minus: (s.x, foot) for s in stacks}
    for run_id, wires in view.run_pairs.items():
        run = view.rig.runs[run_id]
        if run.part_of != bank.id or not run_id.startswith(f"{bank.id}.link"):
            continue
        for wire in wires:
            (ax, ay), (bx, by) = where[wire.a.terminal], where[wire.b.terminal]
            if series:
                middle = (ax + bx) / 2 // GRID * GRID
                wire_ink(canvas, wire, ax, ay, ax, ay + GRID)
                wire_ink(canvas, wire, ax, ay + GRID, middle, ay + GRID)
                wire_ink(canvas, wire, middle, ay + GRID, middle, by - GRID)
                wire_ink(canvas, wire, middle, by - GRID, bx, by - GRID)
                wire_ink(canvas, wire, bx, by - GRID, bx, by)
            else:
                wire_ink(canvas, wire, ax, ay, bx, by)
            pen.taken.add(wire.id)
        x = (where[wires[0].a.terminal][0] + where[wires[0].b.terminal][0]) / 2
        y = where[wires[-1].a.terminal][1] if not series else foot + GRID
        canvas.text(
            run_id,
            x + 1.0,
            y + (pen.style.em * 0.95 if not series else pen.style.em * 1.4),
            run_id,
            pen.style.em,
            "sans",
            "middle",
        )
        canvas.anchor(run_id, (x, rail_y - 1.0, "right"))


def _leads(
    pen: Pen,
    canvas: Canvas,
    bank: Part,
    stacks: list[Stack],
    rail_y: float,
    lead: float,
    foot: float,
    minus_y: float,
) -> list[Bar]:
    """The leads to the bars above and below, and the bars."""
    view, em = pen.view, pen.style.em
    owners: list[str] = []
    taps: dict[str, list[tuple[float, str, str]]] = {}
    for stack in stacks:
        for terminal, start, end, side in (
            (stack.plus, rail_y, rail_y + lead, "below"),
            (stack.minus, minus_y, foot, "above"),
        ):
            wire = next(
                (
                    w
                    for w, _ in view.at.get(terminal, ())
                    if view.rig.runs[w.run].part_of == bank.id and ".lead" in w.run
                ),
                None,
            )
            if wire is None:
                continue
            stud = wire.b if wire.a.terminal == terminal else wire.a
            wire_ink(canvas, wire, stack.x, start, stack.x, end)
            pen.taken.add(wire.id)
            if side == "below":
                words = run_words(view, pen.drops, (wire,))
                canvas.text(
                    wire.run, stack.x + 1.5, start + pen.style.slot / 2 + 0.2, wire.run, em, "sans-bold"
                )
                canvas.text(
                    wire.run,
                    stack.x + 1.5,
                    start + pen.style.slot / 2 + 0.2 + pen.style.line,
                    words.second,
                    em,
                )
                canvas.anchor(wire.run, (stack.x - 0.9, start + pen.style.slot / 2, "right"))
            if stud.owner not in owners:
                owners.append(stud.owner)
            taps.setdefault(stud.owner, []).append((stack.x, stud.terminal, side))
            pen.taken.add(stud.owner)
    ys = (rail_y, minus_y)
    return [Bar(o, y, -5.0, stacks[-1].x + 5.0, taps[o]) for o, y in zip(owners, ys, strict=False)]


def _takeoffs(pen: Pen, bank: Part, stacks: list[Stack]) -> tuple[float, float]:
    """Where the bank is taken off: x of plus and minus, after the file's own joints."""
    out = [0.0, stacks[-1].x]
    for e in pen.view.graph.elements.values():
        if e.role == "takeoff" and e.owner == bank.id:
            for s in stacks:
                if s.plus in (e.a, e.b):
                    out[0] = s.x
                if s.minus in (e.a, e.b):
                    out[1] = s.x
    return out[0], out[1]


def _left_fits(pen: Pen, minus_x: float) -> bool:
    """Whether the lettering of the chain below finds room left of it, under the rail."""
    return minus_x > 7.0 * pen.style.em


def _bank_words(
    pen: Pen, canvas: Canvas, bank: Part, rail_y: float, minus_y: float, right: float, head: float
) -> None:
    """The bank's own lettering: over its rail right of the chain, or beside its last battery."""
    lines = part_lines(bank, pen.home)
    height = pen.style.block(len(lines))
    middle = rail_y + height / 2 + 1.0 if is_group(bank) else minus_y - 3.75
    if is_group(bank) and not head:
        middle = rail_y - height / 2 - 2.0
        right = max(
            (b[2] for b in canvas.boxes if b[3] > middle - height / 2 - 1.0 and b[1] < rail_y - 1.5),
            default=0.0,
        )
    lettered(canvas, bank.id, right + 2.0, middle, bank.id, lines, pen.style.em)
    canvas.anchor(bank.id, (right + 1.1, middle - height / 2 + 2.0, "right"))
