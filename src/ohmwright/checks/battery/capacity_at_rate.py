"""B14: what a lead-acid battery gives at the current it is really asked for."""

from collections.abc import Iterator

from ohmwright.checks.battery.autonomy import from_bank_Wh
from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.lead import capacity_at_rate_Ah, needed_Ah
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work

REMEDY = "A larger bank, or less load."


def judge(given: Step, wanted: Step) -> Judgement:
    """Capacity at the real current against what a day asks for at the usable depth."""
    told = f"At its real current it gives {given.value:.0f} Ah; a day wants {wanted.value:.0f} Ah of it"
    return least(given.value, wanted, "Ah", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(given,))


@rule(
    "battery/capacity-at-rate",
    "B14",
    "Lead-acid capacity at the real rate",
    why="The number on a lead-acid battery is what it gives in twenty hours. In five it gives less.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lead-acid bank that loads live on, at twice the mean current of a day."""
    daily, missing = from_bank_Wh(study)
    for bank in banks(study.rig):
        one = bank.members[0]
        if bank.chemistry in ("lfp", "start") or any(b.chemistry == "lfp" for b in banks(study.rig)):
            yield bank.id, skipped("No lead-acid bank that loads live on.")
            continue
        capacity, volts = asked(one.figure("capacity")), asked(one.figure("nominal_voltage"))
        hours, usable = asked(one.figure("capacity_hours")), known(one.with_default("usable"))
        exponent = known(one.with_default("peukert"))
        lost = (*capacity.missing, *volts.missing, *hours.missing, *(missing if daily is None else ()))
        if (
            capacity.figure is None
            or volts.figure is None
            or hours.figure is None
            or usable is None
            or exponent is None
            or daily is None
        ):
            yield (
                bank.id,
                cannot_tell("What it gives at its real current is not known.", lost, unit="Ah", sense="min"),
            )
            continue
        system = figure(
            volts.figure.value * bank.in_series, "V", volts.figure.origin, address=volts.figure.address
        )
        whole = Figure(capacity.figure.value * bank.in_parallel, "Ah", capacity.figure.low * bank.in_parallel, capacity.figure.high * bank.in_parallel, capacity.figure.origin, address=capacity.figure.address)  # fmt: skip
        amps = figure(daily.value / system.value / 12, "A", COMPUTED, address="a day's loads in twelve hours")
        given = work(
            capacity_at_rate_Ah,
            capacity_Ah=whole,
            rated_hours_h=hours.figure.value / 3600,
            current_A=amps,
            peukert_exponent=exponent,
        )
        yield (
            bank.id,
            judge(given, work(needed_Ah, daily_Wh_per_day=daily, system_V=system, usable_ratio=usable)),
        )
