"""A21: array stays live when the battery is opened: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "array/stays-live",
    "A21",
    "Array stays live when the battery is opened",
    why="""Some controllers die when the battery goes first; and a hand that has opened the battery believes that everything is dead.""",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array."""
    return ask(
        "array/stays-live",
        tuple(dict.fromkeys(c.name for c in pv_circuits(study))),
        "Is there a switch for the array beside the battery switch, with the order of opening on its label?",
        "A PV switch beside the battery switch, with a label.",
    )
