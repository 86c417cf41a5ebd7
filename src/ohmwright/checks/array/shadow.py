"""A17: hours a day in which something on the roof throws its shadow on a module."""

from collections.abc import Iterator

from ohmwright.checks.array.flat_mount import MONTHS
from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.climate import darkest, missing_stay
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure


def judge(hours: Figure, month: int, module: str) -> Judgement:
    """Mean over the headings of the host, from nine to three."""
    told = f"In {MONTHS[month - 1]} a shadow lies on {module} for {hours.value:.1f} h between nine and three"
    return most(
        hours.value,
        find("pv/shadow-hours").value,
        "h",
        good=f"{told}.",
        bad=f"{told}: one shaded zone takes its whole string along.",
        remedy="Move the module or what stands there, turn the module so that one zone is hit, or wire in parallel.",
        roots=(hours,),
    )


@rule(
    "array/shadow",
    "A17",
    "Roof object near a module",
    why="A vent lid that stands open at noon costs more than a module less would have.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "geometry; limit is a shop rule", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The worst module of each array in the design month, everything open that opens."""
    dark = darkest(study)
    for circuit in pv_circuits(study):
        surface, place = study.surfaces.get(circuit.name), circuit.strings[0].members[0].place
        known = study.rig.host.places.get(place)
        if surface is None or not surface.modules or surface.unknown:
            yield (
                circuit.name,
                cannot_tell(
                    "Where its modules lie, or what stands near them, is not known.",
                    (f"{circuit.name}.laid",),
                    unit="h",
                    sense="max",
                ),
            )
        elif not surface.boxes and (known is None or known.outline is None):
            yield (
                circuit.name,
                cannot_tell(
                    "What stands on the roof is not in the file.",
                    (f"host.places.{place}.obstacles",),
                    unit="h",
                    sense="max",
                ),
            )
        elif not surface.boxes:
            yield circuit.name, skipped("Nothing stands on its surface.")
        elif dark is None:
            yield (
                circuit.name,
                cannot_tell(
                    "Where and when it is lived in is not known.", missing_stay(study), unit="h", sense="max"
                ),
            )
        else:
            hits = study.shadows(circuit.name, dark[0].latitude_deg, dark[1])
            worst = max(hits, key=lambda h: h.mean_h)
            yield (
                circuit.name,
                judge(
                    figure(worst.mean_h, "1", COMPUTED, address=f"shadow on {worst.module}"),
                    dark[1],
                    worst.module,
                ),
            )
