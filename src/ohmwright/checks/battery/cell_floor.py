"""B35: a lithium cell that was found below its floor is not charged again."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study


@rule(
    "battery/cell-floor",
    "B35",
    "Lithium cell below its floor",
    why="Below two volts copper goes into solution. Charged again it grows through the separator, and the cell burns weeks later.",
    severities=("danger",),
    clauses={"": Clause("", "", "the maker's page; common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lithium bank of a rig as it was found."""
    found = study.rig.job.stage == "as found"
    for bank in banks(study.rig):
        if bank.chemistry not in ("lfp", "unknown", "mixed"):
            yield bank.id, skipped("Not lithium.")
        elif not found:
            yield bank.id, skipped("New batteries: nobody has found them empty.")
        else:
            yield from ask(
                "battery/cell-floor",
                (bank.id,),
                f"Was every cell read above {find('batteries/lfp-floor').value:g} V, or the maker's floor, before any charge?",
                "Below it: condemn, keep outdoors away from people, do not charge.",
            )
