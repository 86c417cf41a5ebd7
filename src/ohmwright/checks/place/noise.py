"""E13: fans beside a bed."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure

REMEDY = "Move it, or have it charge at less current in the night."
ROOMS = ("cabin", "heated", "locker")


def judge(level: Figure) -> Judgement:
    """Level at a metre against what a bedroom bears."""
    told = f"{level.value:g} dB(A) at a metre, in the air of the sleepers"
    return most(level.value, find("places/noise-bed").value, "1", good=f"{told}.", bad=f"{told}: on shore power it runs through the night.", remedy=REMEDY, roots=(level,))  # fmt: skip


@rule(
    "place/noise",
    "E13",
    "Noise near a bed",
    why="The fan that nobody hears in the workshop runs beside the pillow all night.",
    severities=("disappoints",),
    clauses={"": Clause("WHO Guidelines for Community Noise", "1999", "bedrooms", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter in a room that nights are lived in."""
    nights = any((s.nights or 0) > 0 for s in study.rig.use.stays)
    near = [p for p in study.rig.of_kind("inverter", "inverter-charger") if _in_room(study, p)]
    if not nights or not near:
        yield "rig", skipped("No fan stands in the air that people sleep in.")
        return
    for part in near:
        level = asked(part.figure("noise"))
        if word(part, "fan") == "none":
            yield part.id, skipped("It has no fan.")
        elif level.figure is None:
            yield part.id, cannot_tell("How loud it is, is not known.", level.missing, unit="1", sense="max")
        else:
            yield part.id, judge(level.figure)


def _in_room(study: Study, part: Part) -> bool:
    place = study.rig.host.places.get(part.place)
    return place is not None and place.regime in ROOMS
