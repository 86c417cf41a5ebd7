"""C12: current does not come home through the frame."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "wiring/frame-return",
    "C12",
    "Frame as return",
    why="""The resistance of a frame is whatever its rust and rivets are today. A return through it heats where nobody looks,
        and in a boat it eats metal.""",
    severities=("danger",),
    sets=("us-vehicle", "us-boat", "eu-vehicle", "eu-boat"),
    clauses={
        "us-boat": Clause(
            "ABYC E-11",
            "2025",
            "two-conductor DC systems; engine block as return of its own equipment",
            "memory",
        ),
        "eu-boat": Clause("ISO 13297", "2020", "fully insulated two-conductor DC systems", "memory"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Loads and converters whose only return is a metal body or an earth conductor."""
    return from_proof(
        study, "frame-return", holds="Every current has a conductor home", nothing="No load and no converter.", remedy="Lay a full-size negative.",
    )  # fmt: skip
