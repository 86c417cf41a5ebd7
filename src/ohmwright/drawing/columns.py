"""Columns of the DC side: what hangs from a plus bar, what stands above it, each measured from what was drawn.

A column is drawn about x = 0 with its bar at y = 0.  Below, plus enters on top and minus leaves at the bottom;
above, plus comes down at x = 0 and minus beside it.
"""

from dataclasses import dataclass

from ohmwright.drawing import panels
from ohmwright.drawing.arrays import draw_array
from ohmwright.drawing.boxes import Edge, box_height, draw_box, local_name
from ohmwright.drawing.chains import chain_height, device, device_pads, draw_chain, open_end, turned
from ohmwright.drawing.pen import Column, Pen, up
from ohmwright.drawing.profile import Profile, profile_of
from ohmwright.drawing.shapes import GRID, POWER
from ohmwright.drawing.view import Chain, Step, View, Wire, chain_from

SIDE_ROLES = ("signal", "data", "earth", "case")
STORES = ("battery",)
INVERTERS = ("inverter", "inverter-charger")


@dataclass(frozen=True, slots=True)
class Leg:
    """Chains from a part to one other: drawn side by side; `stop` is "" when they end at something drawn elsewhere."""

    chains: tuple[Chain, ...]
    stop: str
    key: str


def elsewhere(pen: Pen, owner: str) -> bool:
    """True for what is not to be drawn at the end of a chain: bars, banks, parts that stand already."""
    return owner in pen.taken or pen.view.is_bar(owner) or pen.view.kind(owner) in STORES


def is_drawn(pen: Pen, terminal: str) -> bool:
    """As `elsewhere`, for what a chain ends at; each string of an array is a thing of its own."""
    anchor = anchor_of(pen, terminal)
    return anchor in pen.taken if anchor != pen.view.owner(terminal) else elsewhere(pen, anchor)


def free_wires(pen: Pen, terminal: str) -> list[Wire]:
    """Single conductors at a terminal that are not drawn yet."""
    return [w for w, _ in pen.view.at.get(terminal, ()) if w.id not in pen.taken and not w.ac]


def ports_of(pen: Pen, owner: str) -> dict[str, list[str]]:
    """The ports of a part, load or array string with their terminals, in order."""
    out: dict[str, list[str]] = {}
    for t in pen.view.terminals_of.get(owner, ()):
        out.setdefault(pen.view.graph.terminals[t].port, []).append(t)
    return out


def anchor_of(pen: Pen, terminal: str) -> str:
    """What is drawn as one thing: a part, or one string of an array."""
    owner = pen.view.owner(terminal)
    part = pen.view.rig.parts.get(owner)
    return pen.view.graph.terminals[terminal].port if part is not None and part.strings else owner


def legs_of(pen: Pen, terminals: list[str], *, down: bool = True) -> list[Leg]:
    """The chains that leave these terminals, those to the same thing together; pairs of poles stay pairs."""
    chains: list[Chain] = []
    walked: set[str] = set()
    by_port: dict[str, list[str]] = {}
    for t in terminals:
        by_port.setdefault(pen.view.graph.terminals[t].port, []).append(t)
    for mine in by_port.values():
        if len(mine) == 2:
            wires = [free_wires(pen, t) for t in mine]
            common = next((a for a in wires[0] if any(b.run == a.run for b in wires[1])), None)
            if common is not None:
                first = (common, next(b for b in wires[1] if b.run == common.run))
                chain = chain_from(pen.view, (mine[0], mine[1]), pen.taken, first)
                if chain is not None:
                    chains.append(chain)
                    walked |= {w.id for w in chain.wires}
        for t in mine:
            for wire in free_wires(pen, t):
                if wire.id in walked:
                    continue
                chain = chain_from(pen.view, (t,), pen.taken | walked, (wire,))
                if chain is not None:
                    chains.append(chain)
                    walked |= {w.id for w in chain.wires}
    legs: dict[str, list[Chain]] = {}
    for chain in chains:
        key = anchor_of(pen, chain.stop[0]) if not chain.steps[-1].device else ""
        lonely = (
            not key or is_drawn(pen, chain.stop[0]) or (down and not belongs_below(pen.view, chain.stop[0]))
        )
        legs.setdefault(f"~{chain.wires[0].id}" if lonely else key, []).append(chain)
    return [
        Leg(tuple(c), "" if key.startswith("~") else pen.view.owner(c[0].stop[0]), key)
        for key, c in legs.items()
    ]


def belongs_below(view: View, terminal: str) -> bool:
    """False for what is fed from elsewhere: a charger's output, the second way of a selector."""
    owner = view.owner(terminal)
    if view.kind(owner) in INVERTERS:
        return True
    for name in view.graph.at.get(terminal, ()):
        e = view.graph.elements[name]
        if (
            e.owner == owner
            and e.kind == "converter"
            and terminal in (e.out_a, e.out_b)
            and terminal not in (e.a, e.b)
        ):
            return False
    return not (view.kind(owner) == "selector" and ".b" in terminal.removeprefix(owner))


def _fresh(pen: Pen, leg: Leg) -> Leg:
    """The leg as it stands now: what was drawn since it was walked is neither walked through nor drawn again."""
    chains: list[Chain] = []
    for chain in leg.chains:
        if any(w.id in pen.taken for w in chain.steps[0].wires):
            continue
        if any(d in pen.taken for d in chain.devices) or any(w.id in pen.taken for w in chain.wires):
            again = chain_from(pen.view, chain.start, pen.taken, chain.steps[0].wires)
            chain = again if again is not None else chain
        chains.append(chain)
    same = all(not c.steps[-1].device and pen.view.owner(c.stop[0]) == leg.stop for c in chains)
    stop = leg.stop if same and leg.stop and not is_drawn(pen, leg.chains[0].stop[0]) else ""
    return Leg(tuple(chains), stop, leg.key)


def _lay(pen: Pen, leg: Leg) -> list[tuple[Chain, tuple[float, ...], bool]]:
    """Axes for the chains of a leg: plus at 0 with its lettering right, minus beside it."""
    apart = pen.style.poles_apart
    if not leg.chains:
        return []
    if len(leg.chains) == 1:
        chain = leg.chains[0]
        return [(chain, (0.0,) if chain.poles == 1 else (0.0, -apart), False)]
    ordered = sorted(
        leg.chains,
        key=lambda c: (c.poles == 1, "-" in pen.view.graph.terminals[c.start[0]].pole, c.wires[0].id),
    )
    out = []
    x = 0.0
    for i, chain in enumerate(ordered):
        xs = tuple(x - apart * k for k in range(chain.poles))
        out.append((chain, xs, i > 0))
        x = min(xs) - apart
    return out


def hang(pen: Pen, chain: Chain) -> Column:
    """The column that a chain leads down to from a bar at y = 0."""
    column = Column(taps=[(0.0, chain.start[0])])
    led = (
        chain.steps[-1].device
        or elsewhere(pen, pen.view.owner(chain.stop[0]))
        or not belongs_below(pen.view, chain.stop[0])
    )
    leg = Leg((chain,), "" if led else pen.view.owner(chain.stop[0]), "")
    _down(pen, column, leg)
    return column


def _down(pen: Pen, column: Column, leg: Leg) -> list[tuple[float, str]]:
    """Draw a leg downwards from y = 0 with what stands at its end; returns where it starts: (x, terminal)."""
    leg = _fresh(pen, leg)
    laid = _lay(pen, leg)
    height = max((chain_height(pen, c) for c, _, _ in laid), default=0.0)
    starts: list[tuple[float, str]] = []
    tops: list[tuple[float, str]] = []
    for i, (chain, xs, left) in enumerate(laid):
        draw_chain(
            pen,
            column,
            chain,
            xs,
            0.0,
            left=left,
            stretch=height - chain_height(pen, chain),
            leave=not leg.stop and not chain.steps[-1].device,
            beside=tuple(c for c, _, _ in laid[:i]),
        )
        starts += list(zip(xs, chain.start, strict=True))
        tops += list(zip(xs, chain.stop, strict=True))
    if leg.stop:
        stand(pen, column, leg.stop, height, tops)
    return starts


def stand(pen: Pen, column: Column, owner: str, y: float, tops: list[tuple[float, str]]) -> None:
    """Put a part or load under what leads to it, and what it feeds under that."""
    pen.taken.add(owner)
    if pen.view.kind(owner) == "panel-dc":
        panels.stand_dc(pen, column, owner, y, tops, legs_of, _down)
        return
    edge, below, lost = _edges(pen, owner, {t for _, t in tops})
    edge.top = [(x, (("", t),), local_name(owner, t)) for x, t in tops]
    subs = [(leg, *_sub(pen, leg)) for leg in below]
    _drawn_since(edge, owner, below, [s[2] for s in subs])
    subs.sort(key=lambda s: bool(s[0].stop))
    at = packed([s[1] for s in subs], tops[0][0] if tops else 0.0)
    for (_, _, starts), x in zip(subs, at, strict=True):
        edge.bottom += [(x + sx, (("", t),), local_name(owner, t)) for sx, t in starts]
    edge.bottom.sort(key=lambda p: p[0])
    free_x = (
        min([p[0] for p in edge.bottom] + [x for x, _ in tops] + [0.0]) - _apart_for_words(pen)
        if lost
        else 0.0
    )
    for i, t in enumerate(lost):
        edge.bottom.append(
            (
                free_x - _apart_for_words(pen) * i if (subs or len(lost) > 1) else 0.0,
                (("", t),),
                local_name(owner, t),
            )
        )
    placed = draw_box(
        pen, column.canvas, owner, y, edge, grow="both" if pen.view.kind(owner) == "load" else "right"
    )
    for x, nodes, _ in edge.bottom:
        if nodes[0][1] in lost:
            open_end(pen, column.canvas, owner, x, placed.bottom)
    for (_, sub, _), x in zip(subs, at, strict=True):
        column.merge(sub, x, placed.bottom)


def _drawn_since(edge: Edge, owner: str, legs: list[Leg], starts: list[list[tuple[float, str]]]) -> None:
    """Pins for terminals whose wires were drawn from elsewhere while the legs of this part were."""
    got = {t for some in starts for _, t in some}
    for t in (t for leg in legs for c in leg.chains for t in c.start):
        if t not in got:
            got.add(t)
            edge.left.append(((("", t),), local_name(owner, t)))


def _apart_for_words(pen: Pen) -> float:
    """How far apart two pins stand that both have to say they have no run."""
    return up(pen.width("no run") + 4.0)


def _sub(pen: Pen, leg: Leg) -> tuple[Column, list[tuple[float, str]]]:
    sub = Column()
    starts = _down(pen, sub, leg)
    return sub, starts


def packed(subs: list[Column], main: float, gap: float = GRID) -> list[float]:
    """Axes for columns side by side, as close as their outlines allow; the last stands under `main`."""
    at: list[float] = []
    placed = Profile()
    for sub in subs:
        outline = profile_of(sub.canvas)
        x = 0.0 if not at else max(up(placed.nearest(outline, gap)), at[-1] + GRID)
        at.append(x)
        placed.absorb(outline, x)
    shift = (main - at[-1]) if at else 0.0
    return [x + shift for x in at]


def _edges(
    pen: Pen, owner: str, entered: set[str], *, down: bool = True
) -> tuple[Edge, list[Leg], list[str]]:
    """Pins on the sides of a box, the legs that leave it, and terminals that should have a run and have none."""
    edge = Edge()
    view = pen.view
    onward: list[str] = []
    lost: list[str] = []
    for terminals in ports_of(pen, owner).values():
        first = view.graph.terminals[terminals[0]]
        wired = [t for t in terminals if any(w.id not in pen.taken for w, _ in view.at.get(t, ()))]
        bare = [t for t in terminals if not view.at.get(t) and not first.may_stay_free and t not in entered]
        if first.port_role == "ac" or (
            first.port_role == "way" and "N" in {view.graph.terminals[t].pole for t in terminals}
        ):
            ac_edge(pen, edge, owner, terminals, bare)
        elif first.port_role in SIDE_ROLES:
            edge.left += [
                ((("", t),), local_name(owner, t))
                for t in terminals
                if t in wired or t in bare or t in pen.awaited
            ]
        else:
            onward += wired
            edge.left += [
                ((("", t),), local_name(owner, t))
                for t in terminals
                if t in pen.awaited and t not in entered and t not in wired
            ]
            lost += bare
    return edge, legs_of(pen, onward, down=down), lost


def ac_edge(pen: Pen, edge: Edge, owner: str, terminals: list[str], bare: list[str]) -> None:
    """A port of the AC side on the right edge: one pin for the cable, one for each core wired by itself."""
    view = pen.view
    cables = [w for t in terminals for w, _ in view.at.get(t, ()) if w.ac]
    nodes = tuple((view.graph.terminals[t].pole, t) for t in terminals)
    name = local_name(owner, view.graph.terminals[terminals[0]].port)
    if cables or bare:
        edge.right.append((nodes, name if cables else f"{name} no run"))
    edge.right += [
        ((("", t),), local_name(owner, t)) for t in terminals if any(not w.ac for w, _ in view.at.get(t, ()))
    ]


# ---------------------------------------------------------------------------------------------- above the bar


def raise_unit(pen: Pen, owner: str, feeds: dict[str, Chain], bar: set[str]) -> Column:
    """A part that gives to the bar: `feeds` are its chains down to the bars, by terminal; the bar is y = 0."""
    pen.taken.add(owner)
    column = Column()
    below = [c for t, c in feeds.items() if pen.view.graph.terminals[t].pole != "-"]
    returns = [c for t, c in feeds.items() if pen.view.graph.terminals[t].pole == "-"]
    height = max(chain_height(pen, c) for c in (*below, *returns))
    bottoms: list[tuple[float, str]] = []
    for i, chain in enumerate((*below, *returns)):
        x = -pen.style.poles_apart * i
        lands = chain.stop[0] in bar
        stretch = height - chain_height(pen, chain)
        draw_chain(pen, column, chain, (x,), -height, left=i > 0, stretch=stretch, leave=not lands)
        if lands:
            column.taps.append((x, chain.stop[0]))
        bottoms.append((x, chain.start[0]))
    top = above(pen, owner, bottoms)
    column.merge(top, 0.0, -height)
    return column


def above(pen: Pen, owner: str, bottoms: list[tuple[float, str]]) -> Column:
    """A part with its lower edge at y = 0, and over it what feeds it."""
    column = Column()
    part = pen.view.rig.parts.get(owner)
    pen.taken.add(anchor_of(pen, bottoms[0][1]) if bottoms else owner)
    if part is not None and (part.strings or pen.view.kind(owner) == "module"):
        draw_array(pen, column, part, bottoms)
        return column
    entered = {t for _, t in bottoms}
    edge, legs, lost = _edges(pen, owner, entered, down=False)
    edge.bottom = [(x, (("", t),), local_name(owner, t)) for x, t in bottoms]
    subs: list[tuple[Column, list[tuple[float, str]]]] = [_up(pen, leg) for leg in legs]
    _drawn_since(edge, owner, legs, [s[1] for s in subs])
    at = packed([s for s, _ in subs], 0.0)
    at = [x - at[0] + (bottoms[0][0] if bottoms else 0.0) for x in at] if at else []
    for (_, ends), x in zip(subs, at, strict=True):
        edge.top += [(x + ex, (("", t),), local_name(owner, t)) for ex, t in ends]
    edge.top.sort(key=lambda p: p[0])
    free_x = (
        max([p[0] for p in edge.top] + [x for x, _ in bottoms]) + _apart_for_words(pen)
        if edge.top
        else (bottoms[0][0] if bottoms else 0.0)
    )
    for i, t in enumerate(lost):
        edge.top.append((free_x + _apart_for_words(pen) * i, (("", t),), local_name(owner, t)))
    edge.through = [(x1, x2) for x1, n1, _ in edge.top for x2, n2, _ in edge.bottom if n1 == n2]
    height = box_height(pen, owner, edge)
    placed = draw_box(pen, column.canvas, owner, -height, edge)
    for x, nodes, _ in edge.top:
        if nodes[0][1] in lost:
            column.canvas.circle(owner, x, placed.top - 0.7, 0.7, 0.25, fill="sheet")
            column.canvas.text(
                owner, x + 1.4, placed.top - 0.4, "no run", pen.style.em, "sans", "start", "graphite"
            )
    for (sub, _), x in zip(subs, at, strict=True):
        column.merge(sub, x, placed.top)
    return column


def _up(pen: Pen, leg: Leg) -> tuple[Column, list[tuple[float, str]]]:
    """A leg drawn upwards from y = 0 with its source over it; returns where it arrives below: (x, terminal)."""
    sub = Column()
    leg = _fresh(pen, leg)
    laid = _lay(pen, leg)
    height = max((chain_height(pen, c) for c, _, _ in laid), default=0.0)
    ends: list[tuple[float, str]] = []
    tops: list[tuple[float, str]] = []
    for i, (chain, xs, left) in enumerate(laid):
        if leg.stop:
            draw_chain(
                pen,
                sub,
                turned(chain),
                xs,
                -height,
                left=left,
                stretch=height - chain_height(pen, chain),
                beside=tuple(c for c, _, _ in laid[:i]),
            )
        else:
            _rise_open(pen, sub, chain, xs, left=left)
        ends += list(zip(xs, chain.start, strict=True))
        tops += list(zip(xs, chain.stop, strict=True))
    if leg.stop:
        sub.merge(above(pen, leg.stop, tops), 0.0, -height)
    return sub, ends


def _rise_open(pen: Pen, sub: Column, chain: Chain, xs: tuple[float, ...], *, left: bool) -> None:
    """A chain upwards whose last wire goes on to something drawn elsewhere."""
    height = chain_height(pen, chain)
    if chain.steps[-1].device:
        draw_dead_end(pen, sub, chain, xs, left=left)
        return
    draw_chain(pen, sub, turned(chain), xs, -height, left=left)
    for x, wire, end in zip(xs, chain.steps[-1].wires, chain.steps[-1].ends, strict=True):
        pen.leave(sub, wire, x, -height, "ULR", end)


def draw_dead_end(pen: Pen, sub: Column, chain: Chain, xs: tuple[float, ...], *, left: bool) -> None:
    """A chain upwards that ends at a device with nothing behind it: the device with an open end."""
    step = chain.steps[-1]
    last = step.device
    flat = Chain(
        chain.start, (*chain.steps[:-1], Step(step.wires, step.ends)), tuple(e.terminal for e in step.ends)
    )
    height = chain_height(pen, flat)
    draw_chain(pen, sub, turned(flat), xs, -height, left=left)
    top, bottom = device_pads(pen, last)
    foot = -height - bottom
    for x, end in zip(xs, step.ends, strict=True):
        sub.canvas.pin(last, x, -height, (("", end.terminal),), "LR")
        sub.canvas.line(last, x, -height, x, foot, POWER)
        sub.canvas.pin(last, x, foot - 7.5, (("", pen.view.across[end.terminal]),), "LR")
        sub.canvas.line(last, x, foot - 7.5, x, foot - 7.5 - top, POWER)
        sub.canvas.circle(last, x, foot - 8.2 - top, 0.7, 0.25, fill="sheet")
    device(pen, sub.canvas, last, xs, foot - 7.5, left=left)
