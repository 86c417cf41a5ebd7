"""A23: a panel that is plugged in."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, pv_circuits, strings_behind
from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Give the portable panel a controller of its own, a keyed connector and a fuse."


def judge(*, shared: bool, looked: str) -> Judgement:
    """On the roof's controller it disturbs the roof; alone somebody has to look at plug and fuse."""
    if shared:
        return fails("A panel that is plugged in shares a controller with fixed modules.", REMEDY)
    return cannot_tell("Is the plug keyed for polarity, and is there a fuse?", (looked,), remedy=REMEDY)


@rule(
    "array/portable-input",
    "A23",
    "Portable module input",
    why="A panel on the grass is plugged in by whoever is there, in the dark, the other way round.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Array circuits that hold a run with a plug."""
    for circuit in pv_circuits(study):
        plugged = _plugged(study, circuit)
        if not plugged:
            yield circuit.name, skipped("Nothing of it is plugged in.")
        else:
            shared = len(plugged) < circuit.parallel
            yield circuit.name, judge(shared=shared, looked=f"looked-at array/portable-input {circuit.name}")


def _plugged(study: Study, circuit: PvCircuit) -> frozenset[str]:
    found: set[str] = set()
    for name in circuit.conductors:
        run = study.rig.runs.get(study.graph.conductors[name].run)
        if run is not None and run.plugs:
            found |= set(strings_behind(study, circuit, name))
    return frozenset(found)
