"""C22: runs in front ends and engine bays: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "wiring/engine-bay",
    "C22",
    "Runs in front ends and engine bays",
    why="""In a front end the first thing that a collision cuts is the cable that nobody fused.""",
    severities=("danger",),
    sets=(
        "us-vehicle",
        "eu-vehicle",
        "us-boat",
        "eu-boat",
    ),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole, where it has an engine space."""
    if not any(p.regime == "engine" for p in study.rig.host.places.values()):
        return iter((("rig", skipped("It has no engine space.")),))
    return ask(
        "wiring/engine-bay",
        ("rig",),
        "Is every run near an engine or a front end fused at its post, away from exhaust and moving parts, out of the crush zone?",
        "Fuse at the post, conduit, another way.",
    )
