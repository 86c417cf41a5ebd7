"""D14: two legs of one phase never share a neutral."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/shared-neutral",
    "D14",
    "Shared neutral from one phase",
    why="Two legs half a turn apart cancel in their common neutral; two legs of one phase add up in it, and no breaker watches it.",
    severities=("danger",),
    clauses={"": Clause("NFPA 70", "2023", "710.15", "memory")},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every neutral, in every source state."""
    return from_proof(
        study,
        "shared-neutral",
        holds="No neutral carries the sum of two legs",
        nothing="No panel or load has two legs and a neutral.",
        remedy="Rewire the circuits to one leg each, or feed them half a turn apart; label.",
    )
