"""A24: array connectors of one make: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "array/connectors",
    "A24",
    "Array connectors of one make",
    why="""Connectors of two makes that fit each other do not seal and do not spring alike: they burn years later, on a roof.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 70", "2023", "690.33", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array."""
    return ask(
        "array/connectors",
        tuple(dict.fromkeys(c.name for c in pv_circuits(study))),
        "Are both halves of every connector of one make and type, and out of standing water?",
        "Make both halves of one make.",
    )
