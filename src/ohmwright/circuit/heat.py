"""How warm each conductor gets: for ever in the worst lasting case, and at the end of each case that lasts seconds.

The table of the rule set says what a conductor may carry; this says what follows from what it does carry, in its
air, beside its neighbours, with the ripple of an inverter on it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.network import WHOLE
from ohmwright.circuit.solve import Work, worked
from ohmwright.circuit.types import Solution
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.heat_cable import (
    HOTTEST_degC,
    MODEL_share,
    after_degC,
    conductor_degC,
    rippled_A,
    unshed_degC,
    warming_s,
)
from ohmwright.rig.graph import Conductor, Graph
from ohmwright.rig.model import Rig
from ohmwright.standards import find
from ohmwright.standards.published import table
from ohmwright.working import known

#: Ripple that a single-phase inverter draws over its mean current: 0.3 ordinary, 0.7 at most.  Common practice, no source.
RIPPLE_ratio = 0.3
#: A current below this loads no neighbour.
LOADED_A = 0.05


@dataclass(frozen=True, slots=True)
class Heat:
    """A conductor: its hottest metal, what its insulation bears, how fast it gets there, and what kept it from being told.

    `lasting_A` is the current that heats for ever, ripple counted; `case` the case of the hottest moment.
    """

    temp_degC: float | None
    limit_degC: float | None
    tau_s: float | None
    note: str = ""
    lasting_A: float = 0.0
    case: str = ""
    missing: tuple[str, ...] = ()


def conductor_heat(rig: Rig, graph: Graph, solutions: Mapping[str, Solution]) -> Mapping[str, Heat]:
    """Every conductor that carries power, by its id."""
    wiring = wiring_of(rig, graph)
    cases = cases_of(rig, graph)
    lasting: dict[str, tuple[float, str]] = {}
    short: dict[str, list[tuple[float, float, str]]] = {}
    for name, answer in solutions.items():
        case = cases.get(name, answer.case)
        if answer.overloaded or not answer.converged:
            continue
        ripple = _ripple_A(worked(rig, graph, case))
        for c, run in answer.conductors.items():
            amps = abs(run.current_A)
            if part := ripple.get(c, 0.0):
                amps = rippled_A(amps, RIPPLE_ratio * part / amps) if amps > 0 else RIPPLE_ratio * part
            if case.seconds is not None:
                short.setdefault(c, []).append((amps, case.seconds, name))
            elif amps > lasting.get(c, (-1.0, ""))[0]:
                lasting[c] = (amps, name)
    beside = _beside(graph, {c for c, (amps, _) in lasting.items() if amps >= LOADED_A})
    return {
        c.id: _heat(rig, graph, c, lasting.get(c.id, (0.0, "")), short.get(c.id, []), beside.get(c.id, 1))
        for c in graph.conductors.values()
        if c.id in wiring.net.wire_of and c.role not in ("data", "sense", "bond", "earth") and c.pole != "PE"
    }


def _ripple_A(work: Work) -> dict[str, float]:
    """The part of every conductor's current that inverters alone draw: by superposition on the same network."""
    if work.answer is None:
        return {}
    network = work.direct.network
    pairs: list[tuple[int, int]] = []
    drawn: dict[str, complex] = {}
    amps: list[float] = []
    for end in work.inverters:
        i = complex(work.answer.drawn.get(end.element.id, 0.0)).real
        if end.needs is None or i <= 0 or any(n not in network.node for n in end.needs):
            continue
        p, q = end.needs
        if p in drawn:
            continue
        pairs.append((network.node[p], network.node[q]))
        amps.append(i)
        drawn[p], drawn[q] = i, -i
    if not pairs:
        return {}
    keep = network.kept(work.ports.seen.pairs) if work.ports is not None else WHOLE
    still = network.currents(network.volts(keep=keep))
    loaded = network.currents(network.volts(network.inject(pairs, np.array(amps)), keep), drawn)
    return {k: abs(i - still[k]) for k, i in loaded.items()}


def _beside(graph: Graph, loaded: set[str]) -> dict[str, int]:
    """How many loaded conductors lie in the fullest way of each conductor's route."""
    in_way: dict[str, int] = {}
    for c in loaded:
        for way in graph.conductors[c].route:
            in_way[way] = in_way.get(way, 0) + 1
    return {
        c.id: max((in_way.get(w, 1) for w in c.route), default=1)
        for c in graph.conductors.values()
        if c.route
    }


def _count_factor(beside: int) -> float:
    """What the table leaves of a current for so many loaded conductors together."""
    listed = table("nec-310.15-count")
    for row in listed.rows:
        if beside <= float(row):
            return listed.value(row, "factor") or 1.0
    return 1.0


def _air(rig: Rig, graph: Graph, c: Conductor) -> tuple[float | None, tuple[str, ...]]:
    """The hottest air on the way of a conductor; None with the figure to ask for when no place of it tells one."""
    ways = [rig.host.ways[w] for w in c.route if w in rig.host.ways]
    places = {graph.terminals[t].place for t in (c.a, c.b) if t in graph.terminals} | {
        p for w in ways for p in (w.a, w.b)
    }
    names = sorted(p for p in places if p in rig.host.places)
    told = [
        f.value
        for p in names
        if "hottest" in rig.host.places[p].figures and (f := known(rig.host.places[p].figures["hottest"]))
    ]
    if not told:
        return None, tuple(f"host.places.{p}.hottest" for p in names)
    roof = any(w.words.get("rooftop") in ("yes", "true") for w in ways)
    return max(told) + (find("pv/rooftop-adder").value if roof else 0.0), ()


def _heat(
    rig: Rig,
    graph: Graph,
    c: Conductor,
    lasting: tuple[float, str],
    short: list[tuple[float, float, str]],
    beside: int,
) -> Heat:
    limit = c.cable.insulation_degC
    if c.area_mm2 is None:
        return Heat(None, limit, None, "its size is not known", lasting[0], lasting[1], (f"{c.run}.cable",))
    air, missing = _air(rig, graph, c)
    if air is None:
        return Heat(None, limit, None, "the air it lies in is not known", lasting[0], lasting[1], missing)
    area, share = c.area_mm2, MODEL_share * _count_factor(beside)
    ohm = cable_ohm_per_m(area, c.cable.size, c.cable.system, 20.0, "high", c.cable.material)
    rest = conductor_degC(lasting[0] / share, ohm, area, air)
    tau = warming_s(area, air, min(max(rest, air + 20.0), limit or 90.0))
    hottest, case = rest, lasting[1]
    for amps, seconds, name in short:
        at = _after(min(rest, HOTTEST_degC), amps / share, seconds, ohm, area, air, tau)
        if at > hottest:
            hottest, case = at, name
    notes = [f"{beside} loaded conductors lie together"] if beside > 3 else []
    if hottest >= HOTTEST_degC:
        notes.append("it finds no rest: it burns")
    return Heat(hottest, limit, tau, "; ".join(notes), lasting[0], case)


def _after(
    start_degC: float, amps: float, seconds: float, ohm: float, area: float, air: float, tau: float
) -> float:
    """At the end of a short current: no hotter than without any loss, and no hotter than where it would come to rest."""
    unshed = unshed_degC(start_degC, min(amps, 2000.0 * area), min(seconds, 600.0), area)
    end = conductor_degC(amps, ohm, area, air)
    if end >= HOTTEST_degC:
        return min(unshed, HOTTEST_degC)
    return min(unshed, max(start_degC, after_degC(start_degC, end, seconds, tau)))
