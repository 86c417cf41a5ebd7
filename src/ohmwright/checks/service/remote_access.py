"""F12: remote access: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "service/remote-access",
    "F12",
    "Remote access",
    why="""A setting changed from a sofa is a setting nobody on board knows.""",
    severities=("note",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole, where it has a gateway."""
    if not any("gateway" in p.kind.name or "monitor" in p.kind.name for p in study.rig.parts.values()):
        return iter((("rig", skipped("It has no gateway.")),))
    return ask(
        "service/remote-access",
        ("rig",),
        "Is it written down who may change settings from afar, and what the rig does when the link is lost?",
        "Roles; read only unless somebody says so.",
    )
