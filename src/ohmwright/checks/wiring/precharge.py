"""C17: large inverters at 24 V and above are charged before they are switched."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import first_of, word
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, passes
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure


def judge(
    nominal: Figure | None, power: Figure | None, *, gas: bool, looked: str, missing: tuple[str, ...] = ()
) -> Judgement:
    """At 24 V and 2 kVA or more somebody has to see a precharge; a danger where gas may be."""
    if nominal is None or power is None:
        return cannot_tell("Its voltage or power is not known.", missing, severity="note")
    if not at_least(nominal.value, find("protection/precharge-volts").value) or not at_least(
        power.value, find("protection/precharge-power").value
    ):
        return passes("Small enough to be switched on directly.", roots=(nominal, power))
    return cannot_tell(
        "Is there a precharge resistor or button, and is it on the label?",
        (looked,),
        severity="danger" if gas else "note",
        remedy="A resistor or button; look, and write it under looked-at.",
    )


@rule(
    "wiring/precharge",
    "C17",
    "Precharge of large inverters",
    why="The capacitors of a large inverter take a spark of hundreds of amperes from the switch that first meets them.",
    severities=("danger", "note"),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter."""
    for part in study.rig.of_kind("inverter", "inverter-charger"):
        place = study.rig.host.places.get(part.place)
        vented = any(
            word(m, "vented") == "yes" and m.place == part.place for b in banks(study.rig) for m in b.members
        )
        gas = vented or (
            place is not None and place.words.get("vapour", "none") not in ("none", "unknown", "")
        )
        volts, power = first_of(part, "dc_nominal"), first_of(part, "apparent_power", "power")
        yield (
            part.id,
            judge(
                volts.figure,
                power.figure,
                gas=gas,
                looked=f"looked-at wiring/precharge {part.id}",
                missing=(*volts.missing, *power.missing),
            ),
        )
