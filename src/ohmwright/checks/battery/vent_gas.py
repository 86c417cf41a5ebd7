"""B32: path of gas from a failing lithium cell: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "battery/vent-gas",
    "B32",
    "Path of gas from a failing lithium cell",
    why="""The gas of a failing lithium cell burns, and comes before the heat does.""",
    severities=("danger",),
    clauses={"": Clause("PAS 63100", "2024", "dwellings; common practice elsewhere", "secondary")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "battery/vent-gas",
        tuple(b.id for b in banks(study.rig) if b.chemistry in ("lfp", "unknown", "mixed")),
        "Does the gas of a failing cell have a way outside that does not pass beds, exits or a flame?",
        "A duct to the outside, a detector, or another place.",
    )
