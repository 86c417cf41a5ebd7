"""A20: air behind a module keeps it cool."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import in_mm
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work


def judge(gap: Figure) -> Judgement:
    """The gap against 25 mm."""
    step = work(in_mm, length_m=gap)
    limit = find("pv/gap-least").value
    told = f"{tell(step.value, '1')} mm of air behind the modules, {tell(limit, '1')} mm wanted"
    return least(
        step.value,
        limit,
        "mm",
        good=f"{told}.",
        bad=f"{told}: they run 15 to 25 K hotter and give 6 to 9 % less.",
        remedy="Spacers.",
        steps=(step,),
    )


@rule(
    "array/gap",
    "A20",
    "Air behind a module",
    why="A module glued flat to a roof cannot lose heat behind: it gives less, ages faster, and its warranty seldom covers it.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array."""
    seen: set[str] = set()
    for circuit in pv_circuits(study):
        if circuit.name in seen or circuit.name not in study.rig.parts:
            continue
        seen.add(circuit.name)
        gap = asked(study.rig.parts[circuit.name].figure("gap"))
        yield (
            circuit.name,
            judge(gap.figure)
            if gap.figure is not None
            else cannot_tell("The gap behind the modules is not known.", gap.missing, unit="mm", sense="min"),
        )
