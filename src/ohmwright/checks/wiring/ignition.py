"""C19: what sparks is proved for the space it is in."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

VAPOURS = ("petrol", "lp-gas", "hydrogen")
STILL = ("module", "busbar", "earth-bar", "cable", "lug", "mounting", "enclosure", "electrode")


def judge(part: Part, vapour: str) -> Judgement:
    """A part in a space where a vapour may gather: proved against ignition, or not."""
    proved = word(part, "ignition_protected")
    if proved == "yes":
        return passes(f"Proved for a space with {vapour}.")
    if proved == "no":
        return fails(f"It may spark, and {vapour} may gather there.", "Move it, or fit one that is proved.")
    return cannot_tell(
        f"{vapour} may gather there, and nobody knows whether it is proved against ignition.",
        (f"{part.id}.ignition_protected",),
        remedy="Move it, or read its page.",
    )


@rule(
    "wiring/ignition",
    "C19",
    "Ignition-protected zones",
    why="Petrol vapour and gas lie in the lowest locker, and every switch, relay and fuse in it is a spark plug.",
    severities=("danger",),
    clauses={
        "us": Clause("SAE J1171", "2016", "external ignition protection of marine devices", "memory"),
        "eu": Clause("ISO 8846", "1990", "ignition protection", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every part that can spark in a place where a vapour may gather."""
    places = study.rig.host.places
    inside = [
        (p, places[p.place].words.get("vapour", ""))
        for p in study.rig.parts.values()
        if p.place in places and p.join is None and p.count == 1 and not p.strings
    ]
    found = [(p, v) for p, v in inside if v in VAPOURS and p.kind.name not in STILL]
    for part, vapour in found:
        yield part.id, judge(part, vapour)
    if not found:
        yield "rig", passes("Nothing that sparks is placed where a vapour may gather.")
