"""F6: the shunt carries what flows through it for hours."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import part_A
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work


def judge(current: Figure, rated: Figure) -> Judgement:
    """The largest continuous current against two thirds of the rating."""
    limit = work(part_A, part_ratio=find("protection/shunt-part").figure, rated_A=rated)
    told = f"Up to {tell(current.value, 'A')} for hours through a shunt of {tell(rated.value, 'A')}; {tell(limit.value, 'A')} is what it bears without airflow"
    return most(
        current.value,
        limit,
        "A",
        good=f"{told}.",
        bad=f"{told}: it reads wrong when hot.",
        remedy="A larger shunt.",
        steps=(limit,),
        roots=(current, rated),
    )


def judge_surge(current: Figure, rated: Figure, seconds: float) -> Judgement:
    """A current of seconds against the rating itself."""
    told = f"Up to {tell(current.value, 'A')} for {seconds:g} s through a shunt of {tell(rated.value, 'A')}"
    return most(
        current, rated, "A", good=f"{told}.", bad=f"{told}: its solder lets go.", remedy="A larger shunt."
    )


@rule(
    "monitor/shunt-rating",
    "F6",
    "Shunt rating",
    why="A shunt's number is what it drops its millivolts at, for a moment. For hours, in a box, it bears two thirds.",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each shunt over every case that lasts, and over those of seconds."""
    for shunt in study.rig.of_kind("shunt"):
        rated = asked(shunt.figure("rated"))
        element = next(
            (e.id for e in study.graph.elements.values() if e.owner == shunt.id and e.role == "shunt"), ""
        )
        worst, where = 0.0, ""
        short, seconds, surge = 0.0, 0.0, ""
        for case in study.cases.values():
            solution = study.solution(case.name)
            amps = abs(solution.elements_A.get(element, 0.0)) if solution.converged else 0.0
            if case.seconds is not None and amps > short:
                short, seconds, surge = amps, case.seconds, case.name
            elif case.seconds is None and not case.missing and amps > worst:
                worst, where = amps, case.name
        if rated.figure is None:
            yield shunt.id, cannot_tell("Its rating is not known.", rated.missing, unit="A", sense="max")
        elif worst <= 0:
            yield shunt.id, skipped("No case sends a current through it.")
        else:
            yield (
                shunt.id,
                judge(
                    figure(worst, "A", COMPUTED, address=f"current of {shunt.id} in case {where}"),
                    rated.figure,
                ),
            )
        if rated.figure is not None and short > 0:
            through = figure(short, "A", COMPUTED, address=f"current of {shunt.id} in case {surge}")
            yield shunt.id, judge_surge(through, rated.figure, seconds)
