"""D3: a charger is never fed by the inverter that empties the same bank."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import PHYSICS
from ohmwright.study import Study


@rule(
    "mains/self-charging",
    "D3",
    "Charger behind its own inverter",
    why="A bank that charges itself through its own inverter turns a night's charge into heat by morning.",
    severities=("fails",),
    clauses={"": PHYSICS},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Loops of energy through converters, in every state."""
    return from_proof(
        study, "self-charging", holds="No converter feeds itself in any state", nothing="No converter.", remedy="Feed the charger from the supply side of the transfer.",
    )  # fmt: skip
