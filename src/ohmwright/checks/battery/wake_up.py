"""B29: a battery that has cut itself off can be woken by something aboard."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


def judge(told: str, chargers: tuple[str, ...], asks: str) -> Judgement:
    """What its page says wakes it, and what is aboard that charges."""
    if not told or told == "unknown":
        return cannot_tell("What wakes it after it has cut itself off is not known.", (asks,))
    if not chargers:
        return fails(
            f"Its page says: {told}. Nothing aboard charges it.",
            "A charger that wakes it, or a terminal for a jump lead.",
        )
    return passes(f"Its page says: {told}. Aboard: {', '.join(chargers)}.")


@rule(
    "battery/wake-up",
    "B29",
    "Something on board wakes the battery",
    why="A battery that has opened shows no volts, and many a charger waits for volts before it starts.",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that has a management."""
    for bank in banks(study.rig):
        where = word(bank.members[0], "bms") or "unknown"
        if where == "none" or (where == "unknown" and bank.chemistry not in ("lfp", "unknown", "mixed")):
            yield bank.id, skipped("It has no management that could cut it off.")
            continue
        told, asks = _told(study, bank, where)
        yield bank.id, judge(told, tuple(c.id for c in chargers_of(study, bank)), asks)


def _told(study: Study, bank: Bank, where: str) -> tuple[str, str]:
    if where == "outside":
        for p in study.rig.of_kind("bms-outside"):
            if bank.id in word(p, "watches").replace(",", " ").split() and word(p, "wakes"):
                return word(p, "wakes"), ""
    return word(bank.members[0], "recovery"), f"{bank.members[0].id}.recovery"
