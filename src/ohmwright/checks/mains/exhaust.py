"""D20: exhaust of what burns fuel: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "mains/exhaust",
    "D20",
    "Exhaust of what burns fuel",
    why="""Exhaust of a heater, generator or engine has no smell that wakes a sleeper.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 1192; EN 50291-2", "2021; 2019", "alarms", "memory")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "mains/exhaust",
        ("rig",),
        "Is there a carbon monoxide alarm by the sleepers, in date, and every exhaust away from openings?",
        "Fit the alarm, move the exhaust, block an automatic start indoors.",
    )
