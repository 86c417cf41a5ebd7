"""E28: what a hand works or changes has nothing standing in front of it."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.bay_fit import covering
from ohmwright.rig.model import Part, Place
from ohmwright.rig.standing import boxes_in, standing_in
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Change their places, or move what stands in front."
#: What is switched, reset, read or changed by hand.
BY_HAND = (
    "fuse", "breaker", "battery-switch", "switch", "selector", "changeover", "pv-disconnect", "rcd", "rcbo", "panel-dc", "panel-ac", "thermostat", "monitor",
)  # fmt: skip


def judge(hidden: tuple[tuple[str, tuple[str, ...]], ...], seen: int, missing: tuple[str, ...] = ()) -> Judgement:  # fmt: skip
    """What stands between the parts of a place and the hand, of `seen` ones; `missing` where a box is not known."""
    if hidden:
        told = "; ".join(f"{', '.join(before)} before {part}" for part, before in hidden)
        return fails(f"{told}: who has to switch or change it in a hurry cannot.", REMEDY)
    if missing:
        return cannot_tell("Whether all that is worked by hand can be reached is not known.", missing)
    return passes(f"Nothing that the file places stands before the {seen} part{'s' if seen > 1 else ''} that a hand works or changes.")  # fmt: skip


@rule(
    "place/reach",
    "E28",
    "What is worked by hand can be reached",
    why="A fuse behind the inverter is changed twice: once when it is planned so, and once at night, with the inverter on the floor.",
    severities=("fails",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "accessible overcurrent devices and switches", "memory"),
        "us": Clause("NFPA 70", "2023", "240.24(A)", "memory"),
        "": Clause("IEC 60364-5-51", "2005", "513: accessibility", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each place in which the file stands such parts."""
    spoke = False
    for place in study.rig.host.places.values():
        here = [p for p in study.rig.of_kind(*BY_HAND) if p.place == place.id and p.standing is not None]
        if here:
            spoke = True
            yield f"host.{place.id}", _one(study, place, here)
    if not spoke:
        yield "rig", skipped("Nothing that is worked by hand is told where it stands.")


def _one(study: Study, place: Place, here: list[Part]) -> Judgement:
    boxes = boxes_in(study.rig.parts, place)
    hidden, missing = [], []
    for part in here:
        box = boxes.get(part.id)
        if box is None:
            known = standing_in(part, place) is not None
            missing.append(f"{part.id}.size" if known else f"host.places.{place.id}.board-at")
        elif before := covering(part, box, study.rig, boxes):
            hidden.append((part.id, before))
    return judge(tuple(hidden), len(here), tuple(missing))
