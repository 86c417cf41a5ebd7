"""E24: somebody can still get over the roof once the modules lie on it."""

from collections.abc import Iterator, Sequence

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.judgement import Judgement, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.roof.fit import ModuleFit
from ohmwright.roof.layout import OnSurface
from ohmwright.standards import find
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell

#: A surface steeper than this is not walked on.
STEEP_deg = 35.0


def judge(strip: Figure, place: str) -> Judgement:
    """The widest strip that runs straight over the whole surface between modules and edges."""
    wanted = find("vehicles/walkway-least").figure
    told = f"The widest way straight over {place} is {tell(strip.value, 'm')}; {tell(wanted.value, 'm')} is wanted"
    return least(
        strip, wanted, "m", good=f"{told}.", bad=f"{told}: whoever seals a vent in three years kneels on a module.",
        remedy="Draw the modules to one side, or agree with the owner that a ladder is the only way.",
    )  # fmt: skip


def widest_m(outline: tuple[float, float], modules: Sequence[ModuleFit]) -> float:
    """The widest free strip along either side of an outline, from edge to edge.

    >>> widest_m((4.0, 2.0), ())
    4.0
    """
    best = 0.0
    for k in (0, 1):
        edge = 0.0
        for low, high in sorted((m.footprint.low[k], m.footprint.high[k]) for m in modules):
            best, edge = max(best, low - edge), max(edge, high)
        best = max(best, outline[k] - edge)
    return best


@rule(
    "place/walkway",
    "E24",
    "A way over the roof",
    why="A vent has to be sealed, a clamp tightened and snow pushed off. A roof that is full of glass is walked on all the same.",
    severities=("disappoints",),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each roof that carries modules and is flat enough to stand on."""
    modules, _ = study.roof_fit
    roofs: dict[str, OnSurface | None] = {}
    for circuit in pv_circuits(study):
        roofs.setdefault(circuit.strings[0].members[0].place, study.surfaces.get(circuit.name))
    if not roofs:
        yield "host", skipped("No array.")
    for place, surface in roofs.items():
        here = [m for m in modules.values() if m.place == place]
        if surface is None or surface.outline is None or not here or surface.unknown:
            lost = (
                f"host.places.{place}.outline"
                if surface is None or surface.outline is None
                else f"{surface.array}.laid"
            )
            yield f"host.{place}", cannot_tell("Its outline, or where the modules lie, is not known.", (lost,), unit="m", sense="min")  # fmt: skip
        elif surface.facing.tilt_deg > STEEP_deg:
            yield f"host.{place}", skipped("Nobody walks on it: it is too steep.")
        else:
            strip = widest_m(surface.outline, here)
            yield (
                f"host.{place}",
                judge(figure(strip, "m", COMPUTED, address=f"free strip over {place}"), place),
            )
