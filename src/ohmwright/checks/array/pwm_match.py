"""A11: a controller that only switches wants an array of the battery's own class."""

from collections.abc import Iterator

from ohmwright.checks.array.hot_voltage import charging_volts
from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    margin_above,
    margin_below,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import voltage_ratio
from ohmwright.physics.sums import sum_V
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, work


def judge(string: Step | Figure, charge: Figure) -> Judgement:
    """Power-point volts over charging volts between 1.15 and 1.35."""
    low, high = find("pv/pwm-low").value, find("pv/pwm-high").value
    ratio = work(voltage_ratio, string_V=string, battery_V=charge)
    good = at_least(ratio.value, low) and at_most(ratio.value, high)
    short = not at_least(ratio.value, low)
    told = f"The string's volts are {ratio.value:.2f} times the charging volts; a controller that only switches uses {low:g} to {high:g}"
    why = "" if good else ": it does not finish a charge" if short else ": what is above is thrown away"
    limit = low if short else high
    return Judgement(
        verdict="pass" if good else "fail", message=f"{told}{why}.", value=ratio.value, low=low, high=high, limit=limit, sense="window",
        margin=margin_above(ratio.value, limit) if short else margin_below(ratio.value, limit), unit="1",
        remedy="" if good else "A controller that seeks the power point, or modules of the right number of cells.", steps=(ratio,), origin_unverified=unverified(ratio),
    )  # fmt: skip


@rule(
    "array/pwm-match",
    "A11",
    "Array suits a controller that only switches",
    why="A controller that only switches pulls the string down to the battery's volts. Whatever the string had above them is lost.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string at a controller that only switches."""
    for circuit in pv_circuits(study):
        controller = circuit.controller
        if controller is None or controller.kind.name != "pv-controller-pwm":
            yield circuit.name, skipped("Its controller seeks the power point.")
            continue
        charge = charging_volts(study, controller.id)
        for string in circuit.strings:
            volts = [asked(m.figure("max_power_voltage")) for m in string.members]
            lost = (*(a for v in volts if v.figure is None for a in v.missing), *charge.missing)
            figures = [v.figure for v in volts if v.figure is not None]
            if charge.figure is None or len(figures) < len(volts):
                yield (
                    string.id,
                    cannot_tell("The string's or the battery's volts are not known.", lost, unit="1"),
                )
                continue
            total: Step | Figure = figures[0]
            for f in figures[1:]:
                total = work(sum_V, first_V=total, second_V=f)
            yield string.id, judge(total, charge.figure)
