"""Loads on the alternating-current side, and what the inverter's panel has of them."""

from dataclasses import dataclass

from ohmwright.checks.gather import once
from ohmwright.checks.walk import conducts, reach
from ohmwright.rig.model import Load, Part
from ohmwright.study import Study
from ohmwright.working import Figure, known

LINES = ("L", "L1", "L2", "L3")


@dataclass(frozen=True, slots=True)
class Fed:
    """A load of alternating current with its running power and its hours a day, where they are known."""

    load: Load
    power: Figure | None
    hours_h: float


@once
def ac_loads(study: Study) -> tuple[Fed, ...]:
    """Every load with a line terminal."""
    graph = study.graph
    on_lines = {
        e.owner for e in graph.elements.values() if e.kind == "load" and graph.terminals[e.a].pole in LINES
    }
    return tuple(
        Fed(load, running(load), hours_of(load))
        for load in study.rig.use.loads.values()
        if load.id in on_lines
    )


def running(load: Load) -> Figure | None:
    """The power of a load while it runs; of a pair of legs their sum; a mean where only energy is given."""
    whole = [f for k, g in load.power.items() if "-" not in k and (f := known(g))]
    if whole:
        best = max(whole, key=lambda f: f.value)
        return best if best.address else best.at(f"{load.id}.power")
    legs = [f for k, g in load.power.items() if "-" in k and (f := known(g))]
    if legs:
        total = sum(f.value for f in legs)
        return Figure(total, "W", total, total, legs[0].origin, address=f"{load.id}.power")
    energy = [f for g in load.energy.values() if (f := known(g))]
    if not energy:
        return None
    mean = max(f.value for f in energy) / (hours_of(load) or 24.0)
    return Figure(mean, "W", mean, mean, energy[0].origin, address=f"{load.id}.energy")


def hours_of(load: Load) -> float:
    """Hours a day, 24 where only energy is given, 0 where nothing is."""
    hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))]
    if hours:
        return max(hours)
    return 24.0 if load.energy and not load.power else 0.0


def behind(study: Study, inverter: Part) -> tuple[Fed, ...]:
    """The loads that an inverter's output feeds, by conductors and closable switches, never through a transfer back to its input."""
    starts = [
        t.id
        for t in study.graph.terminals.values()
        if t.owner == inverter.id and t.port.endswith(".ac-out") and t.pole in LINES
    ]
    if not starts:
        return ()
    inside = {e.id for e in study.graph.elements.values() if e.owner == inverter.id}
    way = reach(study.graph, starts, through=lambda e: conducts(e) and e.id not in inside)
    owners = {study.graph.terminals[t].owner for t in way.terminals}
    return tuple(f for f in ac_loads(study) if f.load.id in owners)
