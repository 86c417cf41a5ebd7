"""C4: volts left at an inverter while something starts."""

from collections.abc import Iterator

from ohmwright.checks.gather import Asked, asked, setting
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import short_cases
from ohmwright.checks.starting import start_in
from ohmwright.circuit.starts import Start
from ohmwright.circuit.types import Solution
from ohmwright.physics.sums import difference_V, many_V, sum_V
from ohmwright.rig.model import Part
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "Larger cable, more batteries, or a soft start."


def judge(volts: Step, wanted: Step, more: str = "") -> Judgement:
    """Volts at its terminals in the surge against its cut-off and a little more."""
    told = f"In the surge {tell(volts.value, 'V', 4)} are left at its terminals; its cut-off and the spare are {tell(wanted.value, 'V', 4)}"
    return least(volts.value, wanted, "V", good=f"{told}.{more}", bad=f"{told}: it drops out.{more}", remedy=REMEDY, steps=(volts,))  # fmt: skip


@rule(
    "wiring/surge-sag",
    "C4",
    "Voltage left in a surge",
    why="The pump that starts takes the inverter down with it, and the light, and the pump.",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter in the short case that sags most."""
    for part in study.rig.of_kind("inverter", "inverter-charger"):
        yield part.id, _one(study, part)


def cut_off(study: Study, part: Part) -> Asked:
    """The set cut-off of an inverter, else its page's."""
    as_set = setting(study.rig, part.id, "cut-off", "V")
    return as_set if as_set.figure is not None else asked(part.figure("cutoff_voltage"))


def _one(study: Study, part: Part) -> Judgement:
    worst: tuple[Step, str] | None = None
    for case in short_cases(study):
        solution, start = study.solution(case.name), start_in(study, case)
        if not solution.converged or (start is not None and start.inverter == part.id and not start.stands):
            return fails(f"In case {case.name} the volts collapse: there is no steady state.", REMEDY)
        left = _left(part, solution, start)
        if left is not None and (worst is None or left.value < worst[0].value):
            worst = left, _dip(start)
    if worst is None:
        return skipped("Nothing starts in this rig.")
    cut = cut_off(study, part)
    if cut.figure is None:
        return cannot_tell("Its cut-off is not known.", cut.missing, unit="V", sense="min")
    return judge(worst[0], work(sum_V, first_V=cut.figure, second_V=spare(cut.figure)), worst[1])


def _left(part: Part, solution: Solution, start: Start | None) -> Step | None:
    """Volts between its direct-current terminals; of a start of its own as the start tells them."""
    plus, minus = solution.nodes.get(f"{part.id}.dc.+"), solution.nodes.get(f"{part.id}.dc.-")
    if plus is None or minus is None:
        return None
    case = solution.case.name
    whole = start.dc_V + minus.volts if start is not None and start.inverter == part.id and start.dc_V is not None else plus.volts  # fmt: skip
    return work(
        difference_V,
        first_V=figure(whole, "V", COMPUTED, address=f"{part.id}.dc.+ in case {case}"),
        second_V=figure(minus.volts, "V", COMPUTED, address=f"{part.id}.dc.- in case {case}"),
    )


def _dip(start: Start | None) -> str:
    return "" if start is None or start.dip_V is None else f" {start.load} takes {tell(start.dip_V, 'V', 2)} of them when it starts."  # fmt: skip


def spare(cut: Figure) -> Step:
    """Volts above the cut-off, told per 12 V."""
    times = max(1.0, round(cut.value / 12.0))
    return work(many_V, many_count=times, one_V=find("protection/sag-spare").figure)
