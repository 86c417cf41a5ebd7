"""B3: what still runs with one battery out."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.battery.surge import judge as judge_surge
from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import Worst, one_out_cases, peak_of, worst_battery
from ohmwright.checks.stalling import STALL_s, stalls, with_one_out
from ohmwright.circuit.cascade import limit_of
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import Figure, tell

REMEDY = "Say in the papers what may not run with one battery out, or add one."


def judge(worst: Worst | None, rated: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The worst of the rest against its continuous rating."""
    if worst is None or rated is None:
        return cannot_tell("What each battery may give is not known.", missing, unit="A", sense="max")
    told = f"With one battery out, {worst.battery.id} gives {tell(worst.current.value, 'A')}; it may give {tell(rated.value, 'A')}"
    return most(
        worst.current.value,
        rated,
        "A",
        good=f"{told}.",
        bad=f"{told}: it opens next, and the rig is dark.",
        remedy=REMEDY,
        steps=(worst.current,),
        roots=(rated,),
    )


def judge_stall(windlass: str, worst: Worst, peak: Figure | None) -> Judgement:
    """The rest of the bank under a windlass that stalls, against what one battery gives for those seconds."""
    if peak is None:
        return cannot_tell("What a battery gives for seconds is not known.", (f"{worst.battery.id}.discharge_peak",), unit="A", sense="max")  # fmt: skip
    told = f"With one battery out and {windlass} stalled, {worst.battery.id} gives {tell(worst.current.value, 'A')}; it may give {tell(peak.value, 'A')} for {STALL_s:g} s"
    return most(worst.current, peak, "A", good=f"{told}.", bad=f"{told}: it opens, and the boat is dark at anchor.", remedy=REMEDY, steps=(worst.current,))  # fmt: skip


@rule(
    "battery/one-missing",
    "B3",
    "With one battery out",
    why="A battery that has protected itself stays out until somebody looks. The owner meets that limit before he meets you.",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every bank of two or more in parallel with a member out: at its largest load, and with a windlass stalled."""
    for group in banks(study.rig):
        for case in one_out_cases(study, group.id) if group.in_parallel > 1 else ():
            solution = study.solution(case.name)
            if not solution.converged:
                yield group.id, fails("With one battery out the volts collapse.", REMEDY)
                continue
            worst = worst_battery(study, solution)
            if worst is None:
                yield group.id, skipped("No battery gives current in this case.")
            elif case.seconds is None:
                rated = asked(worst.battery.figure("discharge_max"))
                judged = judge(worst, rated.figure, rated.missing)
                stops = next((line for line in solution.story if " stops: " in line), "")
                if stops and judged.verdict == "pass":
                    judged = fails(f"With one battery out {stops}: the rig goes dark at that load.", REMEDY)
                yield group.id, judged
            else:
                peak = peak_of(worst.battery, case.seconds)
                yield (
                    group.id,
                    replace(judge_surge(worst, peak.figure, case.seconds, peak.missing), remedy=REMEDY),
                )
    for stall in stalls(study):
        if stall.bank.in_parallel > 1:
            worst = with_one_out(stall)
            yield (
                stall.bank.id,
                judge_stall(stall.part.id, worst, limit_of(worst.battery, STALL_s, charging=False)),
            )
