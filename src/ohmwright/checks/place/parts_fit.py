"""E26: parts that the file places stand inside their bay and not in each other."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, fails, most, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.rig.bay_fit import BayFit, fits_in, not_seen
from ohmwright.rig.model import Place
from ohmwright.rig.standing import standing_in
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

REMEDY = "Stand it elsewhere, turn it, or take a smaller part."


def judge(fit: BayFit) -> Judgement:
    """One part: in another, over the edge."""
    if fit.overlaps:
        return fails(f"{fit.part} stands {tell(fit.deepest_m, 'm')} deep in {', '.join(fit.overlaps)}: both cannot be there.", REMEDY)  # fmt: skip
    if fit.over_m is None:
        return passes(f"{fit.part} stands clear of the others; {fit.place} tells no size.")
    over = figure(fit.over_m, "m", COMPUTED, address=f"{fit.part} over the edge of {fit.place}")
    told = f"{fit.part} reaches {tell(over.value, 'm')} out of {fit.place}"
    return most(over, 0.0, "m", good=f"{fit.part} stands inside {fit.place}.", bad=f"{told}: the door does not shut, or there is a wall.", remedy=REMEDY)  # fmt: skip


@rule(
    "place/parts-fit",
    "E26",
    "Parts stand inside their bay and clear of each other",
    why="""Two parts on one spot of a plan are found by whoever holds the second one. By then the holes of the first are drilled
        and its cables are cut.""",
    severities=("fails",),
    clauses={"": Clause("", "", "geometry", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each place that the file stands parts in, by its worst part."""
    spoke = False
    for place in study.rig.host.places.values():
        fits, unseen = fits_in(study.rig, place), not_seen(study.rig, place)
        if fits or unseen:
            spoke = True
            yield f"host.{place.id}", _worst(study, place, fits, unseen)
    if not spoke:
        yield "rig", skipped("No part is told where it stands in its place.")


def _worst(study: Study, place: Place, fits: tuple[BayFit, ...], unseen: tuple[str, ...]) -> Judgement:
    judged = [judge(f) for f in fits]
    failing = [j for j in judged if j.verdict == "fail"]
    if failing:
        return next((j for j in failing if j.value is None), failing[0])
    if unseen:
        missing = [
            f"{i}.size" if _placed(study, i, place) else f"host.places.{place.id}.board-at" for i in unseen
        ]
        return cannot_tell(f"Whether {', '.join(unseen)} stands clear is not known.", missing, unit="m", sense="max")  # fmt: skip
    worst = max(judged, key=lambda j: 0.0 if at_most(j.value or 0.0, 0.0) else 1.0)
    if len(fits) == 1:
        return worst
    over = max((f.over_m or 0.0 for f in fits), default=0.0)
    if any(f.over_m is None for f in fits):
        return passes(f"{len(fits)} parts stand clear of each other; {place.id} tells no size.")
    return most(figure(over, "m", COMPUTED, address=f"parts over the edge of {place.id}"), 0.0, "m", good=f"{len(fits)} parts stand inside {place.id} and clear of each other.", bad="")  # fmt: skip


def _placed(study: Study, part: str, place: Place) -> bool:
    return standing_in(study.rig.parts[part], place) is not None
