"""B15: batteries in parallel do not share evenly."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.circuit.types import Solution
from ohmwright.physics.sums import over_mean_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, work

REMEDY = "Take plus and minus off at opposite ends (up to four), or lead each battery to solid bars by equal cables."


def judge(share: Step, battery: str) -> Judgement:
    """The largest current over the mean: 1.15 fails, 1.07 is a note."""
    told = f"{battery} carries {share.value:.2f} times the mean"
    return most(
        share.value, find("batteries/share-fails").value, "1", good=f"{told}.", bad=f"{told}: it ages first, and opens first.", remedy=REMEDY,
        warn_above=find("batteries/share-note").value, warn=f"{told}.", steps=(share,),
    )  # fmt: skip


@rule(
    "battery/sharing",
    "B15",
    "Parallel batteries share the current",
    why="The battery nearest to the take-off does the work, in every hour of its life, and the others watch it die.",
    severities=("fails", "note"),
    clauses={"": PHYSICS},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank in parallel, in the case that asks most of it with every battery there."""
    for bank in banks(study.rig):
        if bank.in_parallel < 2:
            yield bank.id, skipped("Its batteries are not in parallel.")
            continue
        ids = {m.id for m in bank.members}
        best: tuple[float, Solution] | None = None
        for case in study.cases.values():
            solution = study.solution(case.name)
            if solution.converged and not case.missing:
                total = abs(sum(a.current_A for b, a in solution.batteries.items() if b in ids))
                best = (total, solution) if best is None or total > best[0] else best
        answers = {} if best is None else {b: a for b, a in best[1].batteries.items() if b in ids}
        unknown = tuple(
            f"{m.id}.resistance" for m in bank.members if not isinstance(m.figure("resistance"), Figure)
        )
        if unknown:
            yield bank.id, cannot_tell("How it shares is not known.", unknown, unit="1", sense="max")
        elif best is None or not answers or best[0] <= 0 or any(a.share is None for a in answers.values()):
            yield bank.id, skipped("No case loads it.")
        else:
            name, worst = max(answers.items(), key=lambda x: x[1].share or 0.0)
            step = work(
                over_mean_ratio,
                share_ratio=figure(
                    worst.share or 0.0, "1", COMPUTED, address=f"share of {name} in case {best[1].case.name}"
                ),
                many_count=float(bank.in_parallel),
            )
            yield bank.id, judge(step, name)
