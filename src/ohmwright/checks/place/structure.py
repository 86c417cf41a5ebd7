"""E15: holes in structure: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "place/structure",
    "E15",
    "Holes in structure",
    why="""A hole in a frame flange or a tank costs more than the whole rig.""",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "place/structure",
        ("rig",),
        "Was every hole made clear of frame members, tanks and the hull below the water?",
        "Another way; have the structure seen by who built it.",
    )
