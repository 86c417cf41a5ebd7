"""B20: batteries of one bank are alike."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure

REMEDY = "Make separate banks, with a DC-DC charger between."


def judge(members: tuple[Part, ...]) -> Judgement:
    """Chemistry, record and capacity of all members."""
    if len(members) < 2:
        return skipped("One battery.")
    chemistries = sorted({word(m, "chemistry") or "unknown" for m in members})
    if "unknown" in chemistries and len(chemistries) > 1:
        asks = (f"{m.id}.chemistry" for m in members if (word(m, "chemistry") or "unknown") == "unknown")
        return cannot_tell("The chemistry of one of its batteries is not known.", asks, remedy=REMEDY)
    if len(chemistries) > 1:
        return fails(
            f"{' and '.join(chemistries)} in direct parallel: neither can be charged as it needs.",
            REMEDY,
            severity="danger",
        )
    capacities = {f.value for m in members if isinstance(f := m.figure("capacity"), Figure)}
    if len({m.record.id for m in members}) > 1 or len(capacities) > 1:
        return fails(
            "Its batteries are not alike: the weaker one sets the end of every charge and discharge.",
            REMEDY,
            severity="fails",
        )
    return passes(f"{len(members)} equal batteries.")


@rule(
    "battery/mixed",
    "B20",
    "Mixed batteries in one bank",
    why="Batteries that differ in chemistry, make, age or size work against each other, and the bank is as good as the worst of them.",
    severities=("danger", "fails"),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank."""
    return ((b.id, judge(b.members)) for b in banks(study.rig))
