"""B10: how many days the full bank lasts against what the owner was told."""

from collections.abc import Iterator

from ohmwright.checks.battery.cold_lockout import coldest_at
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, once
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.mains.loads import ac_loads, behind
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import (
    autonomy_days,
    cold_capacity_Ah,
    sum_Wh_per_day,
    through_inverter_Wh_per_day,
)
from ohmwright.rig.model import Load
from ohmwright.standards import PHYSICS, find
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
    daily, missing = from_bank_Wh(study)
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
            capacity_Ah=in_the_cold(study, bank, capacity.figure),
            nominal_V=volts.figure,
            usable_ratio=usable,
            daily_Wh_per_day=daily,
        )
        yield bank.id, judge(days, promised)


def in_the_cold(study: Study, bank: Bank, capacity: Figure) -> Figure | Step:
    """The capacity of one battery in the coldest air of its place; as printed where no air is told."""
    air = coldest_at(study, bank)
    if air is None or air.value >= 25:
        return capacity
    loss = find("batteries/cold-loss-lfp" if bank.chemistry == "lfp" else "batteries/cold-loss-lead").figure
    return work(cold_capacity_Ah, capacity_Ah=capacity, loss_percent_per_K=loss, bank_degC=air)


def daily_Wh(study: Study) -> tuple[Figure | None, tuple[str, ...]]:
    """What all loads take on their heaviest day: energy as given, else power by hours or duty; seasons at their largest."""
    each = {load.id: load_Wh(load) for load in study.rig.use.loads.values()}
    missing = tuple(asks(load) for load in study.rig.use.loads.values() if each[load.id] is None)
    total = sum(e for e in each.values() if e is not None)
    if missing or total <= 0:
        return None, missing or ("use.loads",)
    return figure(total, "Wh/day", COMPUTED, address="use.loads"), ()


def load_Wh(load: Load) -> float | None:
    """One load on its heaviest day; None where the file does not say enough."""
    energy = [f.value for g in load.energy.values() if (f := known(g))]
    power = [f.value for g in load.power.values() if (f := known(g))]
    hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))] or [
        24 * f.value for g in load.duty.values() if (f := known(g))
    ]
    if energy:
        return max(energy)
    return max(power) * max(hours) if power and hours else None


def asks(load: Load) -> str:
    """Where to write what is missing of a load."""
    power = any(known(g) for g in load.power.values())
    return f"{load.id}.hours" if power and load.hours == {} and load.duty == {} else f"{load.id}.energy"


@once
def from_bank_Wh(study: Study) -> tuple[Step | Figure | None, tuple[str, ...]]:
    """What the bank gives on that day: direct loads, and those behind an inverter with its losses and its idling.

    Loads on alternating current that no inverter feeds hang on shore or generator and are not counted.
    """
    daily, missing = daily_Wh(study)
    if daily is None:
        return None, missing
    on_ac = {f.load.id for f in ac_loads(study)}
    direct = sum(load_Wh(x) or 0.0 for x in study.rig.use.loads.values() if x.id not in on_ac)
    total: Step | Figure = figure(direct, "Wh/day", COMPUTED, address="direct-current loads of a day")
    for unit in study.rig.of_kind("inverter", "inverter-charger"):
        fed = [f.load for f in behind(study, unit)]
        eta, idle = known(unit.with_default("efficiency_full")), known(unit.with_default("idle"))
        if not fed or eta is None or idle is None:
            continue
        loads = figure(sum(load_Wh(x) or 0.0 for x in fed), "Wh/day", COMPUTED, address=f"loads of a day behind {unit.id}")  # fmt: skip
        taken = work(through_inverter_Wh_per_day, loads_Wh_per_day=loads, efficiency_ratio=eta, idle_W=idle)
        total = work(sum_Wh_per_day, first_Wh_per_day=total, second_Wh_per_day=taken)
    return total, ()
