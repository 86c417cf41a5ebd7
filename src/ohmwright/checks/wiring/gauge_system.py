"""C21: cable sold by SAE gauge holds less metal than the AWG of that number."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.standards.wire import awg_area_mm2
from ohmwright.study import Study


def judge(size: str, area_mm2: float) -> Judgement:
    """The area that is counted, beside what the number would promise as AWG."""
    awg = awg_area_mm2(size)
    less = f", {100 * (1 - area_mm2 / awg):.0f} % less than AWG {size}" if awg else ""
    return passes(
        f"SAE {size} is counted with its own {area_mm2:.2f} mm²{less}; every ampacity takes the row below."
    )


@rule(
    "wiring/gauge-system",
    "C21",
    "Gauge sizes with their system",
    why="Vehicle cable of the same number is 3 to 12 % thinner. Tables are for the other kind.",
    severities=("danger",),
    clauses={
        "": Clause(
            "SAE J1127/J1128", "2015", "least conductor areas by size; edition from memory", "secondary"
        )
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each run of SAE cable; a size without its system is refused when the file is read."""
    found = [r for r in study.rig.runs.values() if r.cable.system == "SAE" and r.cable.area_mm2 is not None]
    for run in found:
        yield run.id, judge(run.cable.size, run.cable.area_mm2 or 0.0)
    if not found:
        yield "rig", passes("No cable by SAE gauge.")
