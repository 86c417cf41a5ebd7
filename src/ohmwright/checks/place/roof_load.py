"""E10: modules on a roof against what the roof bears."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked, mass
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell

REMEDY = "Spread it over more rafters, or fewer modules; ask who built the roof."


def judge(load: Figure, limit: Figure) -> Judgement:
    """Mass of modules and mountings against the roof's limit, snow apart."""
    told = f"Modules and mountings weigh {tell(load.value, 'kg')}; the roof bears {tell(limit.value, 'kg')}"
    return most(load.value, limit, "kg", good=f"{told}, snow apart.", bad=f"{told}, and snow comes on top.", remedy=REMEDY, roots=(load,))  # fmt: skip


@rule(
    "place/roof-load",
    "E10",
    "Roof dead load and snow",
    why="Rafters of a trailer are made for rain and one person on a plank.",
    severities=("fails",),
    clauses={"": Clause("", "", "the builder's figure", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Everything in the places that carry modules; a wall carries no roof load."""
    places: dict[str, float] = {}
    for circuit in pv_circuits(study):
        name = circuit.strings[0].members[0].place
        surface = study.surfaces.get(circuit.name)
        places[name] = surface.facing.tilt_deg if surface is not None else 0.0
    roofs = {p for p, tilt in places.items() if tilt < 60}
    if not roofs:
        yield "host", skipped("No module lies on a roof.")
        return
    limit = mass(study.rig, "roof-limit")
    parts = [p for p in study.rig.of_kind("module", "mounting") if p.place in roofs]
    masses = [asked(p.figure("mass")) for p in parts]
    lost = (
        *(limit.missing if limit.figure is None else ()),
        *(a for m in masses if m.figure is None for a in m.missing),
    )
    if limit.figure is None or any(m.figure is None for m in masses):
        yield (
            "host",
            cannot_tell("What the roof bears, or carries, is not known.", lost, unit="kg", sense="max"),
        )
        return
    total = sum(m.figure.value for m in masses if m.figure is not None)
    yield "host", judge(figure(total, "kg", COMPUTED, address="modules and mountings"), limit.figure)
