"""C18: chafe and support: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "wiring/chafe",
    "C18",
    "Chafe and support",
    why="""A cable that moves saws itself through on the first edge it finds.""",
    severities=("danger",),
    clauses={"": Clause("ABYC E-11", "2025", "support of conductors", "memory")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "wiring/chafe",
        ("rig",),
        "Is every run held at most every 450 mm and bushed at every hole?",
        "Clips, loom and grommets.",
    )
