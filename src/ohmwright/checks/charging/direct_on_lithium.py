"""F3: no alternator or charger made for lead-acid works straight on a lithium bank."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "charging/direct-on-lithium",
    "F3",
    "Alternator straight on lithium",
    why="""A lithium bank takes all that an alternator can give for as long as it takes to burn it: only cable and bank
        resistance hold it back. A regulator that reads the alternator's temperature, or a charger between them, does.""",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Alternators and chargers whose output meets a bank of another chemistry than they are made for."""
    return from_proof(
        study, "chemistry", holds="Nothing charges a bank it is not made for", nothing="Nothing charges a bank.",
        remedy="Put a DC-DC charger between them, or a regulator that reads the alternator's temperature.",
    )  # fmt: skip
