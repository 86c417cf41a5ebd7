"""C11: what lies on a roof bears sun and rain."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "PV wire, or cable printed sunlight and wet resistant; raise it off the roof."
#: Uses and designations of cable that bears the weather: PV wire, cable for the soil, rubber of IEC 60245-4, USE-2 of UL 854. From memory.
WEATHER = ("pv", "buried", "armoured", "h07rn-f", "use-2")
#: Cable for inside walls: UL 719, IEC 60227. From memory.
INDOORS = ("house", "nm-b", "h05vv-f", "h05v-k")


def judge(use: str, words: tuple[str, ...], asks: str) -> Judgement:
    """By what the cable is sold for; silence cannot be told. The heat of the roof is counted in rule A5."""
    low = {w.lower() for w in words} | {use.lower()}
    if low & set(WEATHER):
        return passes("It is made for sun and rain; the heat of the roof is counted in A5.")
    if low & set(INDOORS):
        return fails("It is made for indoors: the sun splits its sheath within years.", REMEDY)
    return cannot_tell("Whether its sheath bears sun and rain is not written.", (asks,), remedy=REMEDY)


@rule(
    "wiring/rooftop",
    "C11",
    "Rooftop runs",
    why="Sun makes plastic brittle from the outside, where nobody looks, over the cable that cannot be switched off.",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "310.10(D), 690.31(C)", "memory"),
        "eu": Clause("IEC 62548-1", "2023", "cables", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each run that lies on the roof, and each array run that begins outside."""
    done: set[str] = set()
    for c in study.graph.conductors.values():
        run = study.rig.runs.get(c.run)
        if (
            run is None
            or run.part_of
            or c.run in done
            or c.role in ("bond", "earth")
            or not _outside(study, c)
        ):
            continue
        done.add(c.run)
        yield c.run, judge(c.cable.use, c.cable.words, f"{c.run}.cable")
    if not done:
        yield "rig", skipped("No run lies in the sun.")


def _outside(study: Study, c: Conductor) -> bool:
    ways = [study.rig.host.ways[w] for w in c.route if w in study.rig.host.ways]
    if any(w.words.get("rooftop") in ("yes", "true") for w in ways):
        return True
    if not any(c.id in circuit.conductors for circuit in pv_circuits(study)):
        return False
    places = {study.graph.terminals[t].place for t in (c.a, c.b) if t in study.graph.terminals}
    return any(study.rig.host.places[p].regime == "outside" for p in places if p in study.rig.host.places)
