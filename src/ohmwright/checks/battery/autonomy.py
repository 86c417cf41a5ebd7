"""B10: how many days the full bank lasts against what the owner was told."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import autonomy_days
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work

REMEDY = "More batteries, less load, or a smaller promise."


def judge(days: Step | None, promised: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """Days without anything coming in against the nights promised."""
    if days is None:
        return cannot_tell("How long the bank lasts is not known.", missing, unit="day", sense="min")
    if promised is None:
        return skipped("Nobody was promised nights without outside power.")
    told = f"The bank alone lasts {days.value:.1f} days; {promised.value:g} nights without outside power are promised"
    return least(
        days.value,
        promised,
        "day",
        good=f"{told}.",
        bad=f"{told}: the rest has to come from sun or engine, see the year.",
        remedy=REMEDY,
        steps=(days,),
        roots=(promised,),
    )


@rule(
    "battery/autonomy",
    "B10",
    "Days without charge",
    why="The number the owner remembers is the one he was told at the table, and he will count the nights.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that loads run from, against the longest promise of nights."""
    promises = [
        f
        for p in study.rig.use.promises
        if (f := known(p.figures.get("nights", figure(0, "1")))) and "nights" in p.figures
    ]
    promised = max(promises, key=lambda f: f.value, default=None)
    daily, missing = daily_Wh(study)
    for bank in banks(study.rig):
        if bank.chemistry == "start":
            yield bank.id, skipped("It starts an engine.")
            continue
        one = bank.members[0]
        capacity, volts, usable = (
            asked(one.figure("capacity")),
            asked(one.figure("nominal_voltage")),
            known(one.with_default("usable")),
        )
        lost = (*capacity.missing, *volts.missing, *(missing if daily is None else ()))
        if capacity.figure is None or volts.figure is None or usable is None or daily is None:
            yield bank.id, judge(None, promised, lost)
            continue
        days = work(
            autonomy_days,
            many_count=float(len(bank.members)),
            capacity_Ah=capacity.figure,
            nominal_V=volts.figure,
            usable_ratio=usable,
            daily_Wh_per_day=daily,
        )
        yield bank.id, judge(days, promised)


def daily_Wh(study: Study) -> tuple[Figure | None, tuple[str, ...]]:
    """What all loads take on their heaviest day: energy as given, else power by hours or duty; seasons at their largest."""
    total = 0.0
    missing: list[str] = []
    for load in study.rig.use.loads.values():
        energy = [f.value for g in load.energy.values() if (f := known(g))]
        power = [f.value for g in load.power.values() if (f := known(g))]
        hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))] or [
            24 * f.value for g in load.duty.values() if (f := known(g))
        ]
        if energy:
            total += max(energy)
        elif power and hours:
            total += max(power) * max(hours)
        elif power and load.hours == {} and load.duty == {}:
            missing.append(f"{load.id}.hours")
        else:
            missing.append(f"{load.id}.energy")
    if missing or total <= 0:
        return None, tuple(missing) or ("use.loads",)
    return figure(total, "Wh/day", COMPUTED, address="use.loads"), ()
