"""E27: parts keep the free space that their makers ask for, as the file places them."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.bay_fit import SIDES, free_on, neighbours
from ohmwright.rig.model import Part, Place
from ohmwright.rig.standing import Box, boxes_in, free_of, standing_in
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

REMEDY = "Move it or what stands there: its cooling air goes that way."


def judge(part: str, side: str, asked_m: float, left_m: float | None, by: str, missing: str = "") -> Judgement:  # fmt: skip
    """One side of a part: what is free there against what it asks for."""
    if left_m is None:
        return cannot_tell(f"How much is free {side} {part} is not known.", (missing,), limit=asked_m, unit="m", sense="min")  # fmt: skip
    left = figure(left_m, "m", COMPUTED, address=f"free {side} {part}")
    told = f"{tell(left_m, 'm')} are free {side} {part}, to {by}; it asks for {tell(asked_m, 'm')}"
    return least(left, asked_m, "m", good=f"{told}.", bad=f"{told}: it stands in its own warm air.", remedy=REMEDY)  # fmt: skip


@rule(
    "place/free-space",
    "E27",
    "Free space around what needs air",
    why="""The page asks for a hand's breadth above and below, and the bay was two fingers short. On the first hot day the part
        gives half, and nobody finds out why.""",
    severities=("fails",),
    clauses={"": Clause("", "", "the maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each part that the file places and that asks for free space, on its tightest side."""
    spoke = False
    for place in study.rig.host.places.values():
        boxes = boxes_in(study.rig.parts, place)
        for name, box in boxes.items():
            part = study.rig.parts[name]
            if free_of(part).any:
                spoke = True
                yield name, _tightest(study, part, box, boxes, place)
    if not spoke:
        yield "rig", skipped("No part that asks for free space is told where it stands.")


def _tightest(study: Study, part: Part, box: Box, boxes: dict[str, Box], place: Place) -> Judgement:
    asks = free_of(part, standing_in(part, place))
    others = list(neighbours(part, study.rig, boxes))
    judged = []
    for side, asked_m in zip(SIDES, asks.sides, strict=True):
        if asked_m > 0.0:
            left_m, by = free_on(box, side, others, place)
            judged.append(judge(part.id, side, asked_m, left_m, by, f"host.places.{place.id}.size"))
    order = {"fail": 0, "cannot-tell": 1, "pass": 2}
    return min(judged, key=lambda j: (order[j.verdict], j.margin if j.margin is not None else 0.0))
