"""A29: the frames of an array, and metal of the roof they sit on, are joined to the earthing of the rig."""

from collections.abc import Iterator

from ohmwright.checks.array.touch_voltage import highest, touch
from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.types import Severity
from ohmwright.checks.walk import earthy, reach
from ohmwright.rig.graph import Terminal
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Step, tell

REMEDY = "A bonding conductor from frames, rails and roof metal to the chassis, the common ground or the earth bar, by clips or washers that bite through the coating."


def judge(rules: str, bonded: tuple[str, ...] | bool | None, volts: Step | None, looked: str, on: str = "") -> Judgement:  # fmt: skip
    """`bonded` is the way to the earthing, False for none, None where the file draws no frame; above touch voltage a danger."""
    limit = touch(rules)
    mild = volts is not None and at_most(volts.value, limit.value)
    severity: Severity = "fails" if mild else "danger"
    told = (
        ""
        if volts is None
        else f" {tell(volts.value, 'V', 3)} in the cold stand inside, {tell(limit.value, 'V', 3)} may be touched."
    )
    if bonded is None:
        return cannot_tell(
            f"The file joins the frames of its modules to nothing: are they, their rails and the metal of the roof bonded?{told}",
            (looked,),
            severity=severity,
            remedy=f"Draw it (a metal body, the array on: it, a run with role: earth), or look and write it under looked-at. {REMEDY}",
        )
    if bonded is False:
        return fails(f"Nothing joins {on}, which carries its frames, to the earthing of the rig: one chafed cable makes all of it live.{told}", REMEDY, severity=severity)  # fmt: skip
    way = bonded if isinstance(bonded, tuple) else ()
    return passes(f"Its frames are on {on}, joined to {way[-1] if way else 'the earthing'}.")


@rule(
    "array/frame-bond",
    "A29",
    "Frames and roof metal are bonded",
    why="""A cable that chafes under a clamp puts the string's volts on every frame, rail and roof sheet that touch each other. Bonded,
        the fault has a way and is found; unbonded, somebody on a ladder finds it.""",
    severities=("danger", "fails"),
    clauses={
        "us-cabin": Clause("NFPA 70", "2023", "690.43", "memory"),
        "us-vehicle": Clause("NFPA 70", "2023", "551.56(A), 551.56(D): metal that may become live, roof and exterior; 690.43 as practice", "memory"),
        "us-boat": Clause("ABYC E-11", "2025", "DC grounding system", "memory"),
        "eu-cabin": Clause("IEC 60364-7-712", "2017", "earthing and bonding of array frames", "memory"),
        "eu-vehicle": Clause("IEC 60364-7-721", "2017", "721.411.3.1.2, structural metallic parts; array frames as practice", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "protective bonding", "memory"),
    },
    needs=(EYES,),
)  # fmt: skip
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array by the metal body it is bolted to."""
    circuits = pv_circuits(study)
    if not circuits:
        yield "rig", skipped("No array.")
    worst, _ = highest(study)
    for circuit in circuits:
        yield circuit.name, _one(study, circuit, worst.get(circuit.name))


def _one(study: Study, circuit: PvCircuit, volts: Step | None) -> Judgement:
    inside = (study.graph.elements[n] for n in circuit.elements)
    modules = [study.rig.parts[e.owner] for e in inside if e.role == "array"]
    if modules and all(word(m, "flexible") == "yes" for m in modules):
        return skipped("Its modules are flexible, without a frame.")
    looked = f"looked-at array/frame-bond {circuit.name}"
    array = study.rig.parts.get(circuit.name)
    on = array.words.get("on", "") if array is not None else ""
    return judge(study.rig.job.rules, _way(study, on) if on else None, volts, looked, on)


def _way(study: Study, body: str) -> tuple[str, ...] | bool:
    """How a metal body comes to the earthing by conductors that carry no working current; False where it does not."""
    start = [t for t in (body, f"{body}.PE") if t in study.graph.terminals]
    terminals = study.graph.terminals
    walked = reach(
        study.graph,
        start,
        through=lambda e: e.kind == "conductor" and _bonds(terminals[e.a]) and _bonds(terminals[e.b]),
        stop=lambda t: not _bonds(t),
    )
    ends = sorted(t for t in walked.terminals - set(start) if _earthing(study, study.graph.terminals[t]))
    return walked.path(ends[0]) if ends else False


def _bonds(t: Terminal) -> bool:
    """Protective terminals, earth bars and metal: no working current flows there."""
    return earthy(t) or t.port_role == "earth"


def _earthing(study: Study, t: Terminal) -> bool:
    """An electrode, or where a working conductor is joined to earth; a rack, case or bar that hangs on nothing is none."""
    part = study.rig.parts.get(t.owner)
    if part is not None and part.kind.name == "electrode":
        return True
    return any(_joins_working(study, n) for n in study.graph.at.get(t.id, ()))


def _joins_working(study: Study, element: str) -> bool:
    e = study.graph.elements[element]
    return e.kind == "conductor" and not all(_bonds(study.graph.terminals[x]) for x in (e.a, e.b))
