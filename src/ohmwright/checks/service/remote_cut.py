"""F13: an emergency cut leaves live only what it names."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "service/remote-cut",
    "F13",
    "An emergency cut leaves live only what it names",
    why="A remote switch that takes its coil's supply from behind itself, or an inverter that hangs before it, leaves the rig live when the label says dead.",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-13", "2025", "remote battery switches", "secondary"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every cut of the file, with all outside sources off."""
    return from_proof(
        study,
        "cuts",
        holds="The cut leaves live only what it names",
        nothing="No emergency cut is in the file (cuts:).",
        remedy="Move the coil or the part behind the cut, or name it as live.",
    )
