"""A19: what lying flat costs in the darkest month that somebody lives in."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.climate import best_tilt, darkest, missing_stay
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.tilt import flat_over_tilted_ratio
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Step, work

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")  # fmt: skip
#: Below this a module counts as lying flat.
FLAT_deg = 15.0


def judge(flat: Step, tilt_deg: float, month: int) -> Judgement:
    """Light on the flat over light on the best tilt."""
    limit = find("pv/flat-least")
    told = f"In {MONTHS[month - 1]} lying flat gathers {flat.value:.2f} of what {tilt_deg:.0f}° toward the noon sun would"
    return least(
        flat.value, limit.value, "1", good=f"{told}.", bad=f"{told}.", remedy="A tilt kit or a portable panel, or have the owner accept it.", steps=(flat,)
    )  # fmt: skip


@rule(
    "array/flat-mount",
    "A19",
    "Flat mounting by month",
    why="""Flat on a roof is right in June and wrong in October. Whoever lives aboard in the dark months should have seen the
        figure before the holes are drilled.""",
    severities=("disappoints",),
    clauses={"": Clause("", "", "physics; limit is a shop rule", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array that lies flat, in the design month."""
    dark = darkest(study)
    for circuit in pv_circuits(study):
        surface = study.surfaces.get(circuit.name)
        if surface is None:
            yield (
                circuit.name,
                cannot_tell(
                    "How it lies is not known.",
                    (f"host.places.{circuit.strings[0].members[0].place or 'roof'}.plane",),
                    unit="1",
                    sense="min",
                ),
            )
        elif not at_most(surface.facing.tilt_deg, FLAT_deg):
            yield circuit.name, skipped("It does not lie flat.")
        elif dark is None:
            yield (
                circuit.name,
                cannot_tell(
                    "Where and when it is lived in is not known.", missing_stay(study), unit="1", sense="min"
                ),
            )
        else:
            tilt, light = best_tilt(*dark)
            yield circuit.name, judge(work(flat_over_tilted_ratio, tilted_ratio=light), tilt, dark[1])
