"""Prospective faults: a bolted fault at every DC terminal against its return, between two bounds.

Greatest: highest charging voltage, 0.7 of the stated battery resistance (or what the maker's short-circuit
current says, if larger), copper at 20 degC without lay, joints and holders nothing.  Least: the resting volts of
a low battery, twice the stated resistance, cable at 90 degC by its printed maximum, worn lugs.  A battery
management that opens is never credited.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from ohmwright.circuit.banks import Cell, cell_of, fault_high_ohm, fault_low_ohm, highest_V, rest_V
from ohmwright.circuit.clearing import Clearing
from ohmwright.circuit.devices import device_of
from ohmwright.circuit.live import End, Live
from ohmwright.circuit.network import Array, Branch, Network
from ohmwright.circuit.space import Space
from ohmwright.circuit.supplies import limit_A
from ohmwright.circuit.types import Case, Fault
from ohmwright.circuit.wiring import GREATEST_FAULT, LEAST_FAULT, Reading, Wiring, wiring_of
from ohmwright.physics.fault import let_through_A2s, rising_let_through_A2s
from ohmwright.rig.graph import Graph, Terminal
from ohmwright.rig.model import Rig
from ohmwright.working import known

#: State of charge that the least fault is reckoned at.
LOW_ratio = 0.1
#: What an alternator gives into a fault in the first moment over what it can give for long.  Common practice: 3 to 6.
ALTERNATOR_factor = 6.0
#: A conductor of unknown length that carries more than this part of a fault makes its least value unknown.
NOTICED_ratio = 1e-6


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
    return {t: _fault(t, (greatest, least), highs[t], lows.get(t), clearing) for t in spots if t in highs}


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
    times = {
        k: t
        for k, spot in bounds.items()
        if (t := clearing.seconds(terminal, spot.devices, spot.tau_s)) is not None
    }
    return Fault(
        terminal, most, fewest, high.sources, high.devices, times or None, missing,
        {k: spot.tau_s for k, spot in bounds.items()}, {k: bounds[k].let_through_A2s(t) for k, t in times.items()},
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Spot:
    """A fault at one terminal, seen from one bound."""

    amps: float
    sources: Mapping[str, float]
    devices: Mapping[str, float]
    missing: tuple[str, ...]
    tau_s: float = 0.0

    def let_through_A2s(self, clears_s: float) -> float:
        """What it lets through in so long."""
        if self.tau_s > 0:
            return rising_let_through_A2s(self.amps, clears_s, self.tau_s)
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
        self.network = Network(branches, [live.net.graph.elements[c].b for c, _ in self.cells])
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
            m for end, missing in self._lacking if self.live.joined(end.a, terminal) for m in missing
        )

    def at(self, spots: Sequence[str]) -> dict[str, Spot]:
        """Every fault at once."""
        node = self.network.node
        driven = [t for t in spots if t in node and self._pushed(t)]
        if not driven:
            return {}
        rows = np.array([node[t] for t in driven])
        back = self._returns(driven)
        z = self.network.z
        loop = z.diagonal()[rows] + z.diagonal()[back] - 2 * z[rows, back]
        volts = self.still[rows] - self.still[back]
        island = np.array(self.network.island)
        same = island[rows] == island[back]
        amps = np.where(same & (loop > 0), volts / np.where(loop > 0, loop, 1.0), 0.0)
        after = self.still[:, None] - (z[:, rows] - z[:, back]) * amps[None, :]
        flows = self.network.flows(after)
        joined_at = self.network.joined_at
        taken: Array = np.zeros((len(joined_at), len(driven)))
        for k, (t, r) in enumerate(zip(driven, back.tolist(), strict=True)):
            if t in joined_at:
                taken[joined_at[t], k] += amps[k]
            if (name := self._at_row(r)) in joined_at:
                taken[joined_at[name], k] -= amps[k]
        joins = self.network.join_flows(flows, taken) if self.network.joins else np.zeros((0, len(driven)))
        return self._told(driven, amps, flows, joins, self._taus(amps, loop, flows))

    def _taus(self, amps: Array, loop: Array, flows: Array) -> Array:
        """Time constants: what the conductors hold at the settled currents, over what the loop burns.

        Exact for one loop; where several meet, the energy of all of them stands for one inductance.
        """
        henry = np.array([self.wiring.inductance_H(e.id) for e in self.network.live])
        burns = amps**2 * loop
        held = henry @ flows**2
        return np.asarray(np.divide(held, burns, out=np.zeros_like(held), where=burns > 0))

    def shorted(self, terminal: str) -> tuple[int, int] | None:
        """The two rows that the fault at a terminal joins."""
        if terminal not in self.network.node or not self._pushed(terminal):
            return None
        row, back = self.network.node[terminal], int(self._returns([terminal])[0])
        return (row, back) if self.network.island[row] == self.network.island[back] and row != back else None

    def _at_row(self, row: int) -> str:
        return self._name_of.get(row, "")

    def _pushed(self, t: str) -> bool:
        """Whether this terminal stands above its return."""
        row = self.network.node[t]
        low = self.network.reference[self.network.island[row]]
        if self.still[row] - self.still[low] > 1e-6:
            return True
        return bool(self._limited_at(t))

    def _limited_at(self, t: str) -> dict[str, float]:
        """What sources of limited current push into a fault at a terminal, by part: the same wherever it conducts to."""
        lump = self.live.view.of(t)
        if lump not in self._limits:
            self._limits[lump] = {e.owner: a for e, a in self.limited if self.live.joined(e.a, t)}
        return self._limits[lump]

    def _returns(self, driven: Sequence[str]) -> Array:
        """For each terminal the row it is shorted to: for the greatest fault the nearest return or metal, for the least its own."""
        graph, node, island = self.wiring.graph, self.network.node, self.network.island
        low = [
            t
            for t in node
            if abs(self.still[node[t]] - self.still[self.network.reference[island[node[t]]]]) < 1e-6
        ]
        self._name_of: dict[int, str] = {}
        for t in low:
            self._name_of.setdefault(node[t], t)
        by_island: dict[int, list[str]] = {}
        for t in low:
            by_island.setdefault(island[node[t]], []).append(t)
        returns = _Returns(graph, node, by_island, self.network.z)
        out = []
        for t in driven:
            row = node[t]
            terminal = graph.terminals[t]
            through = (part := self.wiring.rig.parts.get(terminal.owner)) is not None and part.kind.series
            back = (
                returns.any_near(row, island[row], terminal)
                if self.greatest
                else returns.own(row, island[row], terminal, series=through)
            )
            out.append(self.network.reference[island[row]] if back is None else back)
        return np.array(out)

    def _told(
        self, driven: Sequence[str], amps: Array, flows: Array, joins: Array, taus: Array
    ) -> dict[str, Spot]:
        net = self.network
        of_live = {e.id: k for k, e in enumerate(net.live)}
        devices = self._devices(of_live)
        cells = [part for part, _ in self._of_cells(of_live)]
        pushes = -flows[[row for _, row in self._of_cells(of_live)]]
        pushing = pushes > 1e-9 * np.maximum(1.0, amps)
        carried = np.abs(np.array([flows[live] if live >= 0 else joins[join] for _, live, join in devices]).reshape(len(devices), len(driven)))  # fmt: skip
        carrying = carried > 1e-6
        unknown = [] if self.greatest else self._unknown()
        noticed = np.abs(joins[[row for _, row in unknown]]) > NOTICED_ratio * np.maximum(amps, 1.0)
        out: dict[str, Spot] = {}
        for t, i, tau, by, on_way, lost in zip(
            driven, amps.tolist(), taus.tolist(),
            _by_column(pushing, pushes), _by_column(carrying, carried), _by_column(noticed, noticed), strict=True,
        ):  # fmt: skip
            more = self._limited_at(t)
            through: dict[str, float] = {}
            for n, a in on_way:
                name = devices[n][0]
                through[name] = max(through.get(name, 0.0), a)
            sources = {**{cells[n]: a for n, a in by}, **more}
            missing = tuple([f"{unknown[n][0]}.length" for n, _ in lost])
            out[t] = Spot(i + sum(more.values()), sources, through, missing, tau)
        return out

    def _of_cells(self, of_live: Mapping[str, int]) -> list[tuple[str, int]]:
        """Batteries, and the rows of their currents."""
        return [(part, of_live[e]) for e, part in self.cells]

    def _devices(self, of_live: Mapping[str, int]) -> list[tuple[str, int, int]]:
        """Series devices: their name, and where their current stands."""
        of_join = {e.id: k for k, e in enumerate(self.network.joins)}
        rig, graph = self.wiring.rig, self.wiring.graph
        out = []
        for id_ in (*of_live, *of_join):
            e = graph.elements[id_]
            device = device_of(rig, e)
            part = rig.parts.get(e.owner)
            name = device.id if device else e.owner if part is not None and part.kind.series else ""
            if name:
                out.append((name, of_live.get(id_, -1), of_join.get(id_, -1)))
        return out

    def _unknown(self) -> list[tuple[str, int]]:
        of_join = {e.id: k for k, e in enumerate(self.network.joins)}
        conductors = self.wiring.graph.conductors
        return [(conductors[c].run, of_join[c]) for c in self.wiring.unsized if c in of_join]


def _by_column(where: Array, values: Array) -> list[list[tuple[int, float]]]:
    """For each column the rows in which `where` holds, with their values."""
    out: list[list[tuple[int, float]]] = [[] for _ in range(where.shape[1])]
    columns, rows = np.nonzero(where.T)
    for k, n, value in zip(columns.tolist(), rows.tolist(), values[rows, columns].tolist(), strict=True):
        out[k].append((n, value))
    return out


#: A return: its row, behind the resistance of the loop that it closes.
Near: TypeAlias = tuple[float, int]


class _Returns:
    """The returns of every island by what they are near to: the same port, part or place, or metal."""

    def __init__(
        self, graph: Graph, node: Mapping[str, int], by_island: Mapping[int, Sequence[str]], z: Array
    ) -> None:
        self.z, self.diagonal, self.node = z, z.diagonal(), node
        self._by: dict[tuple[int, str, str], list[str]] = {}
        for island, here in by_island.items():
            for r in here:
                t = graph.terminals[r]
                for kind, name in (("port", t.port), ("owner", t.owner), ("place", t.place)):
                    self._by.setdefault((island, kind, name), []).append(r)
                if t.is_metal:
                    self._by.setdefault((island, "metal", ""), []).append(r)
        self._rows: dict[tuple[int, str, str], Array] = {}
        self._known: dict[tuple[int, int, str, str], Near] = {}

    def _nearest(self, row: int, island: int, kind: str, name: str) -> Near | None:
        """The one with the least loop, the first of those that are alike."""
        at = (island, kind, name)
        if at not in self._by:
            return None
        key = (row, *at)
        if key not in self._known:
            if at not in self._rows:
                self._rows[at] = np.array(list(dict.fromkeys(self.node[r] for r in self._by[at])))
            self._known[key] = self._least(row, self._rows[at])
        return self._known[key]

    def _least(self, row: int, rows: Array) -> Near:
        loops = self.diagonal[row] + self.diagonal[rows] - 2 * self.z[row, rows]
        k = int(loops.argmin())
        return float(loops[k]), int(rows[k])

    def any_near(self, row: int, island: int, t: Terminal) -> int | None:
        """The nearest of every return or metal that a tool could touch from there."""
        found = [
            near
            for kind, name in (("owner", t.owner), ("place", t.place), ("metal", ""))
            if (name or kind != "place") and (near := self._nearest(row, island, kind, name)) is not None
        ]
        return min(found, key=lambda near: near[0])[1] if found else None

    def own(self, row: int, island: int, t: Terminal, *, series: bool) -> int | None:
        """The other pole of its port, else of its part unless that stands in series, else what lies near."""
        if pair := [r for r in self._by.get((island, "port", t.port), ()) if r != t.id]:
            rows = list(dict.fromkeys(self.node[r] for r in pair))
            return rows[0] if len(rows) == 1 else self._least(row, np.array(rows))[1]
        near = None if series else self._nearest(row, island, "owner", t.owner)
        if near is None and t.place:
            near = self._nearest(row, island, "place", t.place)
        return None if near is None else near[1]
