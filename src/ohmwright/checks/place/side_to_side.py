"""E8: how much heavier one side becomes."""

from collections.abc import Iterator

from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.masses import added
from ohmwright.checks.place.weight import laden_of
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import in_percent
from ohmwright.physics.weights import side_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work

REMEDY = "Move mass to the other side."


def judge(part: Step, side: str) -> Judgement:
    """What one wheel carries more than the other, as part of the axle."""
    percent = work(in_percent, part_ratio=part)
    limit = 100 * find("vehicles/side-part").value
    told = f"What comes aboard makes the {side} heavier by {percent.value:.1f} % of the axle"
    return most(percent.value, limit, "%", good=f"{told}.", bad=f"{told}: it leans, and one tyre does the work.", remedy=REMEDY, steps=(percent,))  # fmt: skip


@rule(
    "place/side-to-side",
    "E8",
    "Side to side",
    why="A bank behind one wheel is a trailer that pulls to one side under the brakes.",
    severities=("disappoints",),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The host as a whole, by the places of its parts."""
    more, track = added(study), mass(study.rig, "track")
    laden, missing = laden_of(study)
    if study.rig.host.kind in ("boat", "cabin"):
        yield "host", skipped("It has no wheels.")
        return
    if track.figure is None or laden is None or more.missing:
        lost = (*(track.missing if track.figure is None else ()), *missing, *more.missing)
        yield "host", cannot_tell("How it leans cannot be told.", lost, unit="%", sense="max")
        return
    part = work(
        side_ratio,
        moment_kg_m=figure(
            more.across_kg_m, "1", COMPUTED, address="masses aboard times their distance from the middle"
        ),
        track_m=track.figure,
        axle_kg=laden,
    )
    yield "host", judge(part, "left" if more.across_kg_m > 0 else "right")
