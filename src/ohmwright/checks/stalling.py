"""What a windlass that stalls asks of its bank: its current is the motor's, whatever the volts."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.circuits import Bank, bank_of
from ohmwright.checks.gather import asked
from ohmwright.checks.solved import Worst, worst_battery
from ohmwright.physics.sums import difference_A, share_A, sum_A
from ohmwright.rig.model import Part
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work

#: Seconds until somebody lets go of the button or its breaker opens.
STALL_s = 5.0


@dataclass(frozen=True, slots=True)
class Stall:
    """A windlass that stalls, and the whole current that its bank then gives."""

    part: Part
    bank: Bank
    worst: Worst
    total: Step


def stalls(study: Study) -> Iterator[Stall]:
    """Every windlass whose stall current is known, in the case that it works: its share stays as it is."""
    for part in study.rig.of_kind("windlass"):
        stall = asked(part.figure("stall_current")).figure
        case = study.cases.get(f"{part.id}-works")
        if stall is None or case is None:
            continue
        solution = study.solution(case.name)
        worst = worst_battery(study, solution) if solution.converged else None
        bank = bank_of(study.rig, worst.battery.id) if worst is not None else None
        element = next(
            (e.id for e in study.graph.elements.values() if e.owner == part.id and e.kind == "load"), ""
        )
        if worst is None or bank is None or element not in solution.elements_A:
            continue
        given = -sum(solution.batteries[m.id].current_A for m in bank.members if m.id in solution.batteries)
        others = work(
            difference_A,
            first_A=figure(given, "A", COMPUTED, address=f"current of {bank.id} in case {case.name}"),
            second_A=figure(abs(solution.elements_A[element]), "A", COMPUTED, address=f"current of {part.id} in case {case.name}"),
        )  # fmt: skip
        total = work(sum_A, first_A=others, second_A=stall)
        share = -solution.batteries[worst.battery.id].current_A / given
        one = work(
            share_A,
            share_ratio=figure(share, "1", COMPUTED, address=f"share of {worst.battery.id}"),
            total_A=total,
        )
        yield Stall(part, bank, Worst(worst.battery, bank, one), total)


def with_one_out(stall: Stall) -> Worst:
    """The same with one battery of the bank out: the rest share alike."""
    rest = stall.bank.in_parallel - 1
    step = work(
        share_A,
        share_ratio=figure(1 / rest, "1", COMPUTED, address=f"share of each of {rest}"),
        total_A=stall.total,
    )
    return Worst(stall.worst.battery, stall.bank, step)
