"""What rules read of a start: the network's own answer for a load that starts hard."""

from ohmwright.checks.circuits import bank_of
from ohmwright.checks.solved import Worst
from ohmwright.circuit.starts import Start
from ohmwright.circuit.types import Case
from ohmwright.physics.sums import share_A
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, work

STARTS = "-starts"


def start_in(study: Study, case: Case) -> Start | None:
    """The start that a case is made for; None for a case of the file, a windlass or an engine's starter."""
    return study.starts.get(case.name.removesuffix(STARTS)) if case.name.endswith(STARTS) else None


def battery_in(study: Study, start: Start) -> Worst | None:
    """The battery that carries the most of a start, and its part of its bank's current."""
    part, bank = study.rig.parts.get(start.battery), bank_of(study.rig, start.battery)
    if part is None or bank is None or not start.battery_A or start.battery_A <= 0:
        return None
    answers = study.solution(f"{start.load}{STARTS}").batteries
    total = -sum(answers[m.id].current_A for m in bank.members if m.id in answers)
    step = work(
        share_A,
        share_ratio=figure(start.battery_A / total, "1", COMPUTED, address=f"share of {part.id}"),
        total_A=figure(total, "A", COMPUTED, address=f"current of {bank.id} while {start.load} starts"),
    )
    return Worst(part, bank, step)
