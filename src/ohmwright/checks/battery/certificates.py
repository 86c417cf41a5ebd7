"""B30: battery certificates: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "battery/certificates",
    "B30",
    "Battery certificates",
    why="""A battery without a tested cell has an unknown way of failing.""",
    severities=("danger",),
    clauses={"": Clause("IEC 62619", "2022", "marking; UN 38.3", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "battery/certificates",
        tuple(b.id for b in banks(study.rig)),
        "Does its case carry a cell or battery standard and the transport test?",
        "Refuse it, or get the certificate.",
    )
