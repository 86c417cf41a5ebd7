"""What the rig weighs and where: parts at their places, conductors at the middle of their ends."""

from dataclasses import dataclass

from ohmwright.checks.gather import once
from ohmwright.physics.weights import conductor_kg
from ohmwright.rig.model import Part
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import known
from ohmwright.working.quickly import quickly_made


@dataclass(frozen=True, slots=True)
class Added:
    """Mass that comes aboard, its moments about axle centre and middle, and what is not known of it."""

    mass_kg: float
    moment_kg_m: float
    missing: tuple[str, ...]
    unplaced: tuple[str, ...]
    across_kg_m: float = 0.0
    """Moment about the middle, left counted positive."""


@quickly_made
@dataclass(frozen=True, slots=True)
class One:
    """One mass that comes aboard and where its middle is; None where its place has no position."""

    id: str
    mass_kg: float
    at: tuple[float, float] | None


@once
def each(study: Study) -> tuple[One, ...]:
    """Every part and conductor aboard whose mass is known; what stands ashore is left out."""
    found = [
        One(p.id, f.value, _across(_at(study, p.place)))
        for p in _aboard(study)
        if (f := known(p.figure("mass"))) is not None
    ]
    density, sheath = find("constants/copper-density").value, find("constants/sheath-mass").value
    for c in study.graph.conductors.values():
        if c.area_mm2 is None or c.length_m is None:
            continue
        places = [study.graph.terminals[t].place for t in (c.a, c.b) if t in study.graph.terminals]
        if any(_ashore(study, p) for p in places):
            continue
        ends = [at for p in places if (at := _at(study, p)) is not None]
        middle = (
            (sum(a[0] for a in ends) / len(ends), sum(a[1] for a in ends) / len(ends)) if ends else (0.0, 0.0)
        )
        found.append(One(c.id, conductor_kg(sheath, c.area_mm2, c.length_m, density), middle))
    return tuple(found)


@once
def added(study: Study) -> Added:
    """All parts and conductors on the host; a part without a mass is missing."""
    masses = each(study)
    heavy = [
        p
        for p in _aboard(study)
        if known(p.figure("mass")) is None and (not p.group or p.kind.name == "battery")
    ]
    return Added(
        sum(m.mass_kg for m in masses), sum(m.mass_kg * m.at[0] for m in masses if m.at), tuple(f"{p.id}.mass" for p in heavy),
        tuple(f"{m.id}.at" for m in masses if m.at is None), sum(m.mass_kg * m.at[1] for m in masses if m.at),
    )  # fmt: skip


def _aboard(study: Study) -> list[Part]:
    return [
        p
        for p in study.rig.parts.values()
        if p.join is None
        and p.count == 1
        and not p.strings
        and not _ashore(study, p.place)
        and p.words.get("own") != "no"
    ]


def _across(at: tuple[float, float, float] | None) -> tuple[float, float] | None:
    return None if at is None else (at[0], at[1])


def _ashore(study: Study, place: str) -> bool:
    found = study.rig.host.places.get(place)
    return found is not None and found.words.get("ashore") in ("yes", "true")


def _at(study: Study, place: str) -> tuple[float, float, float] | None:
    found = study.rig.host.places.get(place)
    return None if found is None else found.at
