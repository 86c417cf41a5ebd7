"""F14: an alternator never loses what takes its current."""

from collections.abc import Iterator

from ohmwright.checks.circuits import bank_of
from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import conducts, reach
from ohmwright.rig.graph import Element
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Give the alternator a battery that nothing can open, a clamp at its terminals, or a regulator that is told first."


def judge(keeper: str, survives: str, *, told_first: bool, looked: str, asks: str) -> Judgement:
    """A battery that stays, an alternator that survives, or a regulator that somebody has seen stop in time."""
    if keeper:
        return passes(f"{keeper} takes its current whatever is opened.")
    if survives == "survives":
        return passes("It survives without a battery.")
    if told_first:
        return cannot_tell("Was it tried that the regulator stops before the battery opens, at full output?", (looked,), remedy=f"Try it (test 31), and write it under looked-at. {REMEDY}")  # fmt: skip
    if survives == "fails":
        return fails("A switch or a battery's own management can take its battery away while it charges: its volts jump to tens of volts.", REMEDY)  # fmt: skip
    return cannot_tell("A switch or a battery's own management can take its battery away while it charges; what it does then is not known.", (asks,), remedy=REMEDY)  # fmt: skip


@rule(
    "charging/load-dump",
    "F14",
    "Alternator that loses its battery",
    why="An alternator at full output whose battery is switched away answers with a surge that kills every device on the bus.",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-13", "2025", "shut-down of charging sources", "secondary"),
        "eu-boat": Clause("ISO 23625", "2025", "shut-down of charging sources", "memory"),
        "": Clause("ISO 16750-2", "2023", "load dump; common practice", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each alternator of this rig."""
    alternators = study.rig.of_kind("alternator")
    if not alternators:
        yield "rig", skipped("No alternator of this rig.")
    for a in alternators:
        outside = word(a, "regulator") == "outside" or bool(study.rig.of_kind("alternator-regulator"))
        yield (
            a.id,
            judge(
                _keeper(study, a),
                word(a, "battery_loss") or "unknown",
                told_first=outside,
                looked=f"looked-at charging/load-dump {a.id}",
                asks=f"{a.id}.battery_loss",
            ),
        )


def _keeper(study: Study, alternator: Part) -> str:
    """A battery without a management of its own that no hand, coil or relay can take from the alternator."""

    def stays(e: Element) -> bool:
        return conducts(e) and not e.when

    way = reach(study.graph, (f"{alternator.id}.+",), through=stays)
    for t in sorted(way.terminals):
        owner = study.graph.terminals[t].owner
        part = study.rig.parts.get(owner)
        if part is None or part.kind.name != "battery" or not t.endswith(".+"):
            continue
        bank = bank_of(study.rig, owner)
        managed = word(part, "bms") not in ("none", "") or (bank is not None and bank.chemistry == "lfp")
        if not managed or (
            word(part, "bms") in ("none", "", "unknown") and part.word("chemistry") not in ("lfp", "unknown")
        ):
            return owner
    return ""
