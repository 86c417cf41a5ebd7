"""D23: what a boat leaks into the water it lies in."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure

REMEDY = "Find the load that leaks, or fit an isolation transformer."


def judge(leak_mA: float | None, looked: str) -> Judgement:
    """Leakage of the whole boat on shore, each load in turn: above 10 mA a note, above 30 mA it may kill a swimmer."""
    warn, limit = find("alternating/leakage-warn").value, find("alternating/leakage-fails").value
    if leak_mA is None:
        return cannot_tell(f"Was the leakage of the whole boat read on shore with each load in turn, at most {warn:g} mA?", (looked,), limit=limit, unit="mA", sense="max", remedy="Clamp the shore cord; write it under looked-at.")  # fmt: skip
    told = f"{leak_mA:g} mA leak to earth"
    return most(leak_mA, limit, "mA", good=f"{told}.", bad=f"{told}: in fresh water that can stop a swimmer.", remedy=REMEDY, warn_above=warn, warn=f"{told}: look for the load.")  # fmt: skip


@rule(
    "mains/boat-leakage",
    "D23",
    "Leakage of a boat in fresh water",
    why="In fresh water a body conducts better than the water around it. Thirty milliamperes paralyse, and the swimmer drowns.",
    severities=("danger",),
    sets=("us-boat", "eu-boat"),
    clauses={"": Clause("ABYC E-11", "2025", "shore leakage; limits common practice", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each boat that takes shore power, by a reading of host.masses.leakage where there is one."""
    if not study.rig.of_kind("shore-inlet"):
        yield "rig", skipped("It takes no shore power.")
        return
    given = study.rig.host.masses.get("leakage")
    if isinstance(given, Figure):
        yield "rig", judge(1000 * given.value, "")
    else:
        yield "rig", judge(None, "looked-at mains/boat-leakage rig")
