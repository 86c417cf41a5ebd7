"""A DC system as a ladder: sources stand over the plus bar, the bank and everything fed between plus and minus.

Each column is measured from what was drawn, then placed: nothing guesses a width.
"""

from dataclasses import dataclass, field

from ohmwright.drawing.bank import Bar, batteries_of, draw_bank
from ohmwright.drawing.chains import wire_ink
from ohmwright.drawing.columns import INVERTERS, belongs_below, elsewhere, free_wires, hang, raise_unit
from ohmwright.drawing.pen import Column, Open, Pen, up
from ohmwright.drawing.profile import Profile, profile_of
from ohmwright.drawing.shapes import GRID
from ohmwright.drawing.view import Chain, View, chain_from
from ohmwright.rig.model import Part
from ohmwright.rig.ports import is_group

LANE = 2.5
TAPS_APART = 5.0


@dataclass(slots=True)
class System:
    """A plus side and a minus side with the banks between: bars by id, or a battery's post by terminal."""

    plus_bar: str = ""
    plus_post: str = ""
    minus_bar: str = ""
    banks: list[Part] = field(default_factory=list)

    @property
    def key(self) -> str:
        """What names its plus side."""
        return self.plus_bar or self.plus_post


@dataclass(slots=True)
class Piece:
    """A finished part of the sheet with its bars."""

    column: Column
    bars: list[Bar] = field(default_factory=list)

    def merge(self, other: "Piece", dx: float, dy: float) -> None:
        """Take over another piece, moved."""
        self.column.merge(other.column, dx, dy)
        self.bars += [b.moved(dx, dy) for b in other.bars]


def _is_bank(part: Part) -> bool:
    return part.kind.name == "battery" and not part.group


def bank_terminals(view: View, bank: Part, pole: str) -> list[str]:
    """Where a bank can be taken off: its take-off, its post, or the studs of its own bar."""
    join = bank.join
    if join is not None and join.how == "busbars" and is_group(bank):
        stud = join.plus if pole == "+" else join.minus
        return view.terminals_of.get(stud.rpartition(".")[0], [])
    return [t for t in view.terminals_of.get(bank.id, ()) if view.graph.terminals[t].pole == pole]


def _main_chain(
    view: View, bank: Part, pole: str, inner: set[str], taken: set[str] | None = None
) -> Chain | None:
    """The stoutest chain from a bank's pole to a bar that is not its own."""
    best: tuple[float, Chain] | None = None
    for t in bank_terminals(view, bank, pole):
        for wire, _ in view.at.get(t, ()):
            if wire.ac or view.rig.runs[wire.run].part_of == bank.id:
                continue
            chain = chain_from(view, (t,), taken or set(), (wire,))
            if chain is None or chain.steps[-1].device or wire.id in (taken or ()):
                continue
            owner = view.owner(chain.stop[0])
            if (
                not view.is_bar(owner)
                or owner in inner
                or view.kind(owner) == "earth-bar"
                or (pole == "+" and view.kind(owner) == "metal")
            ):
                continue
            area = wire.conductors[0].area_mm2 or 0.0
            if best is None or area > best[0]:
                best = (area, chain)
    return best[1] if best else None


def systems_of(view: View) -> list[System]:
    """The DC systems of a rig, the one with most wires first; and plus bars that have no bank."""
    parts = view.rig.parts.values()
    inner = {
        stud.rpartition(".")[0]
        for p in parts
        if p.join is not None and p.join.how == "busbars" and is_group(p)
        for stud in (p.join.plus, p.join.minus)
    }
    out: dict[str, System] = {}
    for bank in parts:
        if not _is_bank(bank):
            continue
        plus, minus = _main_chain(view, bank, "+", inner), _main_chain(view, bank, "-", inner)
        system = System()
        if plus is not None:
            system.plus_bar = view.owner(plus.stop[0])
        else:
            own = list(bank_terminals(view, bank, "+"))
            if not own:
                continue
            if bank.join is not None and bank.join.how == "busbars":
                system.plus_bar = view.owner(own[0])
            else:
                system.plus_post = own[0]
        if minus is not None:
            system.minus_bar = view.owner(minus.stop[0])
        kept = out.setdefault(system.key, system)
        kept.banks.append(bank)
        kept.minus_bar = kept.minus_bar or system.minus_bar
    drawn = {s.plus_bar for s in out.values()} | {s.minus_bar for s in out.values()} | inner
    for part in parts:
        if part.kind.name == "busbar" and part.id not in drawn and _looks_plus(view, part.id):
            out[part.id] = System(plus_bar=part.id, minus_bar=_partner(view, part.id))
    return sorted(out.values(), key=lambda s: -_wire_count(view, s))


def _wire_count(view: View, system: System) -> int:
    if system.plus_bar:
        return sum(len(view.at.get(t, ())) for t in view.terminals_of[system.plus_bar])
    return len(view.at.get(system.plus_post, ()))


def _stops(view: View, bar: str) -> list[str]:
    out = []
    for t in view.terminals_of[bar]:
        for wire, _ in view.at.get(t, ()):
            if (
                not wire.ac
                and (chain := chain_from(view, (t,), set(), (wire,))) is not None
                and not chain.steps[-1].device
            ):
                out.append(chain.stop[0])
    return out


def _looks_plus(view: View, bar: str) -> bool:
    poles = [view.graph.terminals[t].pole for t in _stops(view, bar)]
    return poles.count("+") > poles.count("-")


def _partner(view: View, bar: str) -> str:
    """The bar on which the minus of most things fed from this plus bar land."""
    found: dict[str, int] = {}
    for stop in _stops(view, bar):
        owner = view.owner(stop)
        for t in view.terminals_of[owner]:
            if view.graph.terminals[t].pole == "-":
                for wire, _ in view.at.get(t, ()):
                    chain = chain_from(view, (t,), set(), (wire,)) if not wire.ac else None
                    if (
                        chain is not None
                        and not chain.steps[-1].device
                        and view.is_bar(view.owner(chain.stop[0]))
                    ):
                        name = view.owner(chain.stop[0])
                        found[name] = found.get(name, 0) + 1
    return max(found, key=lambda k: found[k]) if found else ""


def gives(view: View, terminal: str) -> bool:
    """True when the part brings power out at this terminal: a charger's output, an alternator, a turbine."""
    owner = view.owner(terminal)
    if view.kind(owner) in INVERTERS:
        return False
    for name in view.graph.at.get(terminal, ()):
        e = view.graph.elements[name]
        if e.owner != owner:
            continue
        if (e.kind == "converter" and terminal == e.out_a) or (
            e.kind == "source" and e.role != "cell" and terminal == e.a
        ):
            return True
        if e.role == "pulse" and terminal == e.b:
            return True
    return False


@dataclass(frozen=True, slots=True)
class SystemDrawn:
    """The columns of a system: what hangs under its plus bar, and what stands over it."""

    system: System
    lower: tuple[Piece, ...]
    upper: tuple[Column, ...]


def draw_system(pen: Pen, system: System) -> SystemDrawn:
    """Every column of a system, drawn with its plus bar at y = 0."""
    view = pen.view
    plus_terminals = view.terminals_of[system.plus_bar] if system.plus_bar else [system.plus_post]
    for bank in system.banks:
        pen.taken.add(bank.id)
    pen.taken |= {b for b in (system.plus_bar, system.minus_bar) if b}
    banks = _banks(pen, system)
    uppers = _uppers(pen, system, plus_terminals)
    lowers = _lowers(pen, plus_terminals)
    return SystemDrawn(system, (*banks, *(Piece(c) for c in lowers)), tuple(uppers))


def place_system(pen: Pen, drawn: SystemDrawn, most: float = 1e9) -> list[Piece]:
    """The ladder of one system; several pieces when it is wider than `most`: the bars go on."""
    low_queue, uppers = list(drawn.lower), list(drawn.upper)
    out: list[Piece] = []
    while low_queue or uppers or not out:
        piece = Piece(Column())
        bar = Bar(drawn.system.plus_bar, 0.0, 0.0, 0.0, [], drawn.system.plus_post)
        _place(piece, bar, low_queue, uppers, most)
        _finish(pen, piece, bar, drawn.system)
        out.append(piece)
    return out


def _banks(pen: Pen, system: System) -> list[Piece]:
    view = pen.view
    out: list[Piece] = []
    for bank in system.banks:
        inner = (
            {bank.join.plus.rpartition(".")[0], bank.join.minus.rpartition(".")[0]}
            if bank.join is not None and bank.join.how == "busbars"
            else set()
        )
        plus = _main_chain(view, bank, "+", inner, pen.taken)
        if plus is not None and view.owner(plus.stop[0]) != system.plus_bar:
            plus = None
        minus = _main_chain(view, bank, "-", inner, pen.taken)
        pen.taken |= {w.id for w in (*(plus.wires if plus else ()), *(minus.wires if minus else ()))}
        lane_chains = _lane_chains(pen, bank, system)
        head = 10.0 if plus is None else 0.0
        drawn = draw_bank(pen, bank, plus, minus, head)
        piece = Piece(drawn.column, list(drawn.bars))
        if plus is None and system.plus_post:
            _post(pen, piece, bank, system.plus_post, head)
        _lanes(pen, piece, drawn.rail_y, lane_chains, bank, system)
        out.append(piece)
    return out


def _post(pen: Pen, piece: Piece, bank: Part, post: str, head: float) -> None:
    """The bank's own post drawn up to a bar of its own."""
    wire = next((w for w, _ in pen.view.at.get(post, ()) if not w.ac), None)
    if wire is None:
        return
    wire_ink(piece.column.canvas, wire, 0.0, 0.0, 0.0, head)
    if not is_group(bank):
        piece.column.canvas.pin(bank.id, 0.0, head, (("", post),), "")
    piece.column.taps.append((0.0, ""))


def _lane_chains(pen: Pen, bank: Part, system: System) -> list[Chain]:
    """What hangs on the bank before its main chain: always live."""
    out = []
    for t in bank_terminals(pen.view, bank, "+"):
        if t == system.plus_post or pen.view.owner(t) == system.plus_bar:
            continue
        for wire in free_wires(pen, t):
            if pen.view.rig.runs[wire.run].part_of == bank.id:
                continue
            chain = chain_from(pen.view, (t,), pen.taken, (wire,))
            if chain is not None:
                out.append(chain)
    return out


def _lanes(pen: Pen, piece: Piece, rail_y: float, chains: list[Chain], bank: Part, system: System) -> None:
    canvas = piece.column.canvas
    cut = next(
        (
            d
            for d in _devices_of_main(pen, bank)
            if pen.view.kind(d) in ("battery-switch", "contactor", "switch")
        ),
        "",
    )
    for chain in chains:
        lane = hang(pen, chain)
        left = canvas.bounds()[0]
        x = -up(-(left - LANE - lane.canvas.bounds()[2]))
        words = f"always live: before {cut}" if cut else "always live"
        wire = chain.steps[0].wires[0]
        x = min(x, -up(pen.width(words) + 3.0))
        lane.taps = []
        own_bar = next(
            (b for b in piece.bars if b.ref and b.y == rail_y and b.ref == pen.view.owner(chain.start[0])),
            None,
        )
        piece.column.merge(lane, x, rail_y)
        if own_bar is not None:
            own_bar.x1 = min(own_bar.x1, x - 5.0)
            own_bar.taps.append((x, chain.start[0], "below"))
        else:
            wire_ink(canvas, wire, 0.0, rail_y, x, rail_y)
        canvas.text(wire.run, x + 1.5, rail_y - 1.0, words, pen.style.em, "sans", "start", "graphite")
    del system


def _devices_of_main(pen: Pen, bank: Part) -> tuple[str, ...]:
    chain = _main_chain(
        pen.view,
        bank,
        "+",
        {bank.join.plus.rpartition(".")[0]} if bank.join is not None and bank.join.plus else set(),
    )
    return chain.devices if chain else ()


def _uppers(pen: Pen, system: System, plus_terminals: list[str]) -> list[Column]:
    view = pen.view
    found: dict[str, dict[str, Chain]] = {}
    posts = [
        t
        for b in system.banks
        for m in batteries_of(pen, b)
        if m is not b
        for t in view.terminals_of[m.id]
        if view.graph.terminals[t].pole == "+"
    ]
    for t in [*plus_terminals, *posts]:
        for wire in free_wires(pen, t):
            chain = chain_from(view, (t,), pen.taken, (wire,))
            if chain is None or chain.steps[-1].device or not gives(view, chain.stop[0]):
                continue
            owner = view.owner(chain.stop[0])
            if elsewhere(pen, owner):
                continue
            from ohmwright.drawing.chains import turned

            found.setdefault(owner, {})[chain.stop[0]] = turned(chain)
    out = []
    claimed: set[str] = set()
    for owner, feeds in found.items():
        for t in view.terminals_of[owner]:
            if view.graph.terminals[t].pole != "-" or view.graph.terminals[t].port_role not in ("dc", "pv"):
                continue
            for wire in free_wires(pen, t):
                back = chain_from(view, (t,), pen.taken | claimed, (wire,))
                if (
                    back is not None
                    and not back.steps[-1].device
                    and t not in feeds
                    and view.owner(back.stop[0]) == system.minus_bar
                    and not gives_in(view, t, owner)
                ):
                    feeds[t] = back
        claimed |= {w.id for c in feeds.values() for w in c.wires}
        pen.taken.add(owner)
    for feeds in found.values():
        pen.taken |= {w.id for c in feeds.values() for w in c.wires}
    for owner, feeds in sorted(found.items(), key=lambda kv: _source_order(view, kv[0])):
        out.append(raise_unit(pen, owner, feeds, set(plus_terminals)))
    return out


def gives_in(view: View, terminal: str, owner: str) -> bool:
    """True for the minus of an input: it belongs above, not down to the bar."""
    outs = {
        e.out_b
        for n in view.graph.at.get(terminal, ())
        for e in [view.graph.elements[n]]
        if e.owner == owner and e.kind == "converter"
    }
    ins = {
        e.b
        for n in view.graph.at.get(terminal, ())
        for e in [view.graph.elements[n]]
        if e.owner == owner and e.kind == "converter"
    }
    return terminal in ins and terminal not in outs


def _source_order(view: View, owner: str) -> tuple[int, str]:
    kind = view.kind(owner)
    rank = 0 if kind.startswith("pv") else 1 if kind == "hydro-controller" else 2
    return rank, owner


def _lowers(pen: Pen, plus_terminals: list[str]) -> list[Column]:
    view = pen.view
    found: list[tuple[int, int, Chain]] = []
    order = {"panel-dc": 3, "dcdc-supply": 4, "dcdc-charger": 4, "inverter": 6, "inverter-charger": 6}
    for t in plus_terminals:
        for wire in free_wires(pen, t):
            chain = chain_from(view, (t,), pen.taken, (wire,))
            if chain is None:
                continue
            owner = "" if chain.steps[-1].device else view.owner(chain.stop[0])
            rank = (
                1
                if not owner or elsewhere(pen, owner) or not belongs_below(view, chain.stop[0])
                else order.get(view.kind(owner), 2)
            )
            found.append((rank, len(found), chain))
    out = []
    for _, _, chain in sorted(found, key=lambda f: f[:2]):
        if any(w.id in pen.taken for w in chain.wires):
            continue
        if any(d in pen.taken for d in chain.devices):
            again = chain_from(view, chain.start, pen.taken, chain.steps[0].wires)
            if again is None:
                continue
            chain = again
        out.append(hang(pen, chain))
    return out


def _place(piece: Piece, bar: Bar, low_queue: list[Piece], up_queue: list[Column], most: float) -> None:
    """Lower columns left to right; an upper one where the room over them is free, its minus in the gap between.

    Stops before the piece grows wider than `most`; what is left stays in the queues.
    """
    foot = max((p.column.canvas.bounds()[3] for p in low_queue), default=20.0) + 5.0
    placed = Profile()
    taps: list[tuple[float, str]] = []
    while low_queue or up_queue:
        upper = bool(up_queue) and (
            not low_queue or placed.extent(above=True) <= placed.extent(above=False) + 5.0
        )
        item = Piece(up_queue.pop(0)) if upper else low_queue.pop(0)
        outline = profile_of(item.column.canvas)
        drops = [o.x for o in item.column.opens if upper and "D" in o.exits and o.y == 0.0]
        for x in drops:
            outline.add(x, 0.0, x, foot)
        x = up(max(placed.nearest(outline, LANE), 0.0 if not placed.right else -1e6))
        side, other = ("above", "below") if upper else ("below", "above")
        while any(
            abs(x + tx - t) < TAPS_APART for tx, _ in item.column.taps for t, where in taps if where == other
        ) or any(abs(x + d - t) < LANE for d in drops for t, _ in taps):
            x += GRID
        if placed.right and x + max(outline.right.values()) - min(placed.left.values()) > most:
            (up_queue if upper else low_queue).insert(0, item.column if upper else item)  # type: ignore[arg-type]
            return
        piece.merge(item, x, 0.0)
        placed.absorb(outline, x)
        for tx, terminal in item.column.taps:
            bar.taps.append((x + tx, terminal, side))
            taps.append((x + tx, side))


def _finish(pen: Pen, piece: Piece, bar: Bar, system: System) -> None:
    """The plus bar along its taps, the minus bar under everything, and the drops to it."""
    xs = [x for x, _, _ in bar.taps] or [0.0]
    bar.x1, bar.x2 = min(xs) - (6.0 if bar.ref else 0.0), max(xs) + (6.0 if bar.ref else 0.0)
    piece.bars.insert(0, bar)
    column = piece.column
    foot = up(column.canvas.bounds()[3] + 5.0)
    if system.minus_bar and pen.view.kind(system.minus_bar) != "metal":
        minus = Bar(system.minus_bar, foot, 0.0, 0.0)
        kept: list[Open] = []
        for o in column.opens:
            if o.end.owner == system.minus_bar and "D" in o.exits:
                wire_ink(column.canvas, o.wire, o.x, o.y, o.x, foot)
                minus.taps.append((o.x, o.end.terminal, "above"))
            else:
                kept.append(o)
        column.opens = kept
        at = [x for x, _, _ in minus.taps] or xs
        minus.x1, minus.x2 = min(at) - 6.0, max(at) + 6.0
        piece.bars.append(minus)
