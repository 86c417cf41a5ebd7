"""B39: no lithium battery without a management that opens it."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A management that watches every cell and opens charge and load by itself."


def judge(where: str, watched: bool, asks: str) -> Judgement:
    """Where the management of a lithium bank is, and for one outside whether a part of the rig is it."""
    if where == "inside":
        return passes("Each battery has its own management.")
    if where == "outside":
        if watched:
            return passes("A management outside watches it.")
        return fails("Its management is said to be outside, and none in the rig watches it.", REMEDY)
    if where == "none":
        return fails("Nothing watches its cells: one that runs ahead is overcharged or reversed, and nobody sees it before the smoke.", REMEDY)  # fmt: skip
    return cannot_tell("Whether anything watches its cells is not known.", (asks,), remedy=REMEDY)


@rule(
    "battery/management",
    "B39",
    "Lithium with a management",
    why="""A charger sees the volts of the whole battery, never those of one cell. The cell that is ahead of its neighbours is
        overcharged with everybody's figures right.""",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-13", "2023", "battery management system", "memory"),
        "eu-boat": Clause("ISO/TS 23625", "2021", "battery management system", "memory"),
        "": Clause("IEC 62619", "2022", "functional requirements: management", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lithium bank."""
    for bank in banks(study.rig):
        yield bank.id, _one(study, bank) if bank.chemistry in ("lfp", "mixed") else skipped("Not lithium.")


def _one(study: Study, bank: Bank) -> Judgement:
    lithium = [m for m in bank.members if word(m, "chemistry") == "lfp"]
    if not lithium:
        return skipped("Not lithium.")
    where = min((word(m, "bms") or "unknown" for m in lithium), key=("none", "unknown", "outside", "inside").index)  # fmt: skip
    watched = any(bank.id in word(p, "watches").replace(",", " ").split() for p in study.rig.of_kind("bms-outside"))  # fmt: skip
    return judge(where, watched, f"{lithium[0].id}.bms")
