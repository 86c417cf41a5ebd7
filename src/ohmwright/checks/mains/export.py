"""D24: an inverter that works beside the supply must be made for it."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Isolate them, or fit a unit that is listed for working in parallel."


def judge(helps: str, looked: str, asks: str) -> Judgement:
    """One that helps its supply runs in parallel with it; its listing has to be seen."""
    if helps == "no":
        return passes("It either passes the supply through or inverts, never both.")
    if helps == "yes":
        return cannot_tell("It works beside the supply: is it listed for that, and does it let go when the supply fails?", (looked,), remedy=f"Read its certificate, and write it under looked-at. {REMEDY}")  # fmt: skip
    return cannot_tell("Whether it works beside the supply is not known.", (asks,), remedy=REMEDY)


@rule(
    "mains/export",
    "D24",
    "Inverter that can export",
    why="A lineman who has switched the street off is killed by the one camper that still feeds it.",
    severities=("danger",),
    clauses={
        "us": Clause("UL 1741; NFPA 70", "2023", "705", "memory"),
        "eu": Clause("IEC 62109-1; EN 50549-1", "2010; 2019", "interface protection", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter-charger that a supply feeds."""
    units = study.rig.of_kind("inverter-charger")
    if not units or not study.rig.of_kind("supply-post", "generator", "shore-inlet"):
        yield "rig", skipped("No supply stands beside an inverter.")
        return
    for u in units:
        yield (
            u.id,
            judge(
                word(u, "helps_supply") or "unknown", f"looked-at mains/export {u.id}", f"{u.id}.helps_supply"
            ),
        )
