"""D15: what watches the supply at the inlet."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, passes, skipped
from ohmwright.checks.mains.polarity import KINDS
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "A guard against surge, swapped poles and an open earth at the inlet."


def judge(guard: str, *, severe: bool, looked: str) -> Judgement:
    """A guard of the rig; else somebody looks, and where one pole only is opened it is a danger."""
    if guard:
        return passes(f"{guard} stands at the inlet.")
    question = (
        "Is there a lamp for swapped poles, and does somebody test polarity and earth before plugging in?"
    )
    return cannot_tell(question, (looked,), severity="danger" if severe else "note", remedy=REMEDY)


@rule(
    "mains/inlet-guard",
    "D15",
    "Polarity and surge guard at the inlet",
    why="A post with swapped poles puts the line where every one-pole breaker leaves it.",
    severities=("danger", "note"),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "reverse polarity indication", "memory"),
        "eu": Clause("IEC 60364-7-721", "2017", "double-pole protection", "secondary"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inlet."""
    inlets = study.rig.of_kind("shore-inlet")
    if not inlets:
        yield "rig", skipped("No inlet.")
    guards = [p.id for p in study.rig.of_kind("surge-protector", "isolation-transformer")]
    single = any(word(p, "poles") == "1" or word(p, "way_poles") == "1" for p in study.rig.of_kind(*KINDS, "panel-ac") if p.kind.name != "breaker" or word(p, "current") == "ac")  # fmt: skip
    for inlet in inlets:
        rules = study.rig.job.rules
        severe = single and (rules == "us-boat" or country(rules) == "eu")
        yield inlet.id, judge(guards[0] if guards else "", severe=severe, looked=f"looked-at mains/inlet-guard {inlet.id}")  # fmt: skip
