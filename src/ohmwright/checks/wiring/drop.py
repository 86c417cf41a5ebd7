"""C3: volts lost between bank and what they are for."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import across, full_cases
from ohmwright.circuit.types import Solution
from ohmwright.physics.drop import drop_ratio
from ohmwright.physics.sums import difference_V
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work

REMEDY = "A larger conductor, or a shorter way."


def judge(lost: Step, limit: Published) -> Judgement:
    """Drop as part of the source's volts against what is allowed for this kind of circuit."""
    told = f"{100 * lost.value:.1f} % of the volts are lost on the way; {100 * limit.value:.0f} % is the limit for this kind of circuit"
    return most(
        100 * lost.value,
        100 * limit.value,
        "%",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=REMEDY,
        steps=(lost,),
        clause=limit.clause,
    )


@rule(
    "wiring/drop",
    "C3",
    "Voltage drop",
    why="Lost volts are heat in the cable, dim lamps, pumps that stall and chargers that think the battery is full.",
    severities=("disappoints",),
    clauses={"": Clause("ABYC E-11", "older", "11.14.2.6; common practice", "secondary")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter at full power, each DC load with all DC loads on, each charger alone."""
    for inverter in study.rig.of_kind("inverter", "inverter-charger"):
        for case in list(full_cases(study, inverter.id))[:1]:
            yield from _one(
                study,
                case.name,
                inverter.id,
                f"{inverter.id}.dc.+",
                f"{inverter.id}.dc.-",
                find("drop/bank-inverter"),
            )
    if "night" in study.cases:
        for load in study.rig.use.loads.values():
            element = next(
                (e for e in study.graph.elements.values() if e.owner == load.id and e.kind == "load"), None
            )
            if (
                element is None
                or study.graph.terminals[element.a].port_role == "ac"
                or study.graph.terminals[element.a].pole in ("L", "L1", "L2")
            ):
                continue
            limit = find("drop/critical" if load.priority == "always" else "drop/other")
            yield from _one(study, "night", load.id, element.a, element.b, limit)
    for case in study.cases.values():
        charger = case.name.removesuffix("-alone")
        part = study.rig.parts.get(charger) if case.name.endswith("-alone") else None
        if part is not None:
            element = next(
                (
                    e
                    for e in study.graph.elements.values()
                    if e.owner == charger and e.kind == "converter" and e.role != "inverter"
                ),
                None,
            )
            if element is not None:
                yield from _one(study, case.name, charger, element.out_a, element.out_b, find("drop/charger"))


def _one(
    study: Study, case: str, subject: str, plus: str, minus: str, limit: Published
) -> Iterator[tuple[str, Judgement]]:
    solution = study.solution(case)
    there, bank = across(solution, plus, minus), bank_V(study, solution, plus)
    if not solution.converged or there is None or bank is None:
        yield subject, skipped(f"It has no solved volts in case {case}.")
        return
    open_ways = [c for c in solution.unsolved if _between(study, c, subject)]
    if open_ways:
        runs = dict.fromkeys(
            f"{study.graph.conductors[c].run}.length" if c in study.graph.conductors else f"{c}.length"
            for c in open_ways
        )
        yield (
            subject,
            cannot_tell(
                "A conductor on its way has no length or size.",
                runs,
                unit="%",
                sense="max",
                limit=100 * limit.value,
            ),
        )
        return
    high, low = max(bank, there), min(bank, there)
    lost = work(difference_V, first_V=figure(high, "V", COMPUTED, address=f"volts at the source in case {case}"), second_V=figure(low, "V", COMPUTED, address=f"volts at {subject} in case {case}"))  # fmt: skip
    yield (
        subject,
        judge(
            work(
                drop_ratio,
                lost_V=lost,
                system_V=figure(high, "V", COMPUTED, address=f"volts at the source in case {case}"),
            ),
            limit,
        ),
    )


def _between(study: Study, conductor: str, subject: str) -> bool:
    """A branch cable or run of the subject itself; other unknown lengths do not touch its drop."""
    run = study.rig.runs.get(
        study.graph.conductors[conductor].run if conductor in study.graph.conductors else conductor
    )
    ends = (run.start, run.stop, run.part_of) if run is not None else ()
    return any(e == subject or e.startswith(f"{subject}.") for e in ends)


def bank_V(study: Study, solution: Solution, like: str) -> float | None:
    """Volts at the posts of the bank nearest in voltage to a terminal's port."""
    found = []
    for bank in banks(study.rig):
        for m in bank.members:
            volts = across(solution, f"{m.id}.+", f"{m.id}.-")
            if volts is not None and volts > 1:
                found.append(volts)
    here = solution.nodes[like].volts if like in solution.nodes else None
    if not found or here is None:
        return None
    near = [v for v in found if 0.6 < here / v < 1.6]
    return max(near) if near else None
