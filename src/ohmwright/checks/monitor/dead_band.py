"""F7: a counter that reads zero does not count."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.house import house_volts
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.monitor.shunt import ahead_of
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import load_A
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell, work

REMEDY = "Set a smaller dead band."


def judge(band: Figure, drain: Step) -> Judgement:
    """The dead band against everything that draws day and night."""
    told = f"It reads zero below {tell(band.value, 'A')}; {tell(drain.value, 'A')} flow day and night"
    return most(band.value, drain, "A", good=f"{told}.", bad=f"{told}: a stored bank goes flat at 100 %.", remedy=REMEDY, roots=(band,))  # fmt: skip


@rule(
    "monitor/dead-band",
    "F7",
    "Dead band of the counter",
    why="A drain that the counter does not see is the one that empties a bank over a winter.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each counter against what draws all the time: standing loads, managements, electronics."""
    shunts = study.rig.of_kind("shunt")
    if not shunts:
        yield "rig", skipped("No counter.")
    for shunt in shunts:
        band = asked(shunt.figure("dead_band"))
        volts = house_volts(study)
        watts = standing_W(study)
        if band.figure is None or volts is None:
            yield shunt.id, cannot_tell("Its dead band is not known.", band.missing, unit="A", sense="max")
        elif watts <= 0:
            yield shunt.id, skipped("Nothing draws day and night.")
        else:
            drain = work(
                load_A,
                power_W=figure(watts, "W", COMPUTED, address="what draws day and night"),
                supply_V=volts,
            )
            yield shunt.id, judge(band.figure, drain)


def standing_W(study: Study) -> float:
    """Loads of 24 hours and what electronics take for themselves; what draws ahead of a counter it never sees, rule F5."""
    ahead = ahead_of(study)
    total = 0.0
    for load in study.rig.use.loads.values():
        hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))]
        power = [f.value for g in load.power.values() if (f := known(g))]
        standby = known(load.standby)
        if hours and power and min(hours) >= 24:
            total += min(power)
        elif standby is not None:
            total += standby.value
    for part in study.rig.parts.values():
        if part.join is None and part.count == 1 and not part.strings and part.words.get("own") != "no":
            given = known(part.figure("self_use"))
            total += given.value if given is not None and part.id not in ahead else 0.0
    return total
