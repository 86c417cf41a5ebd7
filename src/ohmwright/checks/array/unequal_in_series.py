"""A14: unequal modules in series."""

from collections.abc import Iterator, Sequence

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import series_loss_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, work


def judge(modules: Sequence[tuple[Figure, Figure]]) -> Judgement:
    """(volts, amperes) at the power point of each module; a module that cannot carry the current is bypassed."""
    best = max(
        amps.value * sum(v.value for v, a in modules if a.value >= amps.value * (1 - 1e-9))
        for _, amps in modules
    )
    total = sum(v.value * a.value for v, a in modules)
    loss = work(
        series_loss_ratio,
        best_W=figure(best, "W", COMPUTED, address="best of the bypass combinations"),
        sum_W=figure(total, "W", COMPUTED, address="sum of the modules"),
    )
    limit = find("pv/unequal-series").value
    told = f"Modules in series that differ give away {100 * loss.value:.1f} %"
    return most(100 * loss.value, 100 * limit, "%", good=f"{told}.", bad=f"{told}.", remedy="Group modules by their current, or give the odd one its own controller.", steps=(loss,), roots=tuple(f for pair in modules for f in pair))  # fmt: skip


@rule(
    "array/unequal-in-series",
    "A14",
    "Unequal modules in series",
    why="In a string the weakest module sets the current, or is bypassed and gives nothing at all.",
    severities=("disappoints",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string of two or more."""
    for circuit in pv_circuits(study):
        for string in circuit.strings:
            if len({m.record.id for m in string.members}) < 2:
                yield string.id, skipped("Its modules are equal.")
                continue
            pairs = [
                (asked(m.figure("max_power_voltage")), asked(m.figure("max_power_current")))
                for m in string.members
            ]
            lost = tuple(a for pair in pairs for x in pair if x.figure is None for a in x.missing)
            known = [(v.figure, a.figure) for v, a in pairs if v.figure is not None and a.figure is not None]
            yield (
                string.id,
                cannot_tell("A module's power point is not known.", lost, unit="%", sense="max")
                if lost
                else judge(known),
            )
