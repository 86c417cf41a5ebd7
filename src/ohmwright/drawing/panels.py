"""A DC panel: header, bar, one way a column with its breaker or fuse, the loads under it, its own return bar."""

from collections.abc import Callable

from ohmwright.drawing import symbols
from ohmwright.drawing.boxes import Edge, draw_box, words_of
from ohmwright.drawing.canvas import Canvas, lettered
from ohmwright.drawing.chains import wire_ink
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.pen import Column, Pen, up
from ohmwright.drawing.shapes import FRAME, GRID, POWER, Pin
from ohmwright.drawing.view import End, Wire
from ohmwright.drawing.words import run_words, short
from ohmwright.rig.model import Part
from ohmwright.working import known


def used_ways(pen: Pen, part: Part) -> list[str]:
    """The ways that have a rating or a run, in order."""
    wired = {
        pen.view.graph.terminals[t].port.rpartition(".")[2]
        for t in pen.view.terminals_of[part.id]
        if pen.view.graph.terminals[t].port_role == "way" and pen.view.at.get(t)
    }
    return sorted({*part.ways, *wired}, key=lambda w: (len(w), w))


def way_words(part: Part, way: str) -> tuple[str, str]:
    """Number and rating of a way."""
    figure = known(part.ways[way]) if way in part.ways else None
    poles = part.way_words.get(way, "")
    rating = short(figure.value, "A") if figure else "?\u00a0A"
    return way, f"{rating} {poles}".strip()


def way_device(pen: Pen, canvas: Canvas, part: Part, way: str, x: float, y: float) -> float:
    """The protective device of a way, upper end at `y`; returns how far its words reach to the right."""
    device = part.word("way_device")
    pen.symbols.in_line(canvas, part.id, "fuse" if device == "fuse" else "breaker", x, y)
    canvas.line(part.id, x, y + symbols.DEVICE, x, y + symbols.DEVICE + GRID, POWER)
    number, rating = way_words(part, way)
    canvas.text(part.id, x + 1.9, y + pen.style.em * 0.9, number, pen.style.em, "sans-bold")
    canvas.text(part.id, x + 1.9, y + pen.style.em * 0.9 + pen.style.line, rating, pen.style.em)
    return 2.5 + max(text_width(rating, pen.style.em), text_width(number, pen.style.em, "sans-bold"))


def branch_label(pen: Pen, canvas: Canvas, wires: tuple[Wire, ...], x: float, y: float) -> float:
    """The two lines at a branch cable, centred on `y`; returns their width."""
    words = run_words(pen.view, pen.drops, wires)
    em = pen.style.em
    first = words.size if not words.first else f"{words.first} {words.size}"
    canvas.text(wires[0].run, x + 1.3, y - 0.2, first, em)
    canvas.text(wires[0].run, x + 1.3, y - 0.2 + pen.style.line, words.second, em)
    canvas.anchor(wires[0].run, (x - 0.9, y, "right"))
    return 1.3 + max(text_width(first, em), text_width(words.second, em))


def header_height(pen: Pen, lines: list[str]) -> float:
    """Room for a panel's reference and lines over its bar."""
    return up(pen.style.block(len(lines)) + 3.0)


def stand_dc(
    pen: Pen,
    column: Column,
    owner: str,
    y: float,
    tops: list[tuple[float, str]],
    legs_of: Callable[..., list],  # type: ignore[type-arg]
    down: Callable[..., list[tuple[float, str]]],
) -> None:
    """A panel under its feed, at `y`."""
    canvas, view = column.canvas, pen.view
    part = view.rig.parts[owner]
    first, lines = words_of(pen, owner)
    minus = next((x for x, t in tops if t.endswith("-")), None)
    feed = next(
        (x for x, t in tops if t.endswith("+")), None if minus is None else minus + pen.style.poles_apart
    )
    if feed is None:
        feed = tops[0][0] if tops else 0.0
    _unfed(pen, canvas, owner, {t for _, t in tops}, feed, y)
    bar_y = y + header_height(pen, lines)
    pins_y = bar_y + symbols.DEVICE + GRID
    load_y = pins_y + pen.style.slot
    ways = used_ways(pen, part)
    pieces = [_way(pen, part, w, load_y - pins_y) for w in ways]
    at: list[float] = []
    cursor: float | None = None
    for piece, reach in pieces:
        left, _, right, _ = piece.canvas.bounds()
        x = feed if cursor is None else up(cursor + 1.5 - left)
        if cursor is None and minus is not None:
            x = max(x, up(minus + 1.5 - left))
        at.append(x)
        cursor = x + max(right, reach)
    title = text_width(first, pen.style.big, "sans-bold"), *(text_width(w, pen.style.em) for w in lines)
    box_left = min([feed, *at, *([minus] if minus is not None else [])]) - 5.0
    box_right = up(
        max([feed + 2.0 + max(title) + 1.5, *(x + r + 1.0 for x, (_, r) in zip(at, pieces, strict=True))])
    )
    canvas.box(owner, box_left, y, box_right, pins_y)
    lettered(canvas, owner, feed + 2.0, y + header_height(pen, lines) / 2, first, lines, pen.style.em)
    canvas.anchor(owner, (box_left - 0.9, y + 3.5, "right"), (box_right + 0.9, y + 3.5, "left"))
    canvas.line(owner, feed, y, feed, bar_y, POWER)
    canvas.line(owner, min([feed, *at]), bar_y, max([feed, *at]), bar_y, FRAME)
    bottom = load_y
    for way, x, (piece, _) in zip(ways, at, pieces, strict=True):
        way_device(pen, canvas, part, way, x, bar_y)
        column.merge(piece, x, pins_y)
        bottom = max(bottom, pins_y + piece.canvas.bounds()[3])
    return_y = up(bottom + GRID)
    _returns(pen, column, owner, ways, at, pieces, pins_y, return_y)
    for x, t in tops:
        canvas.pin(owner, x, y, (("", t),), "U")
    ret = f"{owner}.feed.-"
    if minus is not None:
        canvas.line(owner, minus, y, minus, return_y, POWER)
        canvas.line(owner, minus, return_y, at[0] if at else feed, return_y, FRAME)
    elif ret in view.terminals_of[owner]:
        x0 = (at[0] if at else feed) - 5.0
        canvas.line(owner, x0, return_y, x0 + 5.0, return_y, FRAME)
        legs = legs_of(pen, [ret])
        canvas.pin(owner, x0, return_y, (("", ret),), "DL")
        for i, leg in enumerate(legs[:1]):
            sub = Column()
            down(pen, sub, leg)
            column.merge(sub, x0 + 10.0 * i, return_y)
        if not view.at.get(ret):
            canvas.circle(owner, x0, return_y + 0.7, 0.7, 0.25, fill="sheet")
            canvas.text(
                owner,
                x0 + 1.4,
                return_y + pen.style.em + 1.4,
                "no run",
                pen.style.em,
                "sans",
                "start",
                "graphite",
            )


def _unfed(pen: Pen, canvas: Canvas, owner: str, entered: set[str], x: float, y: float) -> None:
    """The pin of a feed that nothing came down to: a wire may still be led there, or it has none."""
    plus = f"{owner}.feed.+"
    if plus in entered or plus not in pen.view.terminals_of[owner]:
        return
    canvas.pin(owner, x, y, (("", plus),), "U")
    canvas.add(owner, Pin(x, y - 5.0, ()))
    if not pen.view.at.get(plus):
        canvas.circle(owner, x, y - 0.7, 0.7, 0.25, fill="sheet")
        canvas.text(owner, x + 1.4, y - 0.4, "no run", pen.style.em, "sans", "start", "graphite")


def _way(pen: Pen, part: Part, way: str, slot: float) -> tuple[Column, float]:
    """What hangs on a way, its pin at (0, 0); and how far the way's own words reach."""
    piece = Column()
    _, rating = way_words(part, way)
    reach = 2.5 + text_width(rating, pen.style.em)
    plus = f"{part.id}.{way}.+"
    piece.canvas.pin(part.id, 0.0, 0.0, (("", plus),), "D")
    wires = [w for w, _ in pen.view.at.get(plus, ()) if w.id not in pen.taken]
    if not wires:
        piece.canvas.line(part.id, -1.2, 1.2, 1.2, 1.2)
        piece.canvas.line(part.id, 0.0, 0.0, 0.0, 1.2)
        piece.canvas.text(
            part.id, 1.3, 1.2 + pen.style.em, "spare", pen.style.em, "sans", "start", "graphite"
        )
        return piece, reach
    x = 0.0
    for i, wire in enumerate(wires):
        end = wire.a if wire.b.terminal == plus else wire.b
        single = Column()
        if pen.view.kind(end.owner) == "load" and end.owner not in pen.taken:
            _load(pen, single, wire, end, slot)
        else:
            width = branch_label(pen, single.canvas, (wire,), 0.0, slot / 2)
            del width
            wire_ink(single.canvas, wire, 0.0, 0.0, 0.0, slot)
            pen.leave(single, wire, 0.0, slot, "DLR", end)
        if i:
            left = single.canvas.bounds()[0]
            here = up(piece.canvas.bounds()[2] + GRID - left)
            wire_ink(piece.canvas, wire, 0.0, 0.0, here, 0.0)
            x = here
        piece.merge(single, x, 0.0)
    return piece, reach


def _load(pen: Pen, piece: Column, wire: Wire, end: End, slot: float) -> None:
    """A load under its way: plus in on top, minus out below, other feeds at its side."""
    owner = end.owner
    edge = Edge(top=[(0.0, (("", end.terminal),), "")])
    minus = [
        t
        for t in pen.view.terminals_of[owner]
        if pen.view.graph.terminals[t].port == pen.view.graph.terminals[end.terminal].port
        and t != end.terminal
    ]
    edge.bottom = [(0.0, (("", t),), "") for t in minus[:1]]
    for port_terminals in _other_ports(pen, owner, pen.view.graph.terminals[end.terminal].port):
        from ohmwright.drawing.columns import ac_edge

        ac_edge(pen, edge, owner, port_terminals, [])
    run = pen.view.run_pairs[wire.run]
    branch_label(pen, piece.canvas, run, 0.0, slot / 2)
    wire_ink(piece.canvas, wire, 0.0, 0.0, 0.0, slot)
    pen.taken.add(wire.id)
    draw_box(pen, piece.canvas, owner, slot, edge, grow="both")


def _other_ports(pen: Pen, owner: str, but: str) -> list[list[str]]:
    out: dict[str, list[str]] = {}
    for t in pen.view.terminals_of[owner]:
        port = pen.view.graph.terminals[t].port
        if port != but:
            out.setdefault(port, []).append(t)
    return list(out.values())


def _returns(
    pen: Pen,
    column: Column,
    owner: str,
    ways: list[str],
    at: list[float],
    pieces: list[tuple[Column, float]],
    pins_y: float,
    y: float,
) -> None:
    """The panel's return bar with the minus of each load straight down to it."""
    canvas, view = column.canvas, pen.view
    taps: list[float] = []
    for way, x0, (piece, _) in zip(ways, at, pieces, strict=True):
        terminal = f"{owner}.{way}.-"
        for wire, end in view.at.get(terminal, ()):
            if wire.id in pen.taken:
                continue
            far = wire.other(end)
            landing = next(
                (a for a in piece.canvas.landings if any(t == far.terminal for _, t in a.nodes)), None
            )
            if landing is None:
                canvas.pin(owner, x0, y, (("", terminal),), "D")
                taps.append(x0)
                continue
            x = x0 + landing.x
            wire_ink(canvas, wire, x, pins_y + landing.y, x, y)
            pen.taken.add(wire.id)
            canvas.pin(owner, x, y, (("", terminal),), "")
            taps.append(x)
    left = min([*at[:1], *taps], default=0.0)
    right = max([left + GRID, *taps])
    canvas.line(owner, left, y, right, y, FRAME)
    canvas.text(
        owner, right + 1.2, y + pen.style.em * 0.33, f"{owner} −", pen.style.em, "sans", "start", "graphite"
    )
