"""E17: gas system near the work: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "place/gas-system",
    "E17",
    "Gas system near the work",
    why="""Drilling and moving lockers loosens pipe; the leak shows when somebody switches something on.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 1192; EN 1949", "2021; 2021", "leak test", "memory")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "place/gas-system",
        ("rig",),
        "Was the gas system leak-tested after the work, by who may do it?",
        "A test by a licensed person; a detector at the floor.",
    )
