"""The AC side: one line a cable, its cores told by slashes, drawn as trees downwards from each source."""

from ohmwright.drawing import symbols
from ohmwright.drawing.boxes import SPACE, Edge, draw_box, local_name, words_of
from ohmwright.drawing.canvas import Canvas, lettered, run_lettered
from ohmwright.drawing.chains import coil_box, device_pads, wire_ink
from ohmwright.drawing.lettering import text_width
from ohmwright.drawing.panels import header_height, used_ways, way_device, way_words
from ohmwright.drawing.pen import Column, Pen, up
from ohmwright.drawing.shapes import FRAME, GRID, POWER, Pin
from ohmwright.drawing.view import End, Wire
from ohmwright.drawing.words import part_lines, run_words

INVERTING = ("inverter", "inverter-charger")
SOURCES = ("supply-post", "generator", "shore-inlet")


def virtual(wire: Wire, core: str, end: End) -> str:
    """The name of the point at which a core leaves its cable."""
    return f"~{wire.id}.{core}@{'a' if end is wire.a else 'b'}"


def ac_wires(pen: Pen, owner: str) -> list[tuple[Wire, End]]:
    """Cables at a part that are not drawn yet, in the order of its ports."""
    return [(w, e) for w, e in pen.view.wires_at(owner) if w.ac and w.id not in pen.taken]


def tree_from(pen: Pen, wire: Wire, start: End, *, rooted: bool) -> Column:
    """A cable downwards from (0, 0) and everything behind it. Unless `rooted`, its upper end stays open."""
    column = Column()
    y = _cable(pen, column, wire, start, 0.0)
    if not rooted:
        pen.leave(column, wire, 0.0, 0.0, "ULR", start)
    _behind(pen, column, wire, wire.other(start), y)
    return column


def root(pen: Pen, owner: str) -> Column:
    """A source at y = 0 with what it feeds below."""
    column = Column()
    device_tree(pen, column, owner, 0.0, None)
    return column


def _cable(pen: Pen, column: Column, wire: Wire, start: End, y: float) -> float:
    """The slot of a cable: line, slashes, lettering, cores that leave it. Returns its lower end."""
    canvas = column.canvas
    far = wire.other(start)
    pen.taken.add(wire.id)
    top = 2 * GRID if start.away else 0.0
    bottom = GRID if far.away else 0.0
    end = y + top + pen.style.slot + bottom
    wire_ink(canvas, wire, 0.0, y, 0.0, end)
    middle = y + top + pen.style.slot / 2
    symbols.core_marks(canvas, wire.run, 0.0, middle, wire.cores)
    words = run_words(pen.view, pen.drops, (wire,))
    run_lettered(canvas, wire.run, 2.6, middle, words.first, words.size, words.second, pen.style.em)
    canvas.anchor(wire.run, (-2.4, middle, "right"))
    if start.away:
        _leave(pen, column, wire, start, y + 2 * GRID)
    if far.away:
        _leave(pen, column, wire, far, end - GRID)
    run = pen.view.rig.runs[wire.run]
    for which, at in (("from", wire.a), ("to", wire.b)):
        if which in run.plugs:
            _plug(canvas, wire.run, y + 1.2 if at is start else end - 1.2)
    return end


def _plug(canvas: Canvas, ref: str, y: float) -> None:
    canvas.arc(ref, 0.0, y, 1.3, 180, 360, 0.35)


def _leave(pen: Pen, column: Column, wire: Wire, end: End, y: float) -> None:
    """Cores that leave the cable at this end: a short branch with the core's name, its line led on from there."""
    canvas = column.canvas
    for i, (core, terminal) in enumerate(end.away):
        conductor = next(c for c in wire.conductors if c.pole == core)
        canvas.line(wire.run, 0.0, y, -5.0 * (i + 1), y, 0.25)
        canvas.line(wire.run, -0.5, y - 0.5, 0.5, y + 0.5, 0.25)
        name = virtual(wire, core, end)
        canvas.add(wire.run, Pin(0.0, y, ((core, name),)))
        canvas.pin(wire.run, -5.0 * (i + 1), y, (("", name),), "L")
        canvas.text(wire.run, -0.9, y - 0.5 - 2.5 * i, core, pen.style.em, "sans", "end", "graphite")
        owner = pen.view.owner(terminal)
        stub = Wire(
            name,
            wire.run,
            (),
            End(name, "", (("", name),)),
            End(pen.view.graph.terminals[terminal].port, owner, (("", terminal),)),
            "earth" if core == "PE" else "power",
            (conductor,),
        )
        pen.leave(column, stub, -5.0 * (i + 1), y, "L", stub.b)


def _behind(pen: Pen, column: Column, wire: Wire, end: End, y: float) -> None:
    """What a cable reaches: drawn below it, or the cable stays open when it stands elsewhere."""
    owner = end.owner
    backwards = pen.view.kind(owner) == "panel-ac" and end.port != f"{owner}.feed"
    if owner in pen.taken or pen.view.is_bar(owner) or pen.view.kind(owner) in INVERTING or backwards:
        pen.leave(column, wire, 0.0, y, "DLR", end)
        return
    device_tree(pen, column, owner, y, end)


def _branches(
    pen: Pen, column: Column, owner: str, y: float, wires: list[tuple[Wire, End]], x0: float = 0.0
) -> None:
    """The cables that go on from (x0, y), the narrowest first, side by side with a joint where they part."""
    cursor = None
    parts = []
    subs = [
        (wire, end, tree_from(pen, wire, end, rooted=True)) for wire, end in wires if wire.id not in pen.taken
    ]
    for wire, end, sub in sorted(subs, key=lambda s: s[2].canvas.bounds()[2]):
        left, _, right, _ = sub.canvas.bounds()
        x = x0 if cursor is None else up(cursor + GRID - left)
        parts.append((wire, end, x))
        column.merge(sub, x, y)
        cursor = x + right
    for i, (wire, end, x) in enumerate(parts):
        column.canvas.pin(owner, x0, y, end.nodes, "")
        if i:
            wire_ink(column.canvas, wire, x0, y, x, y)


def device_tree(pen: Pen, column: Column, owner: str, y: float, end: End | None) -> None:
    """A part at `y` below the cable that reaches it at `end`, or as a source of its own, with what it feeds."""
    pen.taken.add(owner)
    kind = pen.view.kind(owner)
    if kind == "panel-ac":
        _panel(pen, column, owner, y, end)
        return
    if pen.view.is_series(owner) and end is not None and all(t in pen.view.across for _, t in end.nodes):
        _series(pen, column, owner, y, end)
        return
    edge = Edge()
    if end is not None:
        edge.top = [(0.0, end.nodes, _port_name(owner, end.port))]
    onward: dict[str, list[tuple[Wire, End]]] = {}
    for w, e in ac_wires(pen, owner):
        onward.setdefault(e.port, []).append((w, e))
    _sides(pen, owner, edge)
    _idle_ports(pen, owner, edge, {*onward, end.port if end else ""})
    subs: list[tuple[Column, str]] = []
    for port, wires in onward.items():
        sub = Column()
        _branches(pen, sub, owner, 0.0, wires)
        subs.append((sub, port))
    at: list[float] = []
    cursor = None
    for sub, _ in subs:
        left, _, right, _ = sub.canvas.bounds()
        at.append(0.0 if cursor is None else up(cursor + GRID - left))
        cursor = at[-1] + right
    for (_, port), x in zip(subs, at, strict=True):
        nodes = onward[port][0][1].nodes
        edge.bottom.append((x, nodes, _port_name(owner, port)))
    if end is not None and any(port == end.port for _, port in subs):
        edge.through = [(0.0, x) for (_, port), x in zip(subs, at, strict=True) if port == end.port]
    placed = draw_box(
        pen, column.canvas, owner, y, edge, grow="both" if not subs or len(subs) == 1 else "right"
    )
    for (sub, _), x in zip(subs, at, strict=True):
        column.merge(sub, x, placed.bottom)


def _idle_ports(pen: Pen, owner: str, edge: Edge, drawn: set[str]) -> None:
    """Ports for cables that no cable of the tree uses: one that is waited for, or that should have a run and has none."""
    view = pen.view
    ports: dict[str, list[str]] = {}
    for t in view.terminals_of[owner]:
        if view.graph.terminals[t].port_role == "ac":
            ports.setdefault(view.graph.terminals[t].port, []).append(t)
    for port, terminals in ports.items():
        if port in drawn:
            continue
        nodes = tuple((view.graph.terminals[t].pole, t) for t in terminals)
        if any(t in pen.awaited for t in terminals):
            edge.right.append((nodes, _port_name(owner, port)))
        elif (
            not any(view.at.get(t) for t in terminals)
            and not view.graph.terminals[terminals[0]].may_stay_free
        ):
            edge.right.append((nodes, f"{_port_name(owner, port)} no run".strip()))


def _port_name(owner: str, port: str) -> str:
    return local_name(owner, port)


def _sides(pen: Pen, owner: str, edge: Edge) -> None:
    """Single conductors at a part of the AC side: pins on its left, and on its right for earth."""
    view = pen.view
    for t in view.terminals_of[owner]:
        terminal = view.graph.terminals[t]
        single = any(not w.ac and w.id not in pen.taken for w, _ in view.at.get(t, ()))
        away = any(t in (x for _, x in (*w.a.away, *w.b.away)) for w in view.wires.values() if w.ac)
        bare = (
            not view.at.get(t)
            and not away
            and not terminal.may_stay_free
            and terminal.port_role not in ("ac", "way")
        )
        if single or away or (t in pen.awaited and terminal.port_role not in ("ac", "way")):
            edge.left.append(((("", t),), local_name(owner, t)))
        elif bare:
            edge.left.append(((("", t),), f"{local_name(owner, t)} no run"))


def _series(pen: Pen, column: Column, owner: str, y: float, end: End) -> None:
    """A breaker or its like in the cable: one symbol for all its poles."""
    canvas = column.canvas
    part = pen.view.rig.parts[owner]
    top, bottom = device_pads(pen, owner)
    tapped = _tapped(pen, owner)
    over = sum(1 for t in tapped if t in {u for _, u in end.nodes})
    top, bottom = max(top, 5.0 * over), max(bottom, 5.0 * (len(tapped) - over))
    wires = list(ac_wires(pen, owner))
    same = [(w, e) for w, e in wires if e.port == end.port]
    if same:
        half = pen.style.block(len(part_lines(part, pen.home))) / 2
        top = max(top, up(half - symbols.DEVICE / 2 + 0.8))
    here = y + top
    wire_pad(canvas, owner, y, here)
    name = symbols.OF_KIND.get(part.kind.name, "device")
    pen.symbols.in_line(canvas, owner, name, 0.0, here)
    canvas.pin(owner, 0.0, y, end.nodes, "LR")
    out = tuple((c, pen.view.across[t]) for c, t in end.nodes)
    low = here + symbols.DEVICE
    lettered(
        canvas,
        owner,
        pen.symbols.reach[name][1] + 1.2,
        here + 3.75,
        owner,
        part_lines(part, pen.home),
        pen.style.em,
    )
    reach = pen.symbols.reach[name][0]
    foot = low + bottom
    wire_pad(canvas, owner, low, foot)
    canvas.pin(owner, 0.0, foot, out, "LR")
    reach += _taps(pen, canvas, owner, end, here, low)
    canvas.anchor(owner, (-reach - 0.9, here + 3.75, "right"))
    onward = [(w, e) for w, e in wires if e.port != end.port]
    if onward:
        _branches(pen, column, owner, foot, onward)
    elif not any(w.ac for t in (t for _, t in out) for w, _ in pen.view.at.get(t, ())):
        canvas.circle(owner, 0.0, foot + 0.7, 0.7, 0.25, fill="sheet")
        canvas.text(owner, 1.4, foot + pen.style.em, "no run", pen.style.em, "sans", "start", "graphite")
    for w, e in same:
        sub = tree_from(pen, w, e, rooted=True)
        left = sub.canvas.bounds()[0]
        x = up(column.canvas.bounds()[2] + GRID - left)
        column.merge(sub, x, y)
        wire_ink(canvas, w, 0.0, y, x, y)


def wire_pad(canvas: Canvas, owner: str, y1: float, y2: float) -> None:
    """The leads of a device that its lettering keeps apart from the next cable."""
    if y1 != y2:
        canvas.line(owner, 0.0, y1, 0.0, y2, POWER)


def _tapped(pen: Pen, owner: str) -> list[str]:
    """Terminals of a device in a cable at which a single conductor lands."""
    return [
        t
        for t in pen.view.terminals_of[owner]
        if t in pen.view.across and any(not w.ac for w, _ in pen.view.at.get(t, ()))
    ]


def _tap_spots(pen: Pen, owner: str, line_side: set[str], here: float, low: float) -> list[tuple[str, float]]:
    """Where such conductors leave: over the symbol on its line side, under it on its load side."""
    tapped = _tapped(pen, owner)
    over = [t for t in tapped if t in line_side]
    under = [t for t in tapped if t not in line_side]
    return [(t, here - 2.5 - 5.0 * k) for k, t in enumerate(over)] + [
        (t, low + 2.5 + 5.0 * k) for k, t in enumerate(under)
    ]


def _taps(pen: Pen, canvas: Canvas, owner: str, end: End, here: float, low: float) -> float:
    """Single conductors at the poles of a device, and its coil: pins to the left."""
    view = pen.view
    line_side = {t for _, t in end.nodes}
    reach = 0.0
    coil: list[str] = []
    for t, at in _tap_spots(pen, owner, line_side, here, low):
        canvas.line(owner, 0.0, at, -5.0, at, 0.25)
        canvas.text(
            owner, -4.6, at - 0.5, view.graph.terminals[t].pole, pen.style.em, "sans", "start", "graphite"
        )
        canvas.pin(owner, -5.0, at, (("", t),), "L")
        reach = 5.0
    for t in view.terminals_of[owner]:
        singles = any(not w.ac and w.id not in pen.taken for w, _ in view.at.get(t, ()))
        if t not in view.across and (
            singles or t in pen.awaited or not view.graph.terminals[t].may_stay_free
        ):
            coil.append(t)
    if coil:
        coil_box(pen, canvas, owner, coil, -reach, here)
        reach += 12.5
    return reach


def _panel(pen: Pen, column: Column, owner: str, y: float, end: End | None) -> None:
    """An AC panel: its main where it has one, a breaker a way, what hangs on each way below."""
    canvas = column.canvas
    part = pen.view.rig.parts[owner]
    first, lines = words_of(pen, owner)
    main = part.word("main") == "yes"
    head = max(header_height(pen, lines), 12.5 if main else 0.0)
    bar_y = y + head
    pins_y = bar_y + symbols.DEVICE + GRID
    ways = used_ways(pen, part)
    subs = []
    for way in ways:
        sub = Column()
        wires = [(w, e) for w, e in ac_wires(pen, owner) if e.port == f"{owner}.{way}"]
        mine = [
            t for t in pen.view.terminals_of[owner] if pen.view.graph.terminals[t].port == f"{owner}.{way}"
        ]
        if any(t in pen.awaited for t in mine):
            nodes = tuple((pen.view.graph.terminals[t].pole, t) for t in mine)
            sub.canvas.pin(owner, 0.0, 0.0, nodes, "D" if not wires else "")
            if wires:
                sub.canvas.pin(owner, 0.0, 0.0, nodes, "LR")
        if wires:
            _branches(pen, sub, owner, 0.0, wires)
        elif not any(t in pen.awaited for t in mine):
            sub.canvas.line(owner, -1.2, 1.2, 1.2, 1.2)
            sub.canvas.line(owner, 0.0, 0.0, 0.0, 1.2)
            sub.canvas.text(
                owner, 1.3, 1.2 + pen.style.em, "spare", pen.style.em, "sans", "start", "graphite"
            )
        subs.append(sub)
    at: list[float] = []
    cursor = None
    for way, sub in zip(ways, subs, strict=True):
        left, _, right, _ = sub.canvas.bounds()
        x = 0.0 if cursor is None else up(cursor + 1.5 - left)
        at.append(x)
        cursor = x + max(right, 2.5 + text_width(way_words(part, way)[1], pen.style.em))
    title = max(
        text_width(first, pen.style.big, "sans-bold"), *(text_width(w, pen.style.em) for w in lines), 0.0
    )
    right = up(
        max(
            [
                2.0 + title + 2.0,
                *(
                    x + 4.0 + text_width(way_words(part, w)[1], pen.style.em)
                    for x, w in zip(at, ways, strict=True)
                ),
            ]
        )
    )
    canvas.box(owner, -5.0, y, right, pins_y)
    lettered(canvas, owner, 2.2, y + header_height(pen, lines) / 2, first, lines, pen.style.em)
    canvas.anchor(owner, (-5.9, y + 3.5, "right"), (right + 0.9, y + 3.5, "left"))
    if main:
        pen.symbols.in_line(canvas, owner, "breaker", 0.0, bar_y - symbols.DEVICE)
        canvas.line(owner, 0.0, y, 0.0, bar_y - symbols.DEVICE, POWER)
    else:
        canvas.line(owner, 0.0, y, 0.0, bar_y, POWER)
    if at:
        canvas.line(owner, min(0.0, *at), bar_y, max(0.0, *at), bar_y, FRAME)
    for way, x, sub in zip(ways, at, subs, strict=True):
        way_device(pen, canvas, part, way, x, bar_y)
        column.merge(sub, x, pins_y)
    feed = tuple(
        (pen.view.graph.terminals[t].pole, t)
        for t in pen.view.terminals_of[owner]
        if pen.view.graph.terminals[t].port == f"{owner}.feed"
    )
    canvas.pin(owner, 0.0, y, end.nodes if end is not None else feed, "U")
    if end is None and not any(pen.view.at.get(t) for _, t in feed):
        canvas.circle(owner, 0.0, y - 0.7, 0.7, 0.25, fill="sheet")
        canvas.text(owner, 1.4, y - 0.4, "no run", pen.style.em, "sans", "start", "graphite")
    singles = [
        t
        for t in pen.view.terminals_of[owner]
        if any(not w.ac and w.id not in pen.taken for w, _ in pen.view.at.get(t, ()))
    ]
    aways = [
        t
        for t in pen.view.terminals_of[owner]
        if any(t == x for w in pen.view.wires.values() if w.ac for _, x in (*w.a.away, *w.b.away))
    ]
    for i, t in enumerate(dict.fromkeys([*singles, *aways])):
        spot = y + 2.5 + 2.5 * i
        canvas.pin(owner, right, spot, (("", t),), "R")
        canvas.add(owner, Pin(right + SPACE, spot, ()))
        canvas.text(
            owner,
            right - 0.6,
            spot + pen.style.em * 0.33,
            local_name(owner, t).removeprefix("feed "),
            pen.style.em,
            "sans",
            "end",
            "graphite",
        )
