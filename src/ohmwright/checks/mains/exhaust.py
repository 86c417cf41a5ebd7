"""D20: exhaust of what burns fuel: only eyes can tell."""

from collections.abc import Iterator

from ohmwright.checks.eyes import EYES, ask
from ohmwright.checks.judgement import Judgement, fails
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study

#: Places whose air people breathe.
LIVED_IN = ("cabin", "heated")


def judge(place: str) -> Judgement:
    """A generator indoors."""
    return fails(f"It burns fuel in {place}, in air that people breathe: carbon monoxide kills before it is noticed.", "Outside, or in a bay closed to the inside with its own exhaust.")  # fmt: skip


@rule(
    "mains/exhaust",
    "D20",
    "Exhaust of what burns fuel",
    why="""Exhaust of a heater, generator or engine has no smell that wakes a sleeper.""",
    severities=("danger",),
    clauses={"": Clause("NFPA 1192; EN 50291-2", "2021; 2019", "alarms", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig as a whole, and every generator by the place it stands in."""
    for part in study.rig.of_kind("generator"):
        place = study.rig.host.places.get(part.place)
        if place is not None and place.regime in LIVED_IN:
            yield part.id, judge(part.place)
    yield from ask(
        "mains/exhaust",
        ("rig",),
        "Is there a carbon monoxide alarm by the sleepers, in date, and every exhaust away from openings?",
        "Fit the alarm, move the exhaust, block an automatic start indoors.",
    )
