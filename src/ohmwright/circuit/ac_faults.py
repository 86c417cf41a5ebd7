"""Prospective faults on alternating current at every live terminal: to neutral, to earth, to the other line, over all standings.

Greatest: the supply's own fault current or loop resistance, copper at 20 degC, joints nothing.  Least: cable at 90 degC by its
printed maximum, worn joints.  A generator gives its sustained current and an inverter no more than its surge, whatever
the cable: they push, they do not hold their volts.  In front of a transformer the loop is added one to one.
"""

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, cast

import numpy as np

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.live import LINE_POLES, End, Live
from ohmwright.circuit.network import Array, Branch, Network
from ohmwright.circuit.states import stand
from ohmwright.circuit.types import Case, Fault
from ohmwright.circuit.wiring import (
    GREATEST_FAULT,
    LEAST_FAULT,
    REACTANCE_ohm_per_m,
    Reading,
    Standing,
    Wiring,
    wiring_of,
)
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import known

#: A conductor of unknown length that changes a loop by more than this part makes its least fault unknown.
NOTICED_ratio = 1e-6

Way: TypeAlias = Literal["neutral", "earth", "line"]


#: Answers that are kept of one skeleton, of all ways together.
MOST_KEPT = 8


@dataclass(frozen=True, slots=True)
class Source:
    """What stands behind an end: volts behind an impedance, or a current that it gives at most; else what is missing."""

    end: End
    volts: float | None = None
    ohm: complex | None = None
    most_A: float | None = None
    missing: tuple[str, ...] = ()


def ac_faults_of(rig: Rig, graph: Graph) -> Mapping[str, Fault]:
    """Live to neutral: the greatest where most feeds it, the least of the standings that feed it at all."""
    return _over_standings(wiring_of(rig, graph), "neutral")


def earth_faults_of(rig: Rig, graph: Graph) -> Mapping[str, Fault]:
    """Live to the protective conductor of its own port, back by the neutral-earth join.

    Where no conductor leads back in some standing the least is nothing: only a residual-current device opens then.  The
    frame counts for the greatest only.
    """
    return _over_standings(wiring_of(rig, graph), "earth")


def line_faults_of(rig: Rig, graph: Graph) -> Mapping[str, Fault]:
    """Live to the other live pole of its own port, where two ends half a turn apart stand across them."""
    return _over_standings(wiring_of(rig, graph), "line")


#: Of one terminal in one standing: the fault, by whom it is fed, and what is missing.
Level: TypeAlias = tuple[float | None, Mapping[str, float], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Levels:
    """The greatest and the least faults of all terminals in one standing."""

    standing: Standing
    high: Mapping[str, Level]
    low: Mapping[str, Level]


def levels_of(wiring: Wiring, way: Way) -> tuple[Levels, ...]:
    """Both bounds of every terminal, standing by standing; kept with the skeleton by all else that they look at."""
    key = ("ac faults", way)
    if key not in wiring.networks:
        standings = tuple(_standings(wiring))
        looked_at = (way, tuple(map(id, standings)), *_looked_at(wiring))
        kept: dict[Hashable, tuple[Levels, ...]] = wiring.skeleton.kept.setdefault("ac faults", {})
        found = kept.pop(looked_at, None) or tuple(
            Levels(
                standing,
                dict(_levels(wiring, standing, GREATEST_FAULT, way, greatest=True)),
                dict(_levels(wiring, standing, LEAST_FAULT, way, greatest=False)),
            )
            for standing in standings
        )
        # Each holds its standing: the address of one that is gone does not come back while it is a key.
        kept[looked_at] = found
        while len(kept) > MOST_KEPT:
            del kept[next(iter(kept))]
        wiring.networks[key] = found
    return cast(tuple[Levels, ...], wiring.networks[key])


def _looked_at(wiring: Wiring) -> tuple[Hashable, ...]:
    """All that faults of alternating current look at besides skeleton and standings: impedances, sources, unsized runs."""
    wires = (*wiring.ac_wires, *wiring.earth_wires)
    conductors = wiring.graph.conductors
    return (
        tuple(
            [
                _impedance(wiring, w.element.id, ohms[w.number])
                for ohms in (wiring.ohms(GREATEST_FAULT), wiring.ohms(LEAST_FAULT))
                for w in wires
            ]
        ),
        tuple(
            [
                (s.volts, s.ohm, s.most_A, s.missing)
                for e in wiring.ends
                if e.ac
                for g in (True, False)
                for s in (_source(wiring, e, greatest=g),)
            ]
        ),
        tuple([(c, conductors[c].run) for c in wiring.unsized]),
    )


def _over_standings(wiring: Wiring, way: Way) -> dict[str, Fault]:
    out: dict[str, Fault] = {}
    for levels in levels_of(wiring, way):
        for t, (amps, by, missing) in levels.high.items():
            least, _, lacking = levels.low.get(t, (None, {}, ()))
            out[t] = _joined(out.get(t), Fault(t, amps, least, by, missing=tuple(dict.fromkeys([*missing, *lacking]))))  # fmt: skip
    return out


def _standings(wiring: Wiring) -> list[Standing]:
    """The standings of all cases that differ in what conducts or pushes on the AC side and towards earth.

    A contact that rests open and that nothing closes by rule (an aux contact) is looked at closed as well: what hangs
    behind it is live whenever somebody's program says so.
    """
    found: dict[tuple[tuple[int, ...], tuple[str, ...]], Standing] = {}
    wires = (*wiring.ac_wires, *wiring.earth_wires)
    ends = [e for e in wiring.ends if e.ac]
    kept: dict[int, tuple[Standing, tuple[tuple[int, ...], tuple[str, ...]]]] = wiring.skeleton.kept.setdefault("ac standings", {})  # fmt: skip
    for case in _with_contacts(wiring, cases_of(wiring.rig, wiring.drawn).values()):
        standing = stand(wiring, case)
        if id(standing) not in kept:
            kept[id(standing)] = (
                standing,
                (
                    tuple([w.number for w in wires if standing.conducts(w.number)]),
                    tuple([e.id for e in ends if standing.active(e)]),
                ),
            )
        found.setdefault(kept[id(standing)][1], standing)
    return list(found.values())


def _with_contacts(wiring: Wiring, cases: Iterable[Case]) -> Iterator[Case]:
    """Every case, and once more with the contacts closed that rest open and of which it says nothing."""
    resting = [
        v.id
        for v in wiring.graph.variables.values()
        if v.states == ("open", "closed") and v.origin == "outside" and not v.rule and not v.run_by
    ]
    for case in cases:
        yield case
        if closed := {v: "closed" for v in resting if v not in case.states}:
            yield replace(case, states={**case.states, **closed})


def _joined(one: Fault | None, other: Fault) -> Fault:
    """Both bounds over two standings; what is not known in one of them leaves that bound open."""
    if one is None:
        return other
    known_both = one.max_A is not None and other.max_A is not None
    most = max(one.max_A or 0.0, other.max_A or 0.0) if known_both else None
    least = min(one.min_A, other.min_A) if one.min_A is not None and other.min_A is not None else None
    larger = other if (other.max_A or 0.0) > (one.max_A or 0.0) else one
    return Fault(one.terminal, most, least, larger.from_A, missing=tuple(dict.fromkeys([*one.missing, *other.missing])))  # fmt: skip


def _source(wiring: Wiring, end: End, *, greatest: bool) -> Source:
    part = wiring.rig.parts[end.owner]
    volts = known(part.figure("ac_voltage"))
    if volts is None:
        return Source(end, missing=(f"{part.id}.ac_voltage",))
    if end.role.startswith("inverter"):
        names = ("surge", "surge_2", "power") if greatest else ("power",)
        watts = max((f.value for n in names if (f := known(part.figure(n)))), default=None)
        if watts is None or (greatest and known(part.figure("surge")) is None):
            return Source(end, missing=(f"{part.id}.{names[0]}",))
        legs = sum(e.owner == end.owner and e.role.startswith("inverter") for e in wiring.ends)
        return Source(end, most_A=watts / volts.value / max(1, legs))
    short = known(part.figure("short_circuit_current"))
    if part.kind.name == "generator":
        if short is None:
            return Source(end, missing=(f"{part.id}.short_circuit_current",))
        return Source(end, most_A=short.high if greatest else short.low)
    return _stiff(end, part, volts.value, greatest=greatest)


def _stiff(end: End, part: Part, volts: float, *, greatest: bool) -> Source:
    short, ohm = known(part.figure("short_circuit_current")), known(part.figure("resistance"))
    found = []
    if short is not None:
        found.append(volts / (short.high if greatest else short.low))
    if ohm is not None:
        reach = known(part.figure("reactance"))
        found.append(abs(complex(ohm.low if greatest else ohm.high, reach.value if reach else 0.0)))
    if not found or (end.needs is not None and ohm is None):
        return Source(end, missing=(f"{part.id}.short_circuit_current", f"{part.id}.resistance"))
    return Source(end, volts, complex((min if greatest else max)(found)))


def _levels(
    wiring: Wiring, standing: Standing, reading: Reading, way: Way, *, greatest: bool
) -> Iterator[tuple[str, Level]]:
    """Each live terminal that something feeds in a standing: its fault, by whom, and what is missing."""
    ends = [e for e in wiring.ends if e.ac and standing.active(e)]
    sources = [_source(wiring, e, greatest=greatest) for e in ends]
    ohms = wiring.ohms(reading)
    metal = frozenset[int]() if greatest else wiring.poles.metal
    earth = [w for w in wiring.earth_wires if way == "earth" and w.a not in metal and w.b not in metal]
    branches = [
        Branch(w.element.id, w.element.a, w.element.b, _impedance(wiring, w.element.id, ohms[w.number]))
        for w in (*wiring.ac_wires, *earth)
        if standing.conducts(w.number)
    ]
    if not greatest:
        sources = [_with_what_feeds_it(s, branches, sources) for s in sources]
    behind = [
        Branch(s.end.id, s.end.a, s.end.b, s.ohm)
        for s in sources
        if s.volts is not None and s.ohm is not None
    ]
    network = Network([*branches, *behind], [s.end.b for s in sources], complex)
    z = network.z if network.size else np.zeros((0, 0))
    unknown = {} if greatest else _unknown(wiring, [*branches, *behind])
    for t, back in _returns(wiring, network, way).items():
        row, low = network.node[t], network.node[back]
        feeding = _feeding(standing, sources, t, back, way)
        if not feeding:
            continue
        if way == "earth":
            # What stands at the live pole but has no conductor back pushes nothing into the fault: nothing opens.
            feeding = [
                s for s in feeding if network.island[network.node.get(s.end.b, row)] == network.island[low]
            ]
        missing = tuple(m for s in feeding for m in s.missing)
        by = {s.end.owner: s.most_A for s in feeding if s.most_A is not None}
        stiff = [s for s in feeding if s.volts is not None]
        volts = sum(s.volts or 0.0 for s in stiff) if way == "line" else max((s.volts or 0.0 for s in stiff[:1]), default=0.0)  # fmt: skip
        loop = _loop(z, row, low)
        if stiff and loop > 0 and network.island[row] == network.island[low]:
            by[stiff[0].end.owner] = volts / loop
            missing = (*missing, *_on_way(unknown, t, back, loop))
        # A missing source leaves the greatest open; the least is what the others give, as long as there is one.
        yield t, (None if missing else sum(by.values()), by, missing)


def _unknown(wiring: Wiring, branches: Sequence[Branch]) -> dict[str, Network]:
    """By run whose size or length nobody knows: the network with an ohm in each of its conductors."""
    conductors, here = wiring.graph.conductors, {e.id for e in branches}
    unsized = {c for c in wiring.unsized if c in here}
    out = {}
    for run in dict.fromkeys(conductors[c].run for c in sorted(unsized)):
        marked = [Branch(e.id, e.a, e.b, 1.0) if e.id in unsized and conductors[e.id].run == run else e for e in branches]  # fmt: skip
        out[run] = Network(marked, dtype=complex)
    return out


def _on_way(unknown: Mapping[str, Network], t: str, back: str, loop: float) -> tuple[str, ...]:
    """Lengths without which the loop of a fault is not known: with an ohm in such a conductor it is another."""
    return tuple(
        f"{run}.length"
        for run, marked in unknown.items()
        if _loop(marked.z, marked.node[t], marked.node[back]) > loop * (1 + NOTICED_ratio)
    )


def _feeding(standing: Standing, sources: Sequence[Source], t: str, back: str, way: Way) -> list[Source]:
    """The sources that stand across two terminals; between two lines the pairs of ends half a turn apart."""
    live = standing.live
    if way == "earth":
        return [s for s in sources if live.joined(s.end.a, t)]
    if way != "line":
        return [s for s in sources if live.joined(s.end.a, t) and live.joined(s.end.b, back)]
    return [
        s
        for one in sources
        for two in sources
        if Live.opposed(one.end, two.end)
        and live.joined(one.end.a, t)
        and live.joined(two.end.a, back)
        and live.joined(one.end.b, two.end.b)
        for s in (one, two)
    ]


def _with_what_feeds_it(source: Source, branches: Sequence[Branch], sources: Sequence[Source]) -> Source:
    """A transformer with the loop in front of it: left out it would promise more than can flow."""
    needs = source.end.needs
    if source.ohm is None or needs is None:
        return source
    stiff = [s for s in sources if s.ohm is not None and s.end.needs is None]
    network = Network(
        [*branches, *(Branch(s.end.id, s.end.a, s.end.b, s.ohm) for s in stiff if s.ohm is not None)],
        [s.end.b for s in stiff],
        complex,
    )
    a, b = (network.node.get(n) for n in needs)
    if a is None or b is None or network.island[a] != network.island[b]:
        return Source(source.end, missing=(f"{source.end.owner}.short_circuit_current",))
    return Source(source.end, source.volts, source.ohm + _loop(network.z, a, b))


def _loop(z: Array, a: int, b: int) -> float:
    return float(abs(z[a, a] + z[b, b] - z[a, b] - z[b, a]))


def _impedance(wiring: Wiring, wire: str, ohm: float) -> complex:
    c = wiring.graph.conductors.get(wire)
    return complex(ohm, REACTANCE_ohm_per_m * c.length_m if c and c.length_m and c.area_mm2 else 0.0)


def _returns(wiring: Wiring, network: Network, way: Way) -> dict[str, str]:
    """For each live terminal the neutral, the earth or the other line of its own port, else of its own part."""
    terminals = wiring.graph.terminals
    wanted = {"neutral": frozenset({"N"}), "earth": frozenset({"PE"}), "line": LINE_POLES}[way]
    backs: dict[str, list[str]] = {}
    for t in terminals.values():
        if t.pole in wanted and t.id in network.node:
            backs.setdefault(f"port {t.port}", []).append(t.id)
            backs.setdefault(f"part {t.owner}", []).append(t.id)
    out: dict[str, str] = {}
    for t in terminals.values():
        if t.pole in LINE_POLES and t.id in network.node:
            found = backs.get(f"port {t.port}") or ([] if way == "line" else backs.get(f"part {t.owner}", []))
            back = next((b for b in found if terminals[b].pole != t.pole), None)
            if back is not None:
                out[t.id] = back
    return out
