"""B22: voltages before joining in parallel: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "battery/joining",
    "B22",
    "Voltages before joining in parallel",
    why="""Two batteries a tenth of a volt apart push a current into each other that only their resistance limits; on the flat of a lithium curve equal volts say nothing of equal charge.""",
    severities=("fails",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank that it is about."""
    return ask(
        "battery/joining",
        tuple(b.id for b in banks(study.rig) if b.in_parallel > 1),
        "Were the batteries at one voltage, all full and rested, before they were joined?",
        "Charge each to full, let them rest a day, then join.",
    )
