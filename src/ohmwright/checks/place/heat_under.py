"""E29: no battery stands in the warm air of what turns power into heat."""

from collections.abc import Iterator

from ohmwright.checks.heat import HOT
from ohmwright.checks.judgement import Judgement, cannot_tell, least, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.standing import Box, boxes_in
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

REMEDY = "Stand the battery beside or below it, or a shelf between them that turns the air aside."


def judge(battery: str, below: str, gap_m: float | None, missing: tuple[str, ...] = ()) -> Judgement:
    """The nearest hot part below a battery, and how far below."""
    if missing:
        return cannot_tell(f"What stands below {battery} is not known.", missing, unit="m", sense="min")
    if gap_m is None:
        return passes(f"Nothing that the file places and that gives off heat stands below {battery}.")
    limit = find("places/heat-above")
    gap = figure(gap_m, "m", COMPUTED, address=f"{below} to {battery}")
    told = f"{battery} stands {tell(gap_m, 'm')} above {below}"
    return least(gap, limit.value, "m", good=f"{told}.", bad=f"{told}, in its warm air: it ages faster and may refuse charge when it is hot.", remedy=REMEDY)  # fmt: skip


@rule(
    "place/heat-under",
    "E29",
    "No battery over what gets hot",
    why="Warm air rises. A battery over the inverter lives in a summer of its own, and the ten kelvins of that are half its years.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each battery that the file places, beside hot parts that it places."""
    spoke = False
    for place in study.rig.host.places.values():
        boxes = boxes_in(study.rig.parts, place)
        hot = {i: b for i, b in boxes.items() if study.rig.parts[i].kind.name in HOT}
        for part in study.rig.of_kind("battery"):
            if part.place != place.id or part.standing is None:
                continue
            if part.id not in boxes:
                spoke = True
                yield part.id, judge(part.id, "", None, (f"{part.id}.size",))
            elif hot:
                spoke = True
                below, gap = _below(boxes[part.id], hot)
                yield part.id, judge(part.id, below, gap)
    if not spoke:
        yield "rig", skipped("No battery is told to stand in a place with parts that get hot.")


def _below(battery: Box, hot: dict[str, Box]) -> tuple[str, float | None]:
    """The nearest hot box under a battery, over which it stands at least in part."""
    found: tuple[str, float | None] = ("", None)
    for name, box in hot.items():
        over = all(min(battery.high[k], box.high[k]) > max(battery.low[k], box.low[k]) for k in (0, 2))
        gap = battery.low[1] - box.high[1]
        if over and gap > -1e-6 and (found[1] is None or gap < found[1]):
            found = name, max(0.0, gap)
    return found
