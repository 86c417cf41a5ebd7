"""B37: a lead-acid battery is charged by its temperature."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.battery.equalise import COMPENSATION, OFF
from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Absent, Figure, Given, Unknown

REMEDY = "A probe on the battery, and the compensation of its page: about -4 mV a cell and kelvin."


def judge(compensation: Given | str, asks: str) -> Judgement:
    """The setting of a charger on a lead-acid bank."""
    if isinstance(compensation, Figure):
        return passes("It follows the temperature of the battery.")
    if isinstance(compensation, str):
        if compensation.lower() in OFF:
            return fails("It charges by one voltage in frost and heat: never full in winter, gassing dry in summer.", REMEDY)  # fmt: skip
        return passes(f"It follows the temperature: {compensation}.")
    if isinstance(compensation, Unknown | Absent):
        return cannot_tell("Whether it follows the temperature of the battery is not known.", (asks,), remedy=REMEDY)  # fmt: skip
    return fails("It has no compensation for temperature: never full in winter, gassing dry in summer.", REMEDY)  # fmt: skip


@rule(
    "battery/lead-compensation",
    "B37",
    "Lead-acid charge follows the temperature",
    why="""Lead gasses at a lower voltage when it is warm and needs a higher one when it is cold. One figure all year dries it out
        in August and sulphates it in January.""",
    severities=("fails",),
    clauses={"": Clause("IEEE 1361", "2014", "temperature compensation of charge voltage", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each charger of each lead-acid bank."""
    found = False
    for bank in banks(study.rig):
        if bank.chemistry not in ("agm", "gel", "flooded", "start"):
            continue
        for charger in chargers_of(study, bank):
            found = True
            given: Given | str = next(
                (s for k in COMPENSATION if not isinstance(s := study.rig.setting(charger.id, k), Absent)),
                Absent(),
            )
            yield charger.id, judge(given, f"settings.{charger.id}.temperature-comp")
    if not found:
        yield "rig", skipped("No charger on a lead-acid bank.")
