"""B28: battery held down: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "battery/held-down",
    "B28",
    "Battery held down",
    why="""Twenty kilograms that come loose at a bend take their cables along, and the posts meet whatever is near.""",
    severities=("danger",),
    clauses={"": Clause("ISO 13297", "2020", "installation of batteries", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "battery/held-down",
        tuple(b.id for b in banks(study.rig)),
        "Is it held down so that it stays where it is on its side and in a crash?",
        "Frame, straps and bolts into the structure.",
    )
