"""D16: the wave of a small generator and the charger that has to accept it."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A generator with an inverter, or a wider window in the charger's settings."


def judge(regulation: str, looked: str, asks: str) -> Judgement:
    """By what makes its voltage: an inverter's is steady, a capacitor's is not, a regulator's somebody has to try."""
    if regulation == "inverter":
        return passes("Its own inverter makes a steady wave.")
    if regulation == "capacitor":
        return fails(
            "A capacitor sets its voltage: it swings with every load, and the transfer drops out.", REMEDY
        )
    if regulation == "avr":
        return cannot_tell("Did the inverter-charger take it at a quarter and at full load?", (looked,), remedy=f"Try it, and write it under looked-at. {REMEDY}")  # fmt: skip
    return cannot_tell("What makes its voltage is not known.", (asks,), remedy=REMEDY)


@rule(
    "mains/generator-wave",
    "D16",
    "Wave of a small generator",
    why="A transfer that sees a ragged wave opens, the generator speeds up, the transfer closes, and so on all night.",
    severities=("fails",),
    clauses={"": Clause("", "", "the makers' pages", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each generator that feeds a charger."""
    generators: tuple[Part, ...] = study.rig.of_kind("generator")
    if not generators or not study.rig.of_kind("inverter-charger"):
        yield "rig", skipped("No generator feeds a charger.")
        return
    for g in generators:
        yield g.id, judge(word(g, "regulation") or "unknown", f"looked-at mains/generator-wave {g.id}", f"{g.id}.regulation")  # fmt: skip
