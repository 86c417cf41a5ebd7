"""B7: a battery heater that is strong enough, and what it takes from the day."""

from collections.abc import Iterator

from ohmwright.checks.battery.cold_lockout import place_of
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.heat import holding_heat_W
from ohmwright.physics.sums import in_percent, of_day_ratio
from ohmwright.rig.model import Place
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell, work

REMEDY = "More insulation, or heat with surplus only."


def judge_strength(power: Figure, wanted: Step) -> Judgement:
    """Heater against the heat that the box loses on the coldest day."""
    told = f"On the coldest day the box loses {tell(wanted.value, 'W')}; the heater gives {tell(power.value, 'W')}"
    return least(power.value, wanted, "W", good=f"{told}.", bad=f"{told}: the bank freezes all the same.", remedy="A stronger heater, or more insulation.", roots=(power,))  # fmt: skip


def judge_share(part: Step) -> Judgement:
    """Heat of a day against the yield of a day in the darkest month."""
    percent = work(in_percent, part_ratio=part)
    told = f"Held warm through the coldest day it takes {percent.value:.0f} % of what the array brings in the darkest month"
    return most(percent.value, 100 * find("batteries/heater-part").value, "%", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(percent,))  # fmt: skip


@rule(
    "battery/heater",
    "B7",
    "Battery heater and who feeds it",
    why="A heater takes most when the sun brings least, from the bank that it is meant to help.",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank with a heater of its own or in its place."""
    for bank in banks(study.rig):
        power = _power(study, bank)
        if power is None:
            yield bank.id, skipped("It has no heater.")
        else:
            yield from _one(study, bank, power)


def _power(study: Study, bank: Bank) -> Figure | None:
    own = asked(bank.members[0].figure("heater_power")).figure
    pad = next((p for p in study.rig.of_kind("pad-heater") if p.place == place_of(bank)), None)
    given = asked(pad.figure("power")).figure if pad is not None else None
    if own is not None and len(bank.members) > 1:
        total = own.value * len(bank.members)
        return Figure(total, "W", total, total, own.origin, address=own.address)
    return given or own


def _of(place: Place | None, *keys: str) -> tuple[Figure | None, str]:
    for key in keys:
        if place is not None and key in place.figures and (given := known(place.figures[key])) is not None:
            return given.at(f"host.places.{place.id}.{key}"), ""
    return None, f"host.places.{place.id if place else '?'}.{keys[0]}"


def _one(study: Study, bank: Bank, power: Figure) -> Iterator[tuple[str, Judgement]]:
    place = study.rig.host.places.get(place_of(bank))
    around = study.rig.host.places.get(place.words.get("inside", "")) if place is not None else None
    conductance, no_conductance = _of(place, "UA")
    keep, no_keep = _of(place, "kept-above", "kept_above")
    cold, no_cold = _of(around or place, "coldest")
    if conductance is None or keep is None or cold is None:
        lost = [x for x, g in ((no_conductance, conductance), (no_keep, keep), (no_cold, cold)) if g is None]
        yield bank.id, cannot_tell("The heat that its box loses is not known.", lost, unit="W", sense="min")
        return
    wanted = work(holding_heat_W, conductance_W_per_K=conductance, inside_degC=keep, around_degC=cold)
    yield bank.id, judge_strength(power, wanted)
    if study.year is None or wanted.value <= 0:
        return
    dark = min(study.year.months, key=lambda m: m.array_kWh)
    daily = max(dark.array_kWh * 1000 / 30, 1.0)
    part = work(
        of_day_ratio,
        hours_h=24.0,
        power_W=wanted,
        daily_Wh_per_day=figure(daily, "Wh/day", COMPUTED, address=f"array in month {dark.month}"),
    )
    yield bank.id, judge_share(part)
