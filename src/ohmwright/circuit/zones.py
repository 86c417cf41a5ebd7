"""The net cut at its overcurrent devices: zones of conductor, and which device lets which source into which zone."""

import heapq
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from ohmwright.circuit.devices import Device
from ohmwright.circuit.live import MOTOR_POLES, End
from ohmwright.circuit.net import Wire
from ohmwright.circuit.supplies import full_W, limit_A
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import Wiring
from ohmwright.kinds.base import When
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Rig
from ohmwright.working import known

#: Roles whose source can only push so much: a device is wanted at the far end only.
LIMITED_ROLES = frozenset(
    {"array", "alternator", "tracker", "charger", "dcdc", "dcdc-supply", "hydrogenerator", "wind-generator"}
)


#: Positions of selectors that are looked at together.
MOST_CHOICES = 32


@dataclass(frozen=True, slots=True)
class Reach:
    """How a source's end comes to a terminal without passing a device: metres of conductor, and what is not known of them."""

    metres: float
    unknown: tuple[str, ...]
    path: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """A device by which a source's current comes into a zone, and the terminal where it leaves the device."""

    device: Device
    wire: Wire
    inner: int


class Zones:
    """Zones of the DC side, or of the AC side, with every switch closable."""

    def __init__(self, wiring: Wiring, wires: Collection[Wire]) -> None:
        self.wiring = wiring
        self.wires = [w for w in wires if wiring.poles.closable(w)]
        self.devices: dict[int, Device] = {}
        for w in self.wires:
            device = wiring.device_at.get(w.element.id)
            if device is not None:
                self.devices[w.number] = device
        self._ways: dict[int, dict[int, tuple[Wire, ...]]] = {}
        self._reached: dict[tuple[int, int], set[int]] = {}
        self.near: dict[int, list[Wire]] = {}
        up: dict[int, int] = {}

        def root(x: int) -> int:
            while up.setdefault(x, x) != x:
                up[x] = x = up[up[x]]
            return x

        for w in self.wires:
            self.near.setdefault(w.a, []).append(w)
            self.near.setdefault(w.b, []).append(w)
            if w.number not in self.devices:
                up[root(w.a)] = root(w.b)
            else:
                root(w.a), root(w.b)
        self.zone: dict[int, int] = {t: root(t) for t in list(up)}

    def of(self, terminal: int) -> int:
        """The zone of a terminal."""
        return self.zone.get(terminal, -1 - terminal)

    @cached_property
    def gates(self) -> dict[int, list[Wire]]:
        """The devices at the border of every zone."""
        out: dict[int, list[Wire]] = {}
        for number in self.devices:
            w = self.wiring.net.wires[number]
            for t in (w.a, w.b):
                out.setdefault(self.of(t), []).append(w)
        return out

    def bare(self, start: int, conductors: Mapping[str, Conductor] | None = None) -> dict[int, Reach]:
        """Every terminal of the source's own zone with the shortest bare way to it, by the lengths of this rig's conductors or others'."""
        lengths = self.wiring.graph.conductors if conductors is None else conductors
        names = self.wiring.net.names
        best: dict[int, Reach] = {}
        work: list[tuple[float, int, int, tuple[str, ...], tuple[str, ...]]] = [
            (0.0, 0, start, (), (names[start],))
        ]
        turn = 0
        while work:
            length, _, t, unknown, path = heapq.heappop(work)
            if t in best:
                continue
            best[t] = Reach(length, unknown, path)
            for w in self.near.get(t, ()):
                other = w.b if w.a == t else w.a
                if w.number in self.devices or other in best:
                    continue
                more, missing = _metres(w, lengths)
                turn += 1
                heapq.heappush(
                    work,
                    (length + more, turn, other, (*unknown, *missing), (*path, w.element.id, names[other])),
                )
        return best

    def cut_off(self, start: int, marks: Mapping[int, int]) -> dict[int, int]:
        """For every wire of the zone-free net around `start`: the marks of what it alone ties to `start`.

        `marks` are bits on terminals.  A wire in a ring cuts nothing off: it answers with all marks there are.
        """
        depth: dict[int, int] = {start: 0}
        low: dict[int, int] = {start: 0}
        parent: dict[int, int] = {}
        sums: dict[int, int] = {}
        out: dict[int, int] = {}
        ring: list[int] = []
        work: list[tuple[int, int, int]] = [(start, -1, 0)]
        while work:
            t, by, i = work.pop()
            near = self.near.get(t, ())
            if i == 0:
                sums[t] = marks.get(t, 0)
            if i < len(near):
                work.append((t, by, i + 1))
                w = near[i]
                if w.number == by:
                    continue
                other = w.b if w.a == t else w.a
                if other not in depth:
                    depth[other] = low[other] = depth[t] + 1
                    parent[other] = t
                    work.append((other, w.number, 0))
                elif depth[other] <= depth[t]:
                    low[t] = min(low[t], depth[other])
                    ring.append(w.number)
                continue
            if by >= 0:
                up = parent[t]
                low[up] = min(low[up], low[t])
                sums[up] |= sums[t]
                if low[t] > depth[up]:
                    out[by] = sums[t]
                else:
                    ring.append(by)
        for number in ring:
            out[number] = sums[start]
        return out

    def entries(self, source: int, zone: int) -> list[Entry]:
        """The devices that stand nearest before a zone on the ways from a source: empty when it is the source's own."""
        home = self.of(source)
        if home == zone:
            return []
        outside = self._zones_from(home, zone)
        return [
            Entry(self.devices[w.number], w, w.a if self.of(w.a) == zone else w.b)
            for w in self.gates.get(zone, ())
            if (self.of(w.a) in outside) != (self.of(w.b) in outside)
        ]

    @cached_property
    def _beside(self) -> dict[int, list[int]]:
        """The zones on the other side of each zone's devices."""
        out: dict[int, list[int]] = {}
        for zone, wires in self.gates.items():
            out[zone] = [
                other for w in wires if (other := self.of(w.b if self.of(w.a) == zone else w.a)) != zone
            ]
        return out

    def _zones_from(self, home: int, but: int) -> set[int]:
        """The zones that a source reaches without going through one of them."""
        known = self._reached.get((home, but))
        if known is not None:
            return known
        found, work = {home}, [home]
        while work:
            for other in self._beside.get(work.pop(), ()):
                if other not in found and other != but:
                    found.add(other)
                    work.append(other)
        self._reached[home, but] = found
        return found

    def ways(self, source: int) -> dict[int, tuple[Wire, ...]]:
        """For every zone that a source comes into, the devices passed on the way with the fewest of them."""
        home = self.of(source)
        if home not in self._ways:
            found: dict[int, tuple[Wire, ...]] = {home: ()}
            front = [home]
            while front:
                after = []
                for z in front:
                    for w in self.gates.get(z, ()):
                        other = self.of(w.b if self.of(w.a) == z else w.a)
                        if other not in found:
                            found[other] = (*found[z], w)
                            after.append(other)
                front = after
            self._ways[home] = found
        return self._ways[home]


def _metres(wire: Wire, conductors: Mapping[str, Conductor]) -> tuple[float, tuple[str, ...]]:
    """Length of a wire that is a conductor; a length not known counts nothing and is named."""
    c = conductors.get(wire.element.id)
    if c is None:
        return 0.0, ()
    return (c.length_m, ()) if c.length_m is not None else (0.0, (f"{c.run}.length",))


@dataclass(frozen=True, slots=True)
class Feed:
    """Something that can feed a fault: its two ends, the bank it is a member of, and the most it can push.

    Modules of a string, and batteries in series, are one feed from the first plus to the last minus.
    """

    source: str
    a: str
    b: str
    bank: str
    when: When
    most_A: float | None


def feeds_of(wiring: Wiring, *, ac: bool) -> list[Feed]:
    """Every feed of the DC or the AC side."""
    out: list[Feed] = []
    strings: dict[str, list[End]] = {}
    for end in wiring.ends:
        if end.ac != ac or end.id.endswith(" back"):
            continue
        name = _string_of(wiring.rig, end)
        if name:
            strings.setdefault(name, []).append(end)
            continue
        part = wiring.rig.parts[end.owner]
        out.append(Feed(part.id, end.a, end.b, part.group or part.id, end.when, most_A(wiring.rig, end)))
    for name, members in strings.items():
        top, bottom = members[0], members[-1]
        limits = [a for e in members if (a := most_A(wiring.rig, e)) is not None]
        group = wiring.rig.parts[top.owner].group or name
        out.append(Feed(name, top.a, bottom.b, group, top.when, min(limits, default=None)))
    return out


def _string_of(rig: Rig, end: End) -> str:
    """The string that a module stands in, or the bank whose batteries are in series; else nothing."""
    part = rig.parts[end.owner]
    group = rig.parts.get(part.group)
    if group is None or end.needs is not None:
        return ""
    if group.strings:
        return group.id if group.strings == 1 else part.id.rpartition(".")[0]
    return group.id if group.join is not None and group.join.how == "series" else ""


def most_A(rig: Rig, end: End) -> float | None:
    """The most a self-limited source can push; None for one without a limit of its own, or not known."""
    part = rig.parts[end.owner]
    if end.role == "array":
        short = known(part.figure("short_circuit"))
        return short.high if short else None
    if end.role in LIMITED_ROLES:
        return limit_A(rig, part, Case(""))
    if end.role.startswith("inverter"):
        watts, volts = full_W(part), known(part.figure("ac_voltage"))
        return watts / volts.value if watts and volts else None
    if end.role == "tow-vehicle":
        limit = known(part.figure("limit"))
        return limit.high if limit else None
    return None


def choices(wiring: Wiring, wires: Collection[Wire]) -> list[list[Wire]]:
    """The wires by position of the selectors: no path may pass two positions of one switch.

    A reversing box is taken in its first direction, positions that join nothing are left out.
    """
    closes: dict[str, dict[str, set[int]]] = {}
    for w in wires:
        for name, states in w.when:
            for s in states:
                closes.setdefault(name, {}).setdefault(s, set()).add(w.number)
    positions: dict[str, list[str]] = {}
    pole = wiring.poles.pole
    for name, sets in closes.items():
        best = [s for s, mine in sets.items() if not any(mine < other for other in sets.values())]
        distinct = {frozenset(sets[s]): s for s in reversed(best)}
        if len(distinct) > 1:
            motor = any(
                pole[t] in MOTOR_POLES
                for n in set().union(*distinct)
                for t in (wiring.net.wires[n].a, wiring.net.wires[n].b)
            )
            positions[name] = [best[0]] if motor else list(distinct.values())
    out: list[list[Wire]] = []
    for chosen in product(*positions.values()):
        at = dict(zip(positions, chosen, strict=True))
        out.append([w for w in wires if all(name not in at or at[name] in states for name, states in w.when)])
        if len(out) == MOST_CHOICES:
            break
    return out


def fits(wire: Wire, when: When) -> bool:
    """Whether a wire may conduct while something else exists: no variable asks two states at once."""
    if not wire.when or not when:
        return True
    asked = dict(when)
    return all(name not in asked or states & asked[name] for name, states in wire.when)
