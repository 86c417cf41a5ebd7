"""B27: the continuous current as part of the capacity."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import Worst, full_cases, worst_battery
from ohmwright.physics.sums import rate_per_h
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, work


def judge(worst: Worst, capacity: Figure, *, lithium: bool) -> Judgement:
    """Current over capacity of the battery that gives most: 0.5 lithium, 0.2 lead."""
    rate = work(rate_per_h, current_A=worst.current, capacity_Ah=capacity)
    limit = find("batteries/rate-lfp" if lithium else "batteries/rate-lead").value
    told = f"Battery {worst.battery.id} gives {rate.value:.2f} of its capacity an hour at full power; {limit:g} is comfortable"
    return most(
        rate,
        limit,
        "1/h",
        good=f"{told}.",
        bad=f"{told}: it gives less than its label and ages.",
        remedy="More capacity, or a smaller inverter.",
        steps=(rate,),
    )


@rule(
    "battery/rate",
    "B27",
    "Continuous current over capacity",
    why="A label's ampere-hours were measured slowly. Asked for in an hour they are fewer, and the battery's life as well.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter at full power."""
    for inverter in study.rig.of_kind("inverter", "inverter-charger"):
        for case in list(full_cases(study, inverter.id))[:1]:
            solution = study.solution(case.name)
            worst = worst_battery(study, solution) if solution.converged else None
            if worst is None:
                continue
            capacity = asked(worst.battery.figure("capacity"))
            if capacity.figure is None:
                yield (
                    inverter.id,
                    cannot_tell("Its capacity is not known.", capacity.missing, unit="1/h", sense="max"),
                )
            else:
                yield (
                    inverter.id,
                    judge(worst, capacity.figure, lithium=word(worst.battery, "chemistry") == "lfp"),
                )
