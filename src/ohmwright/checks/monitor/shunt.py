"""F5: everything that charges or discharges the bank goes through the shunt."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, skipped
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
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
    yield from from_proof(
        study, "shunt", holds="Nothing goes around the shunt", nothing="It counts no bank.", remedy="Land that conductor on the load side of the shunt.",
    )  # fmt: skip
