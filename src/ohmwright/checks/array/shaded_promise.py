"""A28: what shade takes in the months of a promise that the year does not keep."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ohmwright.checks.judgement import Judgement, cannot_tell, most, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import in_percent
from ohmwright.standards import find
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, work

if TYPE_CHECKING:
    from ohmwright.energy.types import PromiseKept
    from ohmwright.roof.array import ArrayShade

REMEDY = "Park or build in the open, a portable module on a long cord, or a smaller promise."


def judge(name: str, lost_ratio: float, kept: bool | None, asks: str, where: str = "") -> Judgement:
    """Shade of the worst array against what may be lost unheard; a promise that is kept is kept with it."""
    lost = work(in_percent, part_ratio=figure(lost_ratio, "1", COMPUTED, address=f"lost to shade where '{name}' is lived"))  # fmt: skip
    told = f"Shade takes {lost.value:.0f} % of the yield{where}"
    if kept is None:
        return cannot_tell(
            f"{told}; whether '{name}' is kept cannot be told.", (asks,), unit="%", sense="max"
        )
    if kept:
        return passes(f"{told}, and '{name}' is kept all the same.", steps=(lost,))
    return most(
        lost, 100 * find("pv/series-in-shade").value, "%", good=f"{told}: '{name}' is not kept, but not for want of light.",
        bad=f"{told}, and '{name}' is not kept: say so before it is signed.", remedy=REMEDY, steps=(lost,),
    )  # fmt: skip


@rule(
    "array/shaded-promise",
    "A28",
    "Promises under shade",
    why="An owner who camps in a wood was promised the yield of a field. The promise is measured where he parks.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "shade model; limit is a shop rule", "computed")},
    needs=("year",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each promise that the year speaks of, with the array that shade takes most from."""
    if not study.rig.use.promises:
        yield "rig", skipped("Nothing is promised.")
        return
    if study.year is None:
        yield "rig", skipped("Shade is followed through a year: run check --deep.")
        return
    told = [p for p in study.year.promises if p.asked]
    worst = max(study.shade, key=lambda a: a.year.lost_ratio, default=None)
    if worst is None or not told:
        yield "rig", skipped("Nothing shades an array, or no promise hangs on a year.")
        return
    for promise in told:
        yield promise.name, _one(promise, worst)


def _one(promise: "PromiseKept", worst: "ArrayShade") -> Judgement:
    lost = max(0.0, worst.year.lost_ratio)
    return judge(promise.name, lost, promise.kept, f"{worst.array}.laid", f" of {worst.array} {worst.scene}")
