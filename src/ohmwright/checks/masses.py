"""What the rig weighs and where: parts at their places, conductors at the middle of their ends."""

from dataclasses import dataclass

from ohmwright.physics.weights import conductor_kg
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import known


@dataclass(frozen=True, slots=True)
class Added:
    """Mass that comes aboard, its moments about axle centre and middle, and what is not known of it."""

    mass_kg: float
    moment_kg_m: float
    missing: tuple[str, ...]
    unplaced: tuple[str, ...]
    across_kg_m: float = 0.0
    """Moment about the middle, left counted positive."""


def added(study: Study) -> Added:
    """All parts and conductors on the host; what stands ashore is left out, a part without a mass is missing."""
    rig = study.rig
    mass = moment = across = 0.0
    missing: list[str] = []
    unplaced: list[str] = []
    for part in rig.parts.values():
        if (
            part.join is not None
            or part.count > 1
            or part.strings
            or _ashore(study, part.place)
            or part.words.get("own") == "no"
        ):
            continue
        figure = known(part.figure("mass"))
        if figure is None:
            if not part.group or part.kind.name == "battery":
                missing.append(f"{part.id}.mass")
            continue
        mass += figure.value
        at = _at(study, part.place)
        if at is None:
            unplaced.append(f"{part.id}.at")
        else:
            moment += figure.value * at[0]
            across += figure.value * at[1]
    density, sheath = find("constants/copper-density").value, find("constants/sheath-mass").value
    for c in study.graph.conductors.values():
        if c.area_mm2 is None or c.length_m is None:
            continue
        places = [study.graph.terminals[t].place for t in (c.a, c.b) if t in study.graph.terminals]
        if any(_ashore(study, p) for p in places):
            continue
        own = conductor_kg(sheath, c.area_mm2, c.length_m, density)
        along = [at for p in places if (at := _at(study, p)) is not None]
        mass += own
        moment += own * (sum(a[0] for a in along) / len(along) if along else 0.0)
        across += own * (sum(a[1] for a in along) / len(along) if along else 0.0)
    return Added(mass, moment, tuple(missing), tuple(unplaced), across)


def _ashore(study: Study, place: str) -> bool:
    found = study.rig.host.places.get(place)
    return found is not None and found.words.get("ashore") in ("yes", "true")


def _at(study: Study, place: str) -> tuple[float, float, float] | None:
    found = study.rig.host.places.get(place)
    return None if found is None else found.at
