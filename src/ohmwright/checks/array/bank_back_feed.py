"""A26: battery current that can flow back to the array meets a device on the way."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "array/bank-back-feed",
    "A26",
    "Bank can feed back into the array",
    why="""A controller that only switches, or one that has failed shut, lets the bank push its whole fault current into
        cables made for ten amperes.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 70", "2023", "690.9", "memory")},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Array and bank on one set of terminals, in any state."""
    return from_proof(
        study, "array-backfeed", holds="No closed contact joins bank and array", nothing="No array.", remedy="Fuse the controller at the bank for its smallest cable, and get the maker's word on back-feed.",
    )  # fmt: skip
