"""A27: an array on a building in the United States is made dead from outside."""

from collections.abc import Iterator

from ohmwright.checks.circuits import coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.eyes import EYES
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Step, tell

REMEDY = "Switches at the modules, or the array on the ground; initiator and label outside; ask who may say so there."


def judge(volts: Step | None, looked: str, missing: tuple[str, ...] = ()) -> Judgement:
    """Below the limit outside the boundary it is met by itself; above, somebody has to see switches and initiator."""
    outside, inside = find("pv/shutdown-outside"), find("pv/shutdown-inside")
    if volts is None:
        return cannot_tell("Its cold volts are not known.", (*missing, looked), limit=outside.value, unit="V", sense="max", remedy=REMEDY)  # fmt: skip
    if at_most(volts.value, outside.value):
        return most(volts.value, outside.figure, "V", good=f"{tell(volts.value, 'V')} in the cold, below the limit.", bad="", steps=(volts,))  # fmt: skip
    return cannot_tell(
        f"{tell(volts.value, 'V', 3)} in the cold: are its conductors down to {outside.value:g} V outside the array and {inside.value:g} V inside it 30 s after a labelled initiator?",
        (looked,), limit=outside.value, unit="V", sense="max", remedy=REMEDY,
    )  # fmt: skip


@rule(
    "array/rapid-shutdown",
    "A27",
    "Array on a building is made dead",
    why="Firemen cut roofs open. What the sun keeps live under their axe is the owner's array.",
    severities=("danger",),
    sets=("us-cabin",),
    clauses={"us-cabin": Clause("NFPA 70", "2023", "690.12", "secondary")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array circuit of a cabin."""
    low, missing = coldest(study)
    for circuit in pv_circuits(study):
        answers = [cold_voltage(s.modules, low, missing) for s in circuit.strings]
        known = [a.governs for a in answers if a.governs is not None]
        lost = tuple(dict.fromkeys(m for a in answers for m in a.missing))
        volts = max(known, key=lambda s: s.value) if len(known) == len(answers) and known else None
        yield circuit.name, judge(volts, f"looked-at array/rapid-shutdown {circuit.name}", lost)
