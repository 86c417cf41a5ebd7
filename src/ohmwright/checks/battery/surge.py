"""B2: a start or surge, on the battery that carries the most."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import Worst, peak_of, short_cases, worst_battery
from ohmwright.checks.stalling import STALL_s, stalls
from ohmwright.checks.starting import battery_in, start_in
from ohmwright.circuit.cascade import limit_of
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import Figure, tell

REMEDY = "A soft starter, or more batteries that share equally."


def judge(
    worst: Worst | None, peak: Figure | None, seconds: float, missing: tuple[str, ...] = ()
) -> Judgement:
    """The worst battery's current against what one battery gives for that time."""
    if worst is None or peak is None:
        return cannot_tell(
            "What a battery gives for these seconds is not known.", missing, unit="A", sense="max"
        )
    told = f"Battery {worst.battery.id} gives {tell(worst.current.value, 'A')} for {seconds:g} s; it may give {tell(peak.value, 'A')} for that time"
    return most(
        worst.current.value,
        peak,
        "A",
        good=f"{told}.",
        bad=f"{told}: it opens.",
        remedy=REMEDY,
        steps=(worst.current,),
        roots=(peak,),
    )


@rule(
    "battery/surge",
    "B2",
    "Surge on the worst battery",
    why="A peak rating holds for the seconds printed beside it, for one battery, and the bank does not share a surge equally.",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every case that lasts seconds, and every windlass that stalls."""
    for case in short_cases(study):
        start = start_in(study, case)
        solution = study.solution(case.name)
        if not solution.converged or (start is not None and not start.stands):
            yield case.name, fails("The volts collapse in this surge: there is no steady state.", REMEDY)
            continue
        worst = battery_in(study, start) if start is not None else worst_battery(study, solution)
        if worst is None:
            yield case.name, skipped("No battery gives current in this case.")
            continue
        if start is not None:
            limit = limit_of(worst.battery, start.seconds, charging=False)
            yield case.name, judge(worst, limit, start.seconds, (f"{worst.battery.id}.discharge_peak",))
            continue
        starts_engine = any(
            load in study.rig.parts and study.rig.parts[load].kind.name == "starter" for load in case.loads_W
        )
        cranking = asked(worst.battery.figure("cranking"))
        peak = (
            cranking
            if starts_engine and cranking.figure is not None
            else peak_of(worst.battery, case.seconds or 0.0)
        )
        yield case.name, judge(worst, peak.figure, case.seconds or 0.0, peak.missing)
    for stall in stalls(study):
        limit = limit_of(stall.worst.battery, STALL_s, charging=False)
        yield f"{stall.part.id}-stalls", judge(stall.worst, limit, STALL_s, (f"{stall.worst.battery.id}.discharge_peak",))  # fmt: skip
