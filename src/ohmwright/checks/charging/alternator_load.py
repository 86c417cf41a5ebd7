"""F1: what a charger takes from the alternator."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.physics.sums import charger_input_A, multiple_ratio
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, figure, known, tell, work


def judge(drawn: Figure, rated: Figure) -> Judgement:
    """Input current over the alternator's rating: 0.5 at cruise, a note above 0.35 for idling."""
    step = work(multiple_ratio, current_A=drawn, rated_A=rated)
    high, idle = find("protection/alternator-cruise").value, find("protection/alternator-idle").value
    told = f"The charger takes {tell(drawn.value, 'A')}, {100 * step.value:.0f} % of an alternator of {tell(rated.value, 'A')}"
    return most(
        step.value,
        high,
        "1",
        good=f"{told}.",
        bad=f"{told}: hot and slow it cannot.",
        remedy="Half rate, or only above a speed.",
        warn_above=idle,
        warn=f"{told}: too much for idling in the heat.",
        steps=(step,),
    )


@rule(
    "charging/alternator-load",
    "F1",
    "Alternator load",
    why="An alternator's label is its current when cold and fast. Hot, at idle, half of that is left and it has other work.",
    severities=("fails", "note"),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each DC-DC charger that an alternator feeds."""
    alternators = study.rig.of_kind("alternator")
    for unit in study.rig.of_kind("dcdc-charger"):
        at = reach(study.graph, (f"{unit.id}.in.+",)).terminals
        feeding = [a for a in alternators if f"{a.id}.+" in at]
        if not feeding:
            yield unit.id, skipped("No alternator of this rig feeds it.")
            continue
        rated, taken = asked(feeding[0].figure("rated")), asked(unit.figure("input_current"))
        drawn = taken.figure
        if drawn is None:
            out, volts, into, eta = (
                asked(unit.figure("output_current")),
                asked(unit.figure("output_voltage")),
                asked(unit.figure("input_voltage_min")),
                known(unit.with_default("efficiency")),
            )
            if out.figure and volts.figure and into.figure and eta:
                step = work(
                    charger_input_A,
                    charge_A=out.figure,
                    charge_V=volts.figure,
                    efficiency_ratio=eta,
                    supply_V=into.figure,
                    power_ratio=1.0,
                )
                drawn = figure(step.value, "A", out.figure.origin, address=out.figure.address)
        if rated.figure is None or drawn is None:
            yield (
                unit.id,
                cannot_tell(
                    "The charger's input or the alternator's rating is not known.",
                    (*rated.missing, *(taken.missing if drawn is None else ())),
                    unit="1",
                    sense="max",
                ),
            )
        else:
            yield unit.id, judge(drawn, rated.figure)
