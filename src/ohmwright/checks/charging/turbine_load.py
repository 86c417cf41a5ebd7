"""F19: a turbine keeps a load when the bank takes no more."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A controller with a dump load that takes all that the turbine gives, or one that brakes it."
#: Kinds that wind or water turns, and the kind that stands between them and a bank.
TURBINES = ("hydrogenerator", "wind-generator")


def judge(dump: str, asks: str) -> Judgement:
    """What the page of its controller says of a dump load; "" where it has no controller at all."""
    if dump == "yes":
        return passes("What the bank does not take goes to the dump load of its controller.")
    if dump == "unknown":
        return cannot_tell("Nobody knows whether its controller has a dump load.", (asks,), remedy=REMEDY)
    if dump:
        return fails("Its controller has no dump load: with the bank full or cut off the turbine runs away, its volts with it.", REMEDY)  # fmt: skip
    return fails("No controller stands between it and the bank: with the bank full or cut off it runs away, its volts with it.", REMEDY)  # fmt: skip


@rule(
    "charging/turbine-load",
    "F19",
    "Turbine keeps a load",
    why="""Wind and water do not stop when the bank is full. A turbine without a load turns until something breaks; its open
        volts are several times those of the bank.""",
    severities=("danger",),
    clauses={"": Clause("IEC 61400-2", "2013", "protection against loss of load", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each turbine, by the controller that its run leads to."""
    turbines = study.rig.of_kind(*TURBINES)
    for turbine in turbines:
        ends = {
            study.graph.terminals[t].owner
            for c in study.graph.conductors.values()
            if turbine.id in (study.graph.terminals[c.a].owner, study.graph.terminals[c.b].owner)
            for t in (c.a, c.b)
        }
        controller = next((p for p in study.rig.of_kind("hydro-controller") if p.id in ends), None)
        yield turbine.id, judge(word(controller, "dump") or "unknown", f"{controller.id}.dump") if controller is not None else judge("", "")  # fmt: skip
    if not turbines:
        yield "rig", skipped("No turbine.")
