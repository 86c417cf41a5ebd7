"""E3: nothing that sparks shares a closed space with gas."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sparks import AIRY, gives_gas, sparking_in
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Separate them, or fit devices that are proved for such a space."
GASES = ("lp-gas", "hydrogen")


def judge(gas: str, closed: bool, sparking: tuple[str, ...], asks: str) -> Judgement:
    """What gathers in a space, whether it is closed, and what sparks in it."""
    if gas == "unknown":
        return cannot_tell(
            "Whether gas may gather there is not known.",
            (asks,),
            remedy="Look, and write vapour: at the place.",
        )
    if not gas:
        return passes("No gas gathers there.")
    if not sparking:
        return passes(f"Nothing in the space where {gas} may gather makes sparks.")
    if not closed:
        return passes(f"{gas} may come there, in moving air; the distance is rule E16's.")
    return fails(f"{', '.join(sparking)}: makes sparks in the space where {gas} may gather.", REMEDY)


@rule(
    "place/spark-source",
    "E3",
    "Spark sources beside gas or vented batteries",
    why="Gas gathers where it cannot leave, and waits for the first relay.",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 1192", "2021", "gas and batteries", "memory"),
        "eu": Clause("EN 1949", "2021", "gas installations", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each place that holds gas by the file, or a vented battery."""
    gassy: dict[str, str] = {}
    for place in study.rig.host.places.values():
        vapour = place.words.get("vapour", "")
        if vapour in (*GASES, "unknown"):
            gassy[place.id] = vapour
    for bank in banks(study.rig):
        place_id = bank.group.place or bank.members[0].place
        if gives_gas(bank) and place_id:
            gassy[place_id] = "hydrogen"
    if not gassy:
        yield "rig", skipped("No place holds gas or a vented battery.")
    for name, gas in sorted(gassy.items()):
        known = study.rig.host.places.get(name)
        closed = known is None or known.regime not in AIRY
        yield (
            f"host.{name}",
            judge(gas, closed, tuple(p.id for p in sparking_in(study, name)), f"host.places.{name}.vapour"),
        )
