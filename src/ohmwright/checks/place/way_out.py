"""E18: alarm, extinguisher and two ways out: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study


@rule(
    "place/way-out",
    "E18",
    "Alarm, extinguisher and two ways out",
    why="""Smoke fills a trailer in a minute and a half; the second way out is the one that is used.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 1192; ISO 9094", "2021; 2015", "alarms, extinguishers, escape", "memory")},
    needs=(EYES,),
)
def check(_: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole."""
    return ask(
        "place/way-out",
        ("rig",),
        "Is there a smoke alarm in each sleeping space, an extinguisher by the exit, and a second way out?",
        "Fit and move.",
    )
