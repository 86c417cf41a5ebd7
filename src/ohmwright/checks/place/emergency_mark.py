"""E22: marks for emergency services: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "place/emergency-mark",
    "E22",
    "Marks for emergency services",
    why="""Who opens the door to a fire wants to know what is behind it and where to cut.""",
    severities=(
        "fails",
        "note",
    ),
    clauses={"": Clause("AS/NZS 3001.2", "2022", "marking", "secondary")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "place/emergency-mark",
        ("rig",),
        "Does a mark outside say lithium, how much, and where the cut is?",
        "A label and a card.",
    )
