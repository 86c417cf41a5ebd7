"""C2: every end of a conductor that a source can feed has an overcurrent device."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "wiring/source-end",
    "C2",
    "Every source end has a device",
    why="""Any conductor that something can push into has to be protected from that side. A cable between two sources can be
        fed from both ends, and a shorted one is.""",
    severities=("danger",),
    clauses={
        "us-boat": Clause("33 CFR 183", "consolidated text", "183.455(a)", "official"),
        "us": Clause("NFPA 70", "2023", "240.21", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "overcurrent protection", "memory"),
        "eu": Clause("IEC 60364-4-43", "2008", "433, 434", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every source that no device guards on its way."""
    return from_proof(
        study,
        "protection",
        holds="Every source end meets a device",
        nothing="No source of direct current.",
        remedy="Fuse both ends: at the post, and wherever another source can feed it.",
    )
