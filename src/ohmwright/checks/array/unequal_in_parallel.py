"""A15: strings in parallel whose power points differ."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import apart_percent
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, work


def judge(volts: tuple[float, ...]) -> Judgement:
    """Spread of the strings' power-point volts as part of the largest."""
    high, low = (
        figure(v, "V", COMPUTED, address=f"{w} string at its power point")
        for v, w in ((max(volts), "highest"), (min(volts), "lowest"))
    )
    spread = work(apart_percent, high_V=high, low_V=low)
    told = f"Parallel strings differ by {spread.value:.1f} % in volts"
    return most(
        spread,
        100 * find("pv/unequal-parallel").value,
        "%",
        good=f"{told}.",
        bad=f"{told}: the lower one drags the other down.",
        remedy="Give each its own controller.",
    )


@rule(
    "array/unequal-in-parallel",
    "A15",
    "Unequal modules in parallel",
    why="Parallel strings meet at one voltage; the string made for another works beside its power point all day.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each circuit of two or more strings."""
    for circuit in pv_circuits(study):
        if circuit.parallel < 2:
            yield circuit.name, skipped("One string only.")
            continue
        each = [[asked(m.figure("max_power_voltage")) for m in s.members] for s in circuit.strings]
        lost = tuple(a for s in each for v in s if v.figure is None for a in v.missing)
        sums = tuple(sum(v.figure.value for v in s if v.figure is not None) for s in each)
        yield (
            circuit.name,
            cannot_tell("A module's power point is not known.", lost, unit="%", sense="max")
            if lost
            else judge(sums),
        )
