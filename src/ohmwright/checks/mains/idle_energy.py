"""D10: what an inverter takes while nobody uses it."""

from collections.abc import Iterator

from ohmwright.checks.battery.autonomy import daily_Wh
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import in_percent, of_day_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Step, known, work

REMEDY = "Idle sensing, a smaller inverter for the small loads, or a switch within reach."


def judge(part: Step) -> Judgement:
    """Idling through a whole day as part of what the loads take."""
    percent = work(in_percent, part_ratio=part)
    told = f"Left on all day it takes {percent.value:.0f} % of what all loads take"
    return most(percent.value, 100 * find("alternating/idle-part").value, "%", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(percent,))  # fmt: skip


@rule(
    "mains/idle-energy",
    "D10",
    "Idle energy",
    why="Twenty watts around the clock are a third module's yield in autumn.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter."""
    daily, missing = daily_Wh(study)
    units = study.rig.of_kind("inverter", "inverter-charger")
    if not units:
        yield "rig", skipped("No inverter.")
    for part in units:
        idle = known(part.with_default("idle"))
        if daily is None or idle is None:
            yield (
                part.id,
                cannot_tell("What all loads take in a day is not known.", missing, unit="%", sense="max"),
            )
        else:
            yield part.id, judge(work(of_day_ratio, hours_h=24.0, power_W=idle, daily_Wh_per_day=daily))
