"""B12: lead-acid wants enough charging current, and not too much."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import charger_A, chargers_of
from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    margin_above,
    margin_below,
    skipped,
)
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import rate_per_h
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, work


def judge(total_A: float, capacity_Ah: float, *, flooded: bool) -> Judgement:
    """All chargers over capacity, between 0.05 and 0.13 (flooded) or 0.25 (AGM)."""
    low, high = (
        find("batteries/lead-charge-least").value,
        find("batteries/flooded-charge-most" if flooded else "batteries/agm-charge-most").value,
    )
    step = work(
        rate_per_h,
        current_A=figure(total_A, "A", COMPUTED, address="all chargers together"),
        capacity_Ah=figure(capacity_Ah, "Ah", COMPUTED, address="capacity of the bank"),
    )
    rate = step.value
    short, over = not at_least(rate, low), not at_most(rate, high)
    told = f"All chargers give {rate:.3f} of its capacity an hour; {low:g} to {high:g} is the window"
    why = ": it sulphates" if short else ": it gasses and warms" if over else ""
    limit = low if short else high
    return Judgement(
        verdict="fail" if short or over else "pass", message=f"{told}{why}.", value=rate, low=low, high=high, limit=limit, sense="window", unit="1/h",
        margin=margin_above(rate, limit) if short else margin_below(rate, limit), remedy="More or less charging current." if short or over else "", steps=(step,),
    )  # fmt: skip


@rule(
    "battery/lead-charge-rate",
    "B12",
    "Lead-acid charge rate",
    why="Too little current never stirs the acid nor reaches full; too much boils it.",
    severities=("fails",),
    clauses={"": Clause("IEEE 1361", "2014", "charge rate", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lead-acid bank but a starter battery."""
    for bank in banks(study.rig):
        if bank.chemistry not in ("flooded", "agm", "gel"):
            yield bank.id, skipped("Not a lead-acid house bank.")
            continue
        chargers = [charger_A(study, p) for p in chargers_of(study, bank)]
        capacity = asked(bank.members[0].figure("capacity"))
        lost = (*capacity.missing, *(a for c in chargers if c.figure is None for a in c.missing))
        if not chargers:
            yield bank.id, skipped("Nothing but an alternator charges it.")
        elif capacity.figure is None or any(c.figure is None for c in chargers):
            yield bank.id, cannot_tell("Its capacity or a charger's current is not known.", lost, unit="1/h")
        else:
            yield (
                bank.id,
                judge(
                    sum(c.figure.value for c in chargers if c.figure),
                    capacity.figure.value * bank.in_parallel,
                    flooded=bank.chemistry == "flooded",
                ),
            )
