"""Prospective faults: a bolted fault at every DC terminal against its return, between two bounds.

Greatest: highest charging voltage, 0.7 of the stated battery resistance (or what the maker's short-circuit
current says, if larger), copper at 20 degC without lay, joints and holders nothing.  Least: the resting volts of
a low battery, twice the stated resistance, cable at 90 degC by its printed maximum, worn lugs.  A battery
management that opens is never credited.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import pairwise

import numpy as np

from ohmwright.circuit.banks import Cell, cell_of, fault_high_ohm, fault_low_ohm, highest_V, rest_V
from ohmwright.circuit.clearing import Clearing
from ohmwright.circuit.live import End, Live
from ohmwright.circuit.network import Array, Branch, Network
from ohmwright.circuit.returns import Alike, Returns
from ohmwright.circuit.space import Space
from ohmwright.circuit.structure import Structure
from ohmwright.circuit.supplies import limit_A
from ohmwright.circuit.types import Case, Fault
from ohmwright.circuit.wiring import GREATEST_FAULT, LEAST_FAULT, Reading, Wiring, wiring_of
from ohmwright.physics.fault import let_through_A2s, rising_let_through_A2s
from ohmwright.rig.graph import Graph, Terminal
from ohmwright.rig.model import Rig
from ohmwright.working import known
from ohmwright.working.quickly import quickly_made

#: State of charge that the least fault is reckoned at.
LOW_ratio = 0.1
#: What an alternator gives into a fault in the first moment over what it can give for long.  Common practice: 3 to 6.
ALTERNATOR_factor = 6.0
#: A conductor of unknown length that carries more than this part of a fault makes its least value unknown.
NOTICED_ratio = 1e-6
#: Less than this flows through no device.
CARRIED_A = 1e-6
#: What stands less than this above its island's zero is a return.
LOW_V = 1e-6
#: Of each kind so much is kept with a shape: two rigs, both bounds.
MOST_KEPT = 4


def faults_of(rig: Rig, graph: Graph) -> Mapping[str, Fault]:
    """The fault at every DC terminal that a source can drive, by terminal."""
    wiring = wiring_of(rig, graph)
    live = _most_connected(wiring)
    greatest = Side(wiring, live, GREATEST_FAULT, greatest=True)
    least = Side(wiring, live, LEAST_FAULT, greatest=False)
    spots = [t for t in graph.terminals if wiring.net.number[t] not in wiring.poles.ac]
    highs = greatest.at(spots)
    lows = least.at(spots)
    clearing = Clearing(wiring, [w.number for w in wiring.dc_wires if live.on(w.number)])
    return {t: _fault(t, (greatest, least), high, lows.get(t), clearing) for t, high in highs.items()}


def _fault(
    terminal: str, sides: "tuple[Side, Side]", high: "Spot", low: "Spot | None", clearing: Clearing
) -> Fault:
    lost, lost_least = (side.missing_at(terminal) for side in sides)
    missing = tuple(dict.fromkeys([*lost, *high.missing, *lost_least, *(low.missing if low else ())]))
    most = None if lost else high.amps
    fewest = None if low is None or low.missing or lost_least else low.amps
    bounds = {"max": high} if most is not None else {}
    if low is not None and fewest is not None:
        bounds["min"] = low
    if most is not None and fewest is not None and fewest > most:
        # Nothing drives it but what banks exchange: there the adverse figures of the one bound may give less than the other's.
        most, fewest = fewest, most
        bounds["max"], bounds["min"] = bounds["min"], bounds["max"]
    largest = bounds.get("max", high)
    return Fault(
        terminal,
        most,
        fewest,
        largest.sources,
        largest.devices,
        missing,
        _Lasting(terminal, bounds, clearing),
    )


class _Lasting:
    """How long a fault lasts at each of its bounds, and what it lets through."""

    def __init__(self, terminal: str, bounds: "Mapping[str, Spot]", clearing: Clearing) -> None:
        self.terminal, self.bounds, self.clearing = terminal, bounds, clearing

    @cached_property
    def tau_s(self) -> Mapping[str, float]:
        return {k: spot.carried.tau_s for k, spot in self.bounds.items()}

    @cached_property
    def clears_s(self) -> Mapping[str, float] | None:
        times = {
            k: t
            for k, spot in self.bounds.items()
            if (t := self.clearing.seconds(self.terminal, spot.devices, spot.carried.tau_s)) is not None
        }
        return times or None

    @cached_property
    def let_through_A2s(self) -> Mapping[str, float]:
        return {k: self.bounds[k].let_through_A2s(t) for k, t in (self.clears_s or {}).items()}


@quickly_made
@dataclass(frozen=True, slots=True)
class Carried:
    """What flows for one fault: from each battery, through each series device, and the time constant of its loops."""

    cells_A: Mapping[str, float]
    devices_A: Mapping[str, float]
    tau_s: float


class Spot:
    """A fault at one terminal, seen from one bound; what flows for it is worked out when it is looked at."""

    def __init__(
        self,
        amps: float,
        pushed: Mapping[str, float],
        missing: tuple[str, ...],
        carried: Callable[[], Carried],
    ) -> None:
        self.settled_A, self.pushed, self.missing = amps, pushed, missing
        self.amps = amps + sum(pushed.values())
        self._carried = carried

    @cached_property
    def carried(self) -> Carried:
        """What flows for it."""
        return self._carried()

    @property
    def sources(self) -> Mapping[str, float]:
        """Who feeds it."""
        return {**self.carried.cells_A, **self.pushed} if self.pushed else self.carried.cells_A

    @property
    def devices(self) -> Mapping[str, float]:
        """What each series device would have to break."""
        return self.carried.devices_A

    def let_through_A2s(self, clears_s: float) -> float:
        """What it lets through in so long."""
        if self.carried.tau_s > 0:
            return rising_let_through_A2s(self.amps, clears_s, self.carried.tau_s)
        return let_through_A2s(self.amps, clears_s)


def greatest_side(wiring: Wiring) -> "Side":
    """The network of the greatest faults."""
    return Side(wiring, _most_connected(wiring), GREATEST_FAULT, greatest=True)


def _most_connected(wiring: Wiring) -> Live:
    """Every device in the state that closes most: the adverse reading for a fault."""
    kept = wiring.skeleton.kept
    if "most connected" not in kept:
        kept["most connected"] = _connected(wiring)
    live: Live = kept["most connected"]
    return live


def _connected(wiring: Wiring) -> Live:
    graph = wiring.graph
    closes: dict[tuple[str, str], int] = {}
    for e in graph.elements.values():
        for name, states in e.when:
            for s in states:
                closes[name, s] = closes.get((name, s), 0) + 1
    held = {}
    for name, v in graph.variables.items():
        if v.origin != "fixed":
            held[name] = max(v.states, key=lambda s, n=name: closes.get((n, s), 0))  # type: ignore[misc]
    live = Live(Space(graph, (), held), wiring.net.view(), wiring.ends)
    live.energise()
    return live


class Side:
    """One bound of all faults: the network inverted once, every fault read from the inverse."""

    def __init__(self, wiring: Wiring, live: Live, reading: Reading, *, greatest: bool) -> None:
        self.wiring, self.live, self.greatest = wiring, live, greatest
        self.reading = reading
        self.cells: list[tuple[str, str]] = []
        self.limited: list[tuple[End, float]] = []
        self._lacking: list[tuple[End, tuple[str, ...]]] = []
        self._limits: dict[int, dict[str, float]] = {}
        branches = wiring.direct_branches(live, reading)
        for end in live.ends:
            if not end.ac and live.active.get(end.id):
                self._source(end, branches)
        zeros = [live.net.graph.elements[c].b for c, _ in self.cells]
        self.network = Network(branches, zeros, told=wiring.told(live, reading))
        self.still = self.network.volts()

    def _source(self, end: End, branches: list[Branch]) -> None:
        part = self.wiring.rig.parts[end.owner]
        if end.role == "cell":
            made = self._cell(end, cell_of(part))
            if made is not None:
                branches.append(made)
                self.cells.append((end.id, part.id))
        elif end.role == "tow-vehicle":
            volts, ohm = known(part.figure("voltage")), known(part.figure("resistance"))
            limit = known(part.figure("limit"))
            if volts and ohm and ohm.low > 0:
                branches.append(
                    Branch(end.id, end.a, end.b, ohm.low if self.greatest else ohm.high, volts.value)
                )
                self.cells.append((end.id, part.id))
            elif limit:
                self.limited.append((end, limit.high))
            elif self.greatest:
                self._lacking.append((end, (f"{part.id}.resistance",)))
        elif self.greatest and not end.id.endswith(" back"):
            self._limit(end)

    def _limit(self, end: End) -> None:
        """A source that can only push so much: array, alternator, charger."""
        part = self.wiring.rig.parts[end.owner]
        if end.role == "array":
            short = known(part.figure("short_circuit"))
            if short is not None:
                self.limited.append((end, short.high))
            return
        amps = limit_A(self.wiring.rig, part, Case(""))
        if amps is not None:
            self.limited.append((end, amps * (ALTERNATOR_factor if end.role == "alternator" else 1.0)))

    def _cell(self, end: End, cell: Cell) -> Branch | None:
        if self.greatest:
            volts = highest_V(self.wiring.rig, cell)
            if volts is None:
                self._lacking.append((end, (f"{cell.part.id}.charge_voltage",)))
                return None
            ohm = fault_low_ohm(cell, volts)
            if ohm is None:
                self._lacking.append(
                    (end, (f"{cell.part.id}.resistance", f"{cell.part.id}.short_circuit_current"))
                )
                return None
            return Branch(end.id, end.a, end.b, ohm, volts)
        low, high = rest_V(cell, LOW_ratio), fault_high_ohm(cell)
        if low is None or high is None:
            self._lacking.append((end, (f"{cell.part.id}.resistance",)))
            return None
        return Branch(end.id, end.a, end.b, high, low)

    def missing_at(self, terminal: str) -> tuple[str, ...]:
        """Figures of sources that drive this terminal and are not known."""
        return tuple(
            [m for end, missing in self._lacking if self.live.joined(end.a, terminal) for m in missing]
        )

    def at(self, spots: Sequence[str]) -> dict[str, Spot]:
        """Every fault at once. Of the greatest all that flows is asked by a rule, of the least hardly any."""
        shorts = self.shorts([t for t in spots if self._pushed(t)])
        missing = self._missing(shorts)
        flowing: Iterable[Callable[[], Carried]]
        if self.greatest:
            flowing = [partial(_same, c) for c in self._carried_as_before(shorts)]
        else:
            flowing = [partial(self._alone, shorts, k) for k in range(len(shorts.terminals))]
        return {
            t: Spot(i, self._limited_at(t), lost, carried)
            for t, i, lost, carried in zip(
                shorts.terminals, shorts.amps.tolist(), missing, flowing, strict=True
            )
        }

    def shorts(self, terminals: Sequence[str]) -> "Shorts":
        """The terminals shorted one by one: for the greatest fault to the nearest return or metal, for the least to its own."""
        if not terminals:
            none: Array = np.zeros(0, dtype=np.intp)
            return Shorts((), none, none, np.zeros(0), np.zeros(0))
        net, returns = self.network, self._returns
        choice = returns.any_near if self.greatest else self._own
        asked = returns.asked(self.greatest, tuple(terminals), choice)
        rows = asked.rows[asked.alike]
        backs, loop = returns.nearest(net, asked)
        volts = self.still[rows] - self.still[backs]
        island = np.array(net.island)
        driven = (island[rows] == island[backs]) & (loop > 0)
        amps = np.where(driven, volts / np.where(loop > 0, loop, 1.0), 0.0)
        return Shorts(tuple(terminals), rows, backs, loop, amps)

    def _own(self, t: Terminal) -> tuple[Alike, ...]:
        return self._returns.own(t, series=self._series(t.owner))

    def carried(self, shorts: "Shorts") -> list[Carried]:
        """What flows for each of them."""
        return self._flowing(shorts).told() if shorts.terminals else []

    def _carried_as_before(self, shorts: "Shorts") -> list[Carried]:
        """The same; where it is to the last digit what it was in the rig of this shape before, the very same answers."""
        if not shorts.terminals:
            return []
        now, kept = self._flowing(shorts), self.wiring.skeleton.kept.setdefault("carried", {})
        key = shorts.terminals, now.cells, now.devices
        old: tuple[Array, list[Carried]] | None = kept.pop(key, None)
        if old is None:
            told = now.told()
        else:
            told, other = list(old[1]), np.flatnonzero((now.columns != old[0]).any(axis=0))
            for k, flowing in zip(other.tolist(), now.told(other), strict=True):
                told[k] = flowing
        kept[key] = now.columns, told
        while len(kept) > MOST_KEPT:
            kept.pop(next(iter(kept)), None)
        return told

    def _flowing(self, shorts: "Shorts") -> "_Flowing":
        flows, held = self._currents(shorts, self._watched)
        count = len(self.cells)
        pushes = -flows[:count]
        pushes[pushes <= 1e-9 * np.maximum(1.0, shorts.amps)] = 0.0
        through = np.abs(flows[count:])
        if len(self._watched.device_of):
            through = np.maximum.reduceat(through[self._watched.by_device], self._watched.device_of)
        burns = shorts.amps**2 * shorts.loop
        taus = np.divide(held, burns, out=np.zeros_like(held), where=burns > 0)
        columns = np.concatenate([pushes, through, taus[None, :]])
        return _Flowing(tuple([part for _, part in self.cells]), tuple(self._watched.devices), columns)

    def _alone(self, shorts: "Shorts", k: int) -> Carried:
        return self.carried(shorts.only(k))[0]

    def _missing(self, shorts: "Shorts") -> list[tuple[str, ...]]:
        """By terminal the lengths without which its least fault is not known."""
        at = {e.id: k for k, e in enumerate(self.network.joins)}
        unsized = [c for c in self.wiring.unsized if c in at]
        if self.greatest or not unsized or not shorts.terminals:
            return [()] * len(shorts.terminals)
        flows, _ = self._currents(shorts, Watched((), tuple(at[c] for c in unsized)))
        noticed = np.abs(flows) > NOTICED_ratio * np.maximum(shorts.amps, 1.0)
        lengths = [f"{self.wiring.graph.conductors[c].run}.length" for c in unsized]
        return [tuple(lost) for lost in _by_column(noticed, flows, lengths)]

    def _currents(self, shorts: "Shorts", watched: "Watched") -> tuple[Array, Array]:
        """Currents of watched branches and of watched joins, a column a short, and what the conductors hold: I^2 L.

        Terminals that are shorted alike differ only in what is taken at them.  For the time constant what all conductors
        hold at the settled currents stands over what the loop burns: exact for one loop, and where several meet the
        energy of all of them stands for one inductance.
        """
        net = self.network
        pairs, first, alike = np.unique(
            np.stack([shorts.rows, shorts.backs]), axis=1, return_index=True, return_inverse=True
        )
        joins = net.shape.through(watched.joins)
        branches = list(watched.branches)
        found: Array = np.empty((len(branches) + len(watched.joins), pairs.shape[1]))
        held: Array = np.empty(pairs.shape[1])
        for some, volts in net.columns(pairs[0], pairs[1]):
            flows = net.flows(self.still[:, None] - volts * shorts.amps[first[some]])
            found[: len(branches), some] = flows[branches]
            found[len(branches) :, some] = joins.sum(flows, len(watched.joins))
            held[some] = self._henry @ flows**2
        out = found[:, alike.reshape(-1)]
        at, names = net.joined_at, self._returns.name_of
        for k, (t, back, i) in enumerate(
            zip(shorts.terminals, shorts.backs.tolist(), shorts.amps.tolist(), strict=True)
        ):
            for name, sign in ((t, i), (names.get(back, ""), -i)):
                if name in at:
                    for n, factor in joins.taken[at[name]]:
                        out[len(branches) + n, k] += factor * sign
        return out, held[alike.reshape(-1)]

    @cached_property
    def _henry(self) -> Array:
        return np.array([self.wiring.inductance_H(e.id) for e in self.network.live])

    @cached_property
    def _watched(self) -> "Watched":
        """The batteries, and everything that stands in series and may have to break a fault."""
        net, graph, devices = self.network, self.wiring.graph, self.wiring.device_at
        at = {e.id: k for k, e in enumerate(net.live)}
        named: list[list[tuple[str, int]]] = [[], []]
        for kind, branches in enumerate((net.live, net.joins)):
            for k, e in enumerate(graph.elements[b.id] for b in branches):
                device = devices.get(e.id)
                name = device.id if device else e.owner if self._series(e.owner) else ""
                if name:
                    named[kind].append((name, k))
        return Watched(
            tuple([at[e] for e, _ in self.cells] + [k for _, k in named[0]]),
            tuple([k for _, k in named[1]]),
            tuple([name for some in named for name, _ in some]),
        )

    def shorted(self, terminal: str) -> tuple[int, int] | None:
        """The two rows that the fault at a terminal joins."""
        if not self._pushed(terminal):
            return None
        shorts, island = self.shorts([terminal]), self.network.island
        row, back = int(shorts.rows[0]), int(shorts.backs[0])
        return (row, back) if island[row] == island[back] and row != back else None

    def _pushed(self, t: str) -> bool:
        """Whether this terminal stands above its return, or a source of limited current pushes into it."""
        row = self.network.node.get(t)
        return row is not None and (self._above[row] > LOW_V or bool(self._limited_at(t)))

    @cached_property
    def _above(self) -> list[float]:
        """By how much each node stands above its island's zero when nothing is shorted."""
        net = self.network
        zero = [net.reference[i] for i in net.island]
        above: list[float] = (self.still - self.still[zero]).tolist()
        return above

    @cached_property
    def _returns(self) -> Returns:
        """Kept with the shape by what stands at zero."""
        shape = self.network.shape
        low = tuple([t for t, row in shape.node.items() if abs(self._above[row]) < LOW_V])
        kept: dict[Hashable, tuple[Structure, Returns]] = self.wiring.skeleton.kept.setdefault("returns", {})
        found = kept.pop((id(shape), low), None) or (shape, Returns(self.wiring.graph, shape, low))
        kept[id(shape), low] = found
        while len(kept) > MOST_KEPT:
            del kept[next(iter(kept))]
        return found[1]

    def _limited_at(self, t: str) -> Mapping[str, float]:
        """What sources of limited current push into a fault at a terminal, by part: the same wherever it conducts to."""
        lump = self.live.view.of(t)
        if lump not in self._limits:
            self._limits[lump] = {e.owner: a for e, a in self.limited if self.live.joined(e.a, t)}
        return self._limits[lump]

    def _series(self, owner: str) -> bool:
        part = self.wiring.rig.parts.get(owner)
        return part is not None and part.kind.series


@dataclass(frozen=True, slots=True)
class Shorts:
    """Terminals that are shorted, each for itself: the two rows joined, the ohms of the loop, and what flows."""

    terminals: tuple[str, ...]
    rows: Array
    backs: Array
    loop: Array
    amps: Array

    def only(self, k: int) -> "Shorts":
        """One of them."""
        one = slice(k, k + 1)
        return Shorts(self.terminals[one], self.rows[one], self.backs[one], self.loop[one], self.amps[one])


class Watched:
    """Branches and joins whose currents are asked for; the last of them all are elements of devices, by name."""

    def __init__(
        self, branches: tuple[int, ...], joins: tuple[int, ...], device_of: Sequence[str] = ()
    ) -> None:
        self.branches, self.joins = branches, joins
        numbers: dict[str, int] = {}
        whose = np.array([numbers.setdefault(name, len(numbers)) for name in device_of], dtype=np.intp)
        self.devices = list(numbers)
        #: The elements device by device, and where each device's begin.
        self.by_device = np.argsort(whose, kind="stable")
        self.device_of = np.searchsorted(whose[self.by_device], np.arange(len(numbers)))


@dataclass(frozen=True, slots=True)
class _Flowing:
    """What flows for some shorts, a column each: out of every cell, through every device, and the time constant last."""

    cells: tuple[str, ...]
    devices: tuple[str, ...]
    columns: Array

    def told(self, some: Array | slice = slice(None)) -> list[Carried]:
        """The columns, all or some, by name; what does not flow is not named."""
        count, columns = len(self.cells), self.columns[:, some]
        pushes, through = columns[:count], columns[count:-1]
        return [
            Carried(*flowing)
            for flowing in zip(
                _by_column(pushes > 0, pushes, self.cells),
                _by_column(through > CARRIED_A, through, self.devices),
                columns[-1].tolist(),
                strict=True,
            )
        ]


def _same(carried: Carried) -> Carried:
    return carried


def _by_column(where: Array, values: Array, names: Sequence[str]) -> list[dict[str, float]]:
    """For each column the names of the rows in which `where` holds, with their values."""
    columns, rows = np.nonzero(where.T)
    told = [names[n] for n in rows.tolist()]
    found = values[rows, columns].tolist()
    ends = np.searchsorted(columns, np.arange(where.shape[1] + 1)).tolist()
    return [dict(zip(told[a:b], found[a:b], strict=True)) for a, b in pairwise(ends)]
