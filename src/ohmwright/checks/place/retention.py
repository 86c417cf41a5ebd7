"""E19: heavy items stay where they are: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "place/retention",
    "E19",
    "Heavy items stay where they are",
    why="""In a crash a battery weighs twenty times what it weighs on the bench.""",
    severities=("danger",),
    sets=(
        "us-vehicle",
        "eu-vehicle",
        "us-boat",
        "eu-boat",
    ),
    clauses={"": Clause("UN R100", "03", "mechanical shock of components (benchmark)", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "place/retention",
        tuple(b.id for b in banks(study.rig)),
        "Is the anchorage stronger than the crash or knock-down asks for, and by whose figures?",
        "Frame bolted to the structure, a rated strap.",
    )
