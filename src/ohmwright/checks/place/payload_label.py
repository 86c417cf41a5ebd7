"""E6: mass added before the first retail sale needs a label."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.masses import added
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell


def judge(net: float, rating: Figure, looked: str) -> Judgement:
    """Net mass against the lesser of 1.5 % of the rating and 100 lb; above it somebody has to see the label."""
    limit = min(find("vehicles/label-part").value * rating.value, find("vehicles/label-mass").value)
    told = f"{tell(net, 'kg')} added before the first sale; {tell(limit, 'kg')} needs no label"
    if at_most(net, limit):
        return most(net, limit, "kg", good=f"{told}.", bad="", roots=(rating,))
    return cannot_tell(
        f"{told}: is the load-carrying label fitted?",
        (looked,),
        limit=limit,
        unit="kg",
        sense="max",
        remedy="Fit a load-carrying label; look, and write it under looked-at.",
    )


@rule(
    "place/payload-label",
    "E6",
    "Payload label",
    why="The label by the door is the only thing that the buyer reads. Mass added before the first sale has to be on it.",
    severities=("danger",),
    sets=("us-vehicle",),
    clauses={"us-vehicle": Clause("49 CFR 571.110", "72 FR 68442", "S10", "official")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """A host that is still before its first retail sale."""
    rig = study.rig
    sold = rig.host.words.get("sold-before", rig.host.words.get("sold_before", ""))
    if sold != "first-retail":
        yield (
            "host",
            skipped(
                "It was sold before." if sold else "Nothing says that it is before its first retail sale."
            ),
        )
        return
    rating, removed, more = mass(rig, "gvwr"), mass(rig, "removed"), added(study)
    if rating.figure is None or more.missing:
        yield (
            "host",
            cannot_tell(
                "The mass added or the rating is not known.",
                (*rating.missing, *more.missing),
                unit="kg",
                sense="max",
            ),
        )
    else:
        yield (
            "host",
            judge(
                more.mass_kg - (removed.figure.value if removed.figure else 0.0),
                rating.figure,
                "looked-at place/payload-label host",
            ),
        )
