"""A12: what the controller cuts off on clear noons."""

from collections.abc import Iterator

from ohmwright.checks.array.hot_voltage import charging_volts
from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import clipped_ratio, quick_output_A
from ohmwright.physics.sums import in_percent
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work


def judge(output: Figure, array_W: Figure, volts: Figure) -> Judgement:
    """Charging current of a clear noon against the controller's output: how much of a clear day it cuts off."""
    peak = work(quick_output_A, part_ratio=find("pv/quick-output").figure, array_W=array_W, charge_V=volts)
    cut = work(in_percent, part_ratio=work(clipped_ratio, rated_A=output, peak_A=peak))
    told = f"A clear noon brings {tell(peak.value, 'A')}, the controller lets {tell(output.value, 'A')} through: {cut.value:.1f} % of a clear day is cut off, less of a year"
    return most(
        cut.value, 100 * find("pv/clipped-most").value, "%", good=f"{told}.", bad=f"{told}.", remedy="A larger controller, or a second one.",
        warn_above=0.0, steps=(peak, cut), roots=(output,),
    )  # fmt: skip


@rule(
    "array/clipping",
    "A12",
    "Controller output clips the array",
    why="""A controller smaller than its array is often right: the clear noons it cuts off come when the bank is full anyway.
        The owner should know how much.""",
    severities=("disappoints", "note"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each controller with its array."""
    for circuit in pv_circuits(study):
        controller = circuit.controller
        if controller is None:
            yield circuit.name, skipped("No controller is joined to it.")
            continue
        output, volts = asked(controller.figure("output_current")), charging_volts(study, controller.id)
        powers = [asked(m.figure("power")) for s in circuit.strings for m in s.members]
        lost = (
            *output.missing,
            *volts.missing,
            *(a for p in powers if p.figure is None for a in p.missing),
        )
        if output.figure is None or volts.figure is None or any(p.figure is None for p in powers):
            yield (
                controller.id,
                cannot_tell("What the controller cuts off cannot be told.", lost, unit="%", sense="max"),
            )
            continue
        first = next(p.figure for p in powers if p.figure is not None)
        total = sum(p.figure.value for p in powers if p.figure is not None)
        array_W = (
            first if len(powers) == 1 else figure(total, "W", COMPUTED, address=f"power of {circuit.name}")
        )
        yield controller.id, judge(output.figure, array_W, volts.figure)
