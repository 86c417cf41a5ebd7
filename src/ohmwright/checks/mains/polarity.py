"""D22: breakers open every live conductor where line and neutral may be swapped."""

from collections.abc import Iterator

from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country, host
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

KINDS = ("breaker", "rcbo", "rcd")


def judge(part: Part) -> Judgement:
    """Poles of a device in an AC circuit that a reversible supply feeds."""
    poles = word(part, "poles")
    if part.kind.name == "panel-ac":
        ways = word(part, "way_poles")
        if ways == "2" or word(part, "polarity_lamp") == "yes":
            return passes("Its ways open both poles, or it shows reversed polarity.")
        if ways == "1":
            return fails(
                "Its ways open one pole only, and nothing shows a reversed supply.",
                "Two-pole breakers, or a polarity lamp.",
            )
        return cannot_tell("How many poles its ways open is not known.", (f"{part.id}.way_poles",))
    if poles == "1":
        return fails(
            "It opens one pole only: with a reversed supply the other stays live.", "Fit a two-pole device."
        )
    return passes("It opens all live conductors.")


@rule(
    "mains/polarity",
    "D22",
    "Shore of unknown polarity",
    why="A plug that fits both ways, or a post wired by a gardener, puts the line where the neutral should be.",
    severities=("danger",),
    clauses={
        "us": Clause("ABYC E-11", "2025", "reverse polarity indication", "memory"),
        "eu": Clause("IEC 60364-7-721", "2017", "double-pole protection", "secondary"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """AC devices in eu rules and on boats, where a supply comes by a plug."""
    rules = study.rig.job.rules
    if not study.rig.of_kind("shore-inlet", "supply-post") or (
        country(rules) == "us" and host(rules) != "boat"
    ):
        yield "rig", skipped("No reversible supply feeds it under this rule set.")
        return
    for part in study.rig.of_kind(*KINDS, "panel-ac"):
        if part.kind.name != "breaker" or word(part, "current") == "ac":
            yield part.id, judge(part)
