"""D26: a surge device stands between the poles it is made for and an earth that takes its current."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.standards.types import Clause
from ohmwright.study import Study


@rule(
    "mains/surge-works",
    "D26",
    "Surge devices stand where they can work",
    why="""A surge device on the wrong pole, or on an earth that leads nowhere, looks like protection and is none. The stroke
        goes through the controller instead.""",
    severities=("danger", "fails"),
    clauses={
        "us": Clause("NFPA 70", "2023", "242", "memory"),
        "": Clause("IEC 60364-5-53", "2019", "534: surge protective devices", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each surge device, struck: each of its poles reaches earth. A danger in a cabin, where rule D17 asks for it."""
    cabin = host(study.rig.job.rules) == "cabin"
    for subject, judged in from_proof(
        study, "surge", holds="Struck, each of its poles reaches earth", nothing="No surge device.",
        remedy="Land each of its poles on the pole it is marked for, and its earth on the common earth by the shortest way.",
    ):  # fmt: skip
        soft = judged.verdict in ("fail", "cannot-tell") and not cabin
        yield subject, replace(judged, severity="fails") if soft else judged
