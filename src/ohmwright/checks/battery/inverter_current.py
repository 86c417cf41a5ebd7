"""B1: an inverter at full power, on the battery that carries the most."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import Worst, full_cases, worst_battery
from ohmwright.physics.sums import part_A
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work

REMEDY = "More batteries, a higher bank voltage, equal paths, or limit the inverter in its settings."


def judge(worst: Worst | None, rated: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The worst battery's current against 0.8 of what it may give for ever."""
    if worst is None or rated is None:
        return cannot_tell("What each battery may give is not known.", missing, unit="A", sense="max")
    limit = work(part_A, part_ratio=find("batteries/inverter-part").figure, rated_A=rated)
    told = f"Battery {worst.battery.id} gives {tell(worst.current.value, 'A')} at full power; {tell(limit.value, 'A')} is 80 % of its continuous rating"
    return most(
        worst.current.value,
        limit,
        "A",
        good=f"{told}.",
        bad=f"{told}: it opens on a warm day, and the others follow.",
        remedy=REMEDY,
        steps=(limit, worst.current),
        roots=(rated,),
    )


@rule(
    "battery/inverter-current",
    "B1",
    "Inverter current on the worst battery",
    why="""The bank's rating is not the sum of its batteries' when they do not share: the one nearest to the take-off opens
        first, and then the rest carry its part too.""",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter's case at full power, at its cut-off voltage."""
    for inverter in study.rig.of_kind("inverter", "inverter-charger"):
        cases = list(full_cases(study, inverter.id))
        if not cases:
            yield (
                inverter.id,
                cannot_tell(
                    "Its continuous power is not known.", (f"{inverter.id}.power",), unit="A", sense="max"
                ),
            )
        for case in cases[:1]:
            solution = study.solution(case.name)
            if not solution.converged:
                yield (
                    inverter.id,
                    fails(
                        f"At full power the volts collapse: there is no steady state in case {case.name}.",
                        REMEDY,
                    ),
                )
                continue
            stops = next((line for line in solution.story if " stops: " in line), "")
            if stops:
                yield inverter.id, fails(f"At full power {stops}.".replace("..", "."), REMEDY)
                continue
            worst = worst_battery(study, solution)
            rated = asked(worst.battery.figure("discharge_max")) if worst else None
            if worst is None:
                yield inverter.id, skipped("No battery gives current in this case.")
            else:
                yield (
                    inverter.id,
                    judge(worst, rated.figure if rated else None, rated.missing if rated else ()),
                )
