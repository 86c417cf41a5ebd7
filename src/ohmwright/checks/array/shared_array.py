"""A22: one array, one controller, and its minus nowhere else."""

from collections.abc import Iterator

from ohmwright.checks.circuits import CONTROLLERS, banks, pv_circuits
from ohmwright.checks.judgement import Judgement, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import conducts, reach
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A controller for each array, and the array's minus on its controller only."


def judge(controllers: tuple[str, ...], tied_to: tuple[str, ...]) -> Judgement:
    """Controllers on one array, and what its minus is joined to besides."""
    if len(controllers) > 1:
        return fails(
            f"{' and '.join(controllers)} share one array: each hunts for the other's power point.", REMEDY
        )
    if tied_to:
        return fails(
            f"The array's minus is also joined to {', '.join(tied_to)}: current goes round the controller.",
            REMEDY,
        )
    return passes("One controller, and nothing else is joined to the array.")


@rule(
    "array/shared-array",
    "A22",
    "Two controllers share an array",
    why="Two controllers on one array chase each other, and a minus that is tied twice carries current past the meter.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array circuit, walked without entering a controller."""
    graph, rig = study.graph, study.rig
    posts = {f"{m.id}.-" for b in banks(rig) for m in b.members}
    inside = {p.id for p in rig.of_kind(*CONTROLLERS)}
    for circuit in pv_circuits(study):
        starts = sorted(x for s in circuit.strings for x in s.ends)
        way = reach(graph, starts, through=lambda e: conducts(e) and e.owner not in inside)
        controllers = tuple(
            sorted(
                {graph.terminals[t].owner for t in way.terminals if graph.terminals[t].port_role == "pv"}
                & inside
            )
        )
        yield circuit.name, judge(controllers, tuple(sorted(t for t in way.terminals & posts)))
