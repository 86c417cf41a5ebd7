"""D25: lightning and surge find one common earth."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.walk import reach
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = (
    "Bond frame, plate and equipment to one common earth; surge devices at both ends of a long array run."
)
#: A run of more than this between array and controller wants surge devices at both ends, metres. From memory.
LONG_m = 10.0


def judge(bonded: bool | None, long_run: bool | None, surges: int, looked: str) -> Judgement:
    """The frame on the common earth, and surge devices by the length of the run."""
    if bonded is None:
        return cannot_tell(
            "Is what lightning strikes bonded to the one common earth?", (looked,), remedy=REMEDY
        )
    if not bonded:
        return fails("The array's frame is not joined to the common earth: the stroke finds its own way through the wiring.", REMEDY)  # fmt: skip
    if long_run is None:
        return cannot_tell("How long the array's run is, is not known.", (looked,), remedy=REMEDY)
    wanted = 2 if long_run else 1
    if surges < wanted:
        return fails(f"{surges} surge devices on the array's run, {wanted} wanted.", REMEDY)
    return passes("The frame is on the common earth, with surge devices on its run.")


@rule(
    "mains/lightning",
    "D25",
    "Lightning and surge",
    why="Two earths apart are two ends of a circuit when lightning lifts one of them.",
    severities=("danger",),
    sets=("us-cabin", "eu-cabin", "us-boat", "eu-boat"),
    clauses={
        "us-cabin": Clause("NFPA 70", "2023", "250.50, 690.43", "memory"),
        "eu-cabin": Clause("IEC 62305-3; IEC 60364-7-712", "2010; 2017", "bonding, surge devices", "memory"),
        "": Clause("ISO 10134", "2003", "bonding of the lightning ground", "memory"),
    },
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array of a cabin; a boat as a whole, by eyes."""
    if host(study.rig.job.rules) == "boat":
        yield "rig", judge(None, None, 0, "looked-at mains/lightning rig")
        return
    circuits = pv_circuits(study)
    if not circuits:
        yield "rig", skipped("No array.")
    for circuit in circuits:
        yield circuit.name, _one(study, circuit)


def _one(study: Study, circuit: PvCircuit) -> Judgement:
    looked = f"looked-at mains/lightning {circuit.name}"
    array = study.rig.parts.get(circuit.name)
    frame = array.words.get("on", "") if array is not None else ""
    if not frame:
        return judge(None, None, 0, looked)
    electrodes = {
        t.id
        for t in study.graph.terminals.values()
        if t.owner in {p.id for p in study.rig.of_kind("electrode")}
    }
    metals = [t for t in (frame, f"{frame}.PE") if t in study.graph.terminals]
    way = reach(
        study.graph,
        metals,
        through=lambda e: e.kind == "conductor",
        stop=lambda t: t.pole in ("+", "-", "L", "L1", "L2", "N"),
    )
    surges = sum(
        1 for p in study.rig.parts.values() if p.kind.name.startswith("surge") and _on(study, circuit, p.id)
    )  # fmt: skip
    lengths = [
        study.graph.conductors[n].length_m
        for n in circuit.conductors
        if study.graph.conductors[n].pole == "+"
    ]
    long_run = (
        None
        if any(x is None for x in lengths)
        else not at_most(sum(x for x in lengths if x is not None), LONG_m)
    )
    return judge(bool(way.terminals & electrodes), long_run, surges, looked)


def _on(study: Study, circuit: PvCircuit, part: str) -> bool:
    terminals = {t.id for t in study.graph.terminals.values() if t.owner == part and t.pole in ("+", "-")}
    ends = {x for n in circuit.conductors for x in (study.graph.conductors[n].a, study.graph.conductors[n].b)}
    return bool(terminals & ends)
