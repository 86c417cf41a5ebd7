"""D2: two sources of alternating current never share a live pole."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/sources-meet",
    "D2",
    "Two sources never meet",
    why="""Two sources that meet out of step break each other at once; in step they make a plug whose bare pins are alive.
        The neutral counts: a transfer that leaves it joined leaves them joined.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "702.5", "memory"),
        "": Clause("IEC 60364-5-55", "2011", "551.6", "memory"),
    },
    needs=("proofs",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """In every state that switches, relays and plugs can take."""
    return from_proof(
        study, "sources-meet", holds="No two sources share a pole in any state", nothing="No source of alternating current and no bank.",
        remedy="Fit one break-before-make transfer that moves line and neutral, or interlock the two.",
    )  # fmt: skip
