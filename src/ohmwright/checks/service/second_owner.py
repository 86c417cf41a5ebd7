"""F15: second owner: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "service/second-owner",
    "F15",
    "Second owner",
    why="""The last owner's telephone still opens the rig.""",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole, once it has changed hands."""
    if "second-owner" not in study.rig.use.answers:
        return iter((("rig", skipped("Nothing says that it has changed hands.")),))
    return ask(
        "service/second-owner",
        ("rig",),
        "Were keys, passwords, remote rights and history handed over to the owner of today?",
        "The handover routine.",
    )
