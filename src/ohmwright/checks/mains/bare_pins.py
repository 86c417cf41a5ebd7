"""D19: the pins of an inlet and of a cord are dead when nothing is plugged on them."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/bare-pins",
    "D19",
    "Male pins are dead when bare",
    why="""A hand closes around a plug. Whatever path leads from an inverter or generator to bare pins, in any state of any
        relay, ends in that hand.""",
    severities=("danger",),
    clauses={"": Clause("", "", "physics of the graph; practice of IEC 60309", "memory")},
    needs=("proofs",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every inlet and every plug end, in every state in which it is out."""
    return from_proof(
        study, "pins", holds="Bare pins are dead in every state", nothing="No inlet and no plug.",
        remedy="Fit a transfer that opens every pole and a proper inlet; cut up any lead with plugs at both ends.",
    )  # fmt: skip
