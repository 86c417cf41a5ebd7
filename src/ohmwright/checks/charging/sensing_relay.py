"""F2: a voltage-sensing relay between an alternator and lithium."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.islands import around, banks_at
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Replace it by a DC-DC charger."


def judge(*, lithium: bool | None, variable: bool, asks: tuple[str, ...] = ()) -> Judgement:
    """A relay on a lithium bank, or on an alternator whose voltage moves."""
    if lithium:
        return fails(
            "A relay joins the alternator to a lithium bank: nothing limits the current, and the relay never opens.",
            REMEDY,
        )
    if lithium is None:
        return cannot_tell("The chemistry of a bank on it is not known.", asks, remedy=REMEDY)
    if variable:
        return fails(
            "Its alternator's voltage moves with the driving: the relay chatters, and the bank is never full.",
            REMEDY,
        )
    return passes("Lead-acid on both sides, and a steady alternator.")


@rule(
    "charging/sensing-relay",
    "F2",
    "Voltage-sensing relay on lithium",
    why="A relay that closes on voltage was made for two batteries of one kind and an alternator that holds still.",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each voltage-sensing relay."""
    relays = study.rig.of_kind("voltage-sensing-relay")
    if not relays:
        yield "rig", skipped("No voltage-sensing relay.")
    for relay in relays:
        at = banks_at(study, around(study, relay.id).terminals)
        variable = any(word(a, "regulator") == "variable-voltage" for a in study.rig.of_kind("alternator"))
        known = any(b.chemistry in ("lfp", "mixed") for b in at) or (
            None if any(b.chemistry == "unknown" for b in at) else False
        )
        asks = tuple(f"{m.id}.chemistry" for b in at if b.chemistry == "unknown" for m in b.members)
        yield relay.id, judge(lithium=known, variable=variable, asks=asks)
