"""F5: everything that charges or discharges the bank goes through the shunt."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, skipped
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import PHYSICS
from ohmwright.study import Study


@rule(
    "monitor/shunt",
    "F5",
    "Everything through the shunt",
    why="""A counter that misses one wire is wrong a little every hour, and nobody sees it until the rig goes dark at a
        reading of 96 %.""",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """With the shunt taken out, the bank's minus reaches nothing else."""
    if not study.rig.of_kind("shunt"):
        yield "rig", skipped("There is no shunt.")
        return
    wrong = {s.id: lost for s in study.rig.of_kind("shunt") if (lost := _no_bank(study, s))}
    for shunt, names in wrong.items():
        yield (
            shunt,
            cannot_tell(f"It is said to count {', '.join(names)}, which is no bank.", (f"{shunt}.counts",)),
        )
    for subject, judged in from_proof(
        study, "shunt", holds="Nothing goes around the shunt", nothing="It counts no bank.", remedy="Land that conductor on the load side of the shunt.",
    ):  # fmt: skip
        if subject.partition(" ")[0] not in wrong:
            yield subject, judged


def _no_bank(study: Study, shunt: Part) -> tuple[str, ...]:
    """Names that a shunt counts and that are no bank: a proof about them would hold of nothing."""
    known = {b.id for b in banks(study.rig)}
    return tuple(name for name in word(shunt, "counts").split() if name not in known)
