"""Bars of the sheet: bus, earth and metal lines with their names, signs and stud numbers."""

from ohmwright.drawing import symbols
from ohmwright.drawing.bank import Bar
from ohmwright.drawing.caption import leader, room_beside
from ohmwright.drawing.draft import Draft
from ohmwright.drawing.lettering import plain, text_width
from ohmwright.drawing.pen import Pen
from ohmwright.drawing.shapes import BUS, FRAME, Box, Circle, Line, Pin
from ohmwright.drawing.words import part_lines


def draw_bars(pen: Pen, d: Draft) -> None:
    """Bars with their name, sign and stud numbers, trimmed to what is tapped."""
    canvas, em = d.canvas, pen.style.em
    for bar in d.bars:
        metal = bar.ref in pen.view.rig.metal
        xs = [x for x, _, _ in bar.taps]
        if metal:
            if not xs:
                continue
            before = min(xs) - 14.0 >= d.room.drawing[0]
            most = max(d.room.drawing[2] - 5.0, max(xs))
            bar.x1, bar.x2 = (
                (min(xs) - 10.0, max(xs) + 5.0) if before else (min(xs) - 0.5, min(max(xs) + 10.0, most))
            )
        draw_studs(pen, d, bar)
        for x, terminal, _ in bar.taps:
            if not terminal:
                continue
            canvas.add(bar.ref or pen.view.owner(terminal), Pin(x, bar.y, (("", terminal),)))
            if metal:
                canvas.add(bar.ref, Circle(x, bar.y, 0.75, 0.0, "ink", "dot", "ink"))
        if bar.post:
            _post_bar(pen, d, bar)
        elif metal:
            canvas.add(bar.ref, Line(bar.x1, bar.y, bar.x2, bar.y, FRAME, "earth", "ink", "bus"))
            (symbols.earth if bar.ref in ("ground", "sea", "shore-ground") else symbols.frame)(
                canvas, bar.ref, bar.x1 if before else bar.x2, bar.y
            )
            said = pen.view.rig.metal[bar.ref]
            more = [f"touches {', '.join(said.joined)}"] if said.joined else []
            more += [f"wet by {', '.join(said.wet)}"] if said.wet else []
            width = text_width(bar.ref + "  ", em, "sans-bold") + text_width(", ".join(more), em)
            options = [
                (x, y)
                for y in (bar.y + em * 0.66 + 1.4, bar.y - 1.4)
                for x in (bar.x1 + 4.0, *(t + 1.2 for t in sorted(xs)))
            ]
            if before:
                options += [(bar.x2 + 1.5, bar.y + em * 0.33), (bar.x1 - 6.0 - width, bar.y + em * 0.33)]
            else:
                options = [(bar.x2 + 5.5, bar.y + em * 0.33), *options]
            spot = next((o for o in options if free_text(d, o[0], o[1], width, em)), None)
            x, y = spot or _apart(d, bar, width, em) or options[0]
            canvas.text(bar.ref, x, y, bar.ref, em, "sans-bold")
            canvas.text(bar.ref, x + text_width(bar.ref + "  ", em, "sans-bold"), y, ", ".join(more), em)
            canvas.anchor(
                bar.ref, (bar.x1 - 3.4, bar.y, "right") if before else (bar.x2 + 3.4, bar.y, "left")
            )
        else:
            canvas.add(bar.ref, Line(bar.x1, bar.y, bar.x2, bar.y, BUS, "", "ink", "bus"))
            _name_bar(pen, d, bar)


def _apart(d: Draft, bar: Bar, width: float, em: float) -> tuple[float, float] | None:
    """Room for a name that finds none at its line, with a leader."""
    d.noted()
    best = room_beside(d, width, em * 1.2, [(bar.x1 + 1.5, bar.y), (bar.x2 - 1.5, bar.y)])
    if best is None:
        return None
    x, y, edge_x, edge_y, left, top = best
    leader(d, bar.ref, x, y, edge_x, edge_y)
    return left, top + em * 0.9


def draw_studs(pen: Pen, d: Draft, bar: Bar) -> None:
    """Stud numbers at the taps that have none yet."""
    if bar.ref and bar.ref not in pen.view.rig.metal:
        for x, terminal, side in bar.taps[bar.lettered :]:
            if terminal:
                _stud(pen, d, bar, x, terminal.removeprefix(bar.ref + ".").split(".")[0], side)
        bar.lettered = len(bar.taps)


def number_tap(pen: Pen, d: Draft, bar: Bar) -> None:
    """The stud's number at a new tap, at once: words and wires that come later go around it."""
    before = len(d.canvas.boxes)
    draw_studs(pen, d, bar)
    for box in d.canvas.boxes[before:]:
        d.free.block(box, 0.9)


def _stud(pen: Pen, d: Draft, bar: Bar, x: float, stud: str, side: str) -> None:
    """A stud's number at its tap, on the side of the wire, left of it unless something lies there."""
    em = pen.style.em
    width = text_width(stud, em)
    beside = bar.y + em * 0.66 + 1.2 if side == "below" else bar.y - 1.2
    across = bar.y - 1.2 if side == "below" else bar.y + em * 0.66 + 1.2
    options = [
        (x - 0.8 - width, beside),
        (x + 0.8, beside),
        (x - 0.8 - width, across),
        (x + 0.8, across),
        (x - 3.4 - width, beside),
        (x + 3.4, beside),
    ]
    away = em * 0.9 if side == "below" else -em * 0.9
    options += [(at, beside + away * k) for k in (1, 2) for at in (x - 0.8 - width, x + 0.8)]
    at = next(
        (
            o
            for o in options
            if d.canvas.is_clear((o[0] - 0.1, o[1] - em * 0.7, o[0] + width + 0.1, o[1] + 0.05))
        ),
        options[0],
    )
    d.canvas.text(bar.ref, at[0], at[1], stud, em, "sans", "start", "graphite")


def _post_bar(pen: Pen, d: Draft, bar: Bar) -> None:
    """A battery's post drawn long: the ink of the wires that land on it."""
    wires = [w for w, _ in pen.view.at.get(bar.post, ()) if not w.ac]
    if not wires:
        return
    xs = [x for x, _, _ in bar.taps]
    d.canvas.wire(wires[0].run, wires[0].id, min(xs), bar.y, max(xs), bar.y)
    told = f"{bar.post.replace('-', '−')} post"
    width = text_width(told, pen.style.em, "sans-semibold")
    options = [
        (x, y)
        for y in (bar.y - 0.8 - pen.style.em * 0.23, bar.y + 1.2 + pen.style.em * 0.72)
        for x in [*(t + 1.5 for t in sorted(xs)), max(xs) - width]
    ]
    options += [
        (max(xs) + 1.5, bar.y + pen.style.em * 0.33),
        (min(xs) - width - 1.5, bar.y + pen.style.em * 0.33),
    ]
    x, y = next(
        (o for o in options if free_text(d, o[0], o[1], width, pen.style.em)), (min(xs) + 1.5, bar.y - 1.2)
    )
    d.canvas.text(pen.view.owner(bar.post), x, y, told, pen.style.em, "sans-semibold")


def _name_bar(pen: Pen, d: Draft, bar: Bar) -> None:
    canvas, em = d.canvas, pen.style.em
    part = pen.view.rig.parts[bar.ref]
    lines = part_lines(part, pen.home)
    first = plain(bar.ref)
    told = ", ".join(lines)
    width = text_width(first, pen.style.big, "sans-bold") + 1.2 + text_width(told, em)
    taps = sorted(x for x, _, _ in bar.taps)
    options = []
    for y in (bar.y - 0.8 - pen.style.big * 0.23, bar.y + 1.2 + pen.style.big * 0.75):
        options += [(x, y) for x in (bar.x1, *(t + 1.2 for t in taps), bar.x2 - width)]
        options.append((bar.x2 + 1.5, bar.y + em * 0.3))
    spot = next((o for o in options if free_text(d, o[0], o[1], width, pen.style.big)), None)
    if spot is None:
        width = text_width(first, pen.style.big, "sans-bold")
        told = ""
        spot = next(
            (o for o in options if free_text(d, o[0], o[1], width, pen.style.big)),
            (bar.x1 - width - 1.5, bar.y + em * 0.33),
        )
    canvas.text(bar.ref, spot[0], spot[1], first, pen.style.big, "sans-bold")
    canvas.text(bar.ref, spot[0] + text_width(first, pen.style.big, "sans-bold") + 1.2, spot[1], told, em)
    canvas.anchor(bar.ref, (bar.x1 - 0.5, bar.y, "right"), (bar.x2 + 0.5, bar.y, "left"))


def free_text(d: Draft, x: float, y: float, width: float, em: float) -> bool:
    return is_empty(d, (x - 0.4, y - em * 0.75, x + width + 0.4, y + em * 0.22))


def is_empty(d: Draft, box: Box) -> bool:
    """True when no shape and no bar lies in a box of the drawing room."""
    left, top, right, bottom = d.room.drawing
    if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
        return False
    if not d.canvas.is_clear(box):
        return False
    return not any(
        bar.x1 < box[2] and box[0] < bar.x2 and bar.y - 0.7 < box[3] and box[1] < bar.y + 0.7
        for bar in d.bars
    )
