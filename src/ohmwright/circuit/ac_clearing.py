"""How long a fault on alternating current lasts at most, at its greatest and at its least, by the device that clears it.

Standing by standing every source has to be cut off.  On its way the quickest of these counts: an overcurrent device at
the current through it; for a fault to earth a residual-current device that the source cannot get around; and the
inverter itself, where its page says how soon it stops for good.

A breaker of curve B, C or D opens by the gates of IEC 60898-1 where its page prints nothing nearer: within 0.1 s from the
upper end of its instantaneous band, and between its gates on a straight line on logarithmic paper.  A residual-current
device opens by IEC 61008-1 or 61009-1, one of class A by the time law of UL 943.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from ohmwright.circuit.ac_faults import Level, Levels, Way, levels_of
from ohmwright.circuit.clearing import Curve, curve_of
from ohmwright.circuit.live import End
from ohmwright.circuit.net import Wire
from ohmwright.circuit.wiring import Wiring, wiring_of
from ohmwright.circuit.zones import Zones
from ohmwright.physics.fault import class_a_s
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.standards import find
from ohmwright.working import known

#: Curves with gates in IEC 60898-1.
CURVES = frozenset({"b", "c", "d"})
#: Answers that are kept of one skeleton, of all ways together.
MOST_KEPT = 8
#: Residual-current types that IEC 61008-1 and 61009-1 give times for.
TYPES = frozenset({"ac", "a", "f", "b"})


@dataclass(frozen=True, slots=True)
class Cleared:
    """A fault at a terminal in the standing and from the source where it lasts longest.

    `max_s` at the greatest, `min_s` at the least fault; None: nothing is proved to clear it, or not known without `missing`.
    `by` is the device that clears the least, `source` whom it cuts off, `amps` the least that this source gives.
    """

    terminal: str
    source: str
    by: str
    max_s: float | None
    min_s: float | None
    amps: float | None
    missing: tuple[str, ...] = ()


_Kept: TypeAlias = tuple[Sequence[Levels], tuple[Part, ...], Mapping[str, tuple[Cleared, ...]]]


def ac_clearing_of(rig: Rig, graph: Graph, way: Way) -> Mapping[str, tuple[Cleared, ...]]:
    """By terminal one answer for each source that feeds a fault there: over all standings its longest.

    Kept with the skeleton by the levels of the faults and the parts on the AC side, which is all that it looks at.
    """
    wiring = wiring_of(rig, graph)
    every = levels_of(wiring, way)
    owners = dict.fromkeys(
        [*(w.element.owner for w in wiring.ac_wires), *(e.owner for e in wiring.ends if e.ac)]
    )
    parts = tuple([rig.parts[o] for o in owners if o in rig.parts])
    kept: list[_Kept] = wiring.skeleton.kept.setdefault("ac clearing", [])
    for levels, of_parts, told in kept:
        if levels is every and of_parts == parts:
            return told
    found = _cleared(wiring, every, way)
    kept.insert(0, (every, parts, found))
    del kept[MOST_KEPT:]
    return found


def _cleared(wiring: Wiring, every: Sequence[Levels], way: Way) -> Mapping[str, tuple[Cleared, ...]]:
    out: dict[str, dict[str, Cleared]] = {}
    for levels in every:
        for told in _Standing(wiring, levels, way).told():
            mine = out.setdefault(told.terminal, {})
            mine[told.source] = _longer(mine.get(told.source), told)
    return {t: tuple(mine.values()) for t, mine in out.items()}


def longest(told: Sequence[Cleared]) -> Cleared:
    """Of several sources the one that is cut off last; one that nothing is proved to cut off goes before all."""
    worst = told[0]
    for one in told[1:]:
        worst = _longer(worst, one)
    return worst


def _longer(one: Cleared | None, other: Cleared) -> Cleared:
    if one is None or one.min_s is None:
        return one or other
    if other.min_s is None:
        return other
    most = None if one.max_s is None or other.max_s is None else max(one.max_s, other.max_s)
    worst = other if other.min_s > one.min_s else one
    return Cleared(worst.terminal, worst.source, worst.by, most, worst.min_s, worst.amps, worst.missing)


class _Standing:
    """One standing: who is cut off from where by what."""

    def __init__(self, wiring: Wiring, levels: Levels, way: Way) -> None:
        self.wiring, self.levels, self.way = wiring, levels, way
        self.live = levels.standing.live
        self.wires = [w for w in wiring.ac_wires if levels.standing.conducts(w.number)]
        self.zones = Zones(wiring, self.wires)
        self.ends = [e for e in wiring.ends if e.ac and levels.standing.active(e)]
        self._curves: dict[str, Curve | None] = {}
        self._reached: dict[tuple[str, int], frozenset[int]] = {}
        self.residual: dict[str, list[Wire]] = {}
        for w in self.wires:
            if w.element.role == "rcd":
                self.residual.setdefault(w.element.owner, []).append(w)

    def told(self) -> Iterator[Cleared]:
        """Every terminal that something feeds, source by source."""
        for t, low in self.levels.low.items():
            high = self.levels.high.get(t, (None, {}, ()))
            ways = {e.owner: way for e in self.ends if (way := self._way(e, t)) is not None}
            # A source that gives nothing at least has no conductor back: its fault is no matter of time.
            for source in dict.fromkeys((*low[1], *(ways if low[0] is None else ()))):
                if source in ways:
                    yield self._one(t, source, ways, low, high)

    def _one(
        self, t: str, source: str, ways: Mapping[str, tuple[End, tuple[Wire, ...]]], low: Level, high: Level
    ) -> Cleared:
        """What cuts one source off from a fault, at its least and at its greatest."""
        # With something missing the currents are those without it: they are no least ones.
        amps = low[1] if low[0] is not None else {}
        least, by = self._quickest(t, source, ways, amps)
        most, _ = self._quickest(t, source, ways, high[1] if high[0] is not None else amps)
        missing = () if least is not None else self._lacking(source, ways, low)
        return Cleared(t, source, by, most if least is not None else None, least, amps.get(source), missing)

    def _quickest(
        self, t: str, source: str, ways: Mapping[str, tuple[End, tuple[Wire, ...]]], by: Mapping[str, float]
    ) -> tuple[float | None, str]:
        end, way = ways[source]
        times: list[tuple[float, str]] = []
        for w in way:
            device = self.zones.devices[w.number]
            through = sum(a for s, a in by.items() if s in ways and w in ways[s][1])
            curve = self._curve(device.id, device.part, device.rated_A)
            if through and curve is not None and (s := curve.seconds(through)) is not None:
                times.append((s, device.id))
        if self.way == "earth":
            amps = by.get(source)
            for owner in self.residual:
                if self._cuts(owner, end, t):
                    s = residual_s(self.wiring.rig.parts[owner], amps)
                    times += [(s, owner)] if s is not None else []
        stops = _stops_s(self.wiring.rig.parts[source])
        times += [(stops, source)] if stops is not None else []
        return min(times, default=(None, ""))

    def _way(self, end: End, t: str) -> tuple[End, tuple[Wire, ...]] | None:
        """The overcurrent devices between a source and a terminal; None where it does not come there."""
        if not self.live.joined(end.a, t):
            return None
        number = self.wiring.net.number
        way = self.zones.ways(number[end.a]).get(self.zones.of(number[t]))
        return None if way is None else (end, way)

    def _cuts(self, owner: str, end: End, t: str) -> bool:
        """Whether a source comes to a terminal only through this residual-current device."""
        start = self.wiring.net.number[end.a]
        key = (owner, start)
        if key not in self._reached:
            barred = {w.number for w in self.residual[owner]}
            self._reached[key] = _flood(start, [w for w in self.wires if w.number not in barred])
        return self.wiring.net.number[t] not in self._reached[key]

    def _curve(self, device: str, part: str, rated_A: float | None) -> Curve | None:
        if device not in self._curves:
            self._curves[device] = ac_curve_of(self.wiring.rig.parts[part], rated_A)
        return self._curves[device]

    def _lacking(
        self, source: str, ways: Mapping[str, tuple[End, tuple[Wire, ...]]], low: Level
    ) -> tuple[str, ...]:
        """What would tell it: curves of its devices, lengths of the loop, else when the source itself stops."""
        devices = [self.zones.devices[w.number] for w in ways[source][1]]
        mute = [
            f"{d.part}.curve"
            for d in devices
            if self._curve(d.id, d.part, d.rated_A) is None
            and "curve" in self.wiring.rig.parts[d.part].kind.words
        ]
        own = "fault_stop" in self.wiring.rig.parts[source].kind.figures
        stop = (f"{source}.fault_stop",) if own else ()
        return tuple(dict.fromkeys((*mute, *low[2], *stop)))


def _flood(start: int, wires: Sequence[Wire]) -> frozenset[int]:
    near: dict[int, list[int]] = {}
    for w in wires:
        near.setdefault(w.a, []).append(w.b)
        near.setdefault(w.b, []).append(w.a)
    found, work = {start}, [start]
    while work:
        for other in near.get(work.pop(), ()):
            if other not in found:
                found.add(other)
                work.append(other)
    return frozenset(found)


def ac_curve_of(part: Part, rated_A: float | None) -> Curve | None:
    """The longest times of a device: its page's, else the gates of its curve."""
    printed = curve_of(part, rated_A)
    curve = part.word("curve") if "curve" in part.kind.words else ""
    if curve not in CURVES or not rated_A:
        return printed
    large = "" if rated_A <= find("alternating/small-up-to").value else "-large"
    gates = (
        (1.45, find("alternating/trips-at-1.45").value),
        (2.55, find(f"alternating/trips-at-2.55{large}").value),
    )
    instant = find(f"alternating/curve-{curve}").value
    if printed is None:
        return Curve(rated_A, gates, None, instant)
    return Curve(rated_A, printed.points or gates, printed.clearing_A2s, printed.instant or instant)


def residual_s(part: Part, amps: float | None) -> float | None:
    """The longest time of a residual-current device; a current that is not known counts as its rated one.

    A loop of wire holds no thousand ohms: what flows to earth where a conductor leads back is above 30 mA.
    """
    kind = part.word("type") if "type" in part.kind.words else part.word("gfci")
    rated = known(part.figure("residual")) if "residual" in part.kind.figures else None
    printed = known(part.figure("trips_within")) if "trips_within" in part.kind.figures else None
    flows = amps if amps is not None else (rated.high if rated else None)
    if amps is not None and rated is not None and amps < rated.high:
        return None
    times = [printed.high] if printed is not None else []
    if kind == "class-a" and flows is not None:
        times.append(class_a_s(flows))
    if kind in TYPES and rated is not None and flows is not None:
        step = max(n for n in (1, 2, 5) if flows >= n * rated.high * (1 - 1e-9))
        times.append(find(f"alternating/residual-at-{step}").value)
    return min(times, default=None)


def _stops_s(part: Part) -> float | None:
    found = known(part.figure("fault_stop")) if "fault_stop" in part.kind.figures else None
    return found.high if found is not None else None
