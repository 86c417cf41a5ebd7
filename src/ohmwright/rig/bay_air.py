"""How the air of a place carries heat off: walls, draught between vents, fans; for solved cases and for energy years alike."""

from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.ventilation import draught_m3_per_h
from ohmwright.rig.model import Place, Rig
from ohmwright.standards import find
from ohmwright.working import known

#: Air that a fan gets through a vent at most, m3/h a cm2: 1.5 m/s.  Common practice, no source.
THROUGH_m3_per_h_cm2 = 0.54
#: Height between vents where a place tells no size. Common practice, no source.
HEIGHT_m = 0.3
#: Rounds in which draught and rise find each other.
ROUNDS = 60


def conductance_W_per_K(place: Place) -> float | None:
    """As told, else thin walls of the size that is told."""
    given = known(place.figures["UA"]) if "UA" in place.figures else None
    if given is not None:
        return given.value
    if place.size is None:
        return None
    a, b, c = place.size
    return find("places/wall-conductance").value * 2 * (a * b + b * c + a * c)


def settled(
    rig: Rig, place: Place, outside_degC: float, losses_W: float, conductance: float
) -> tuple[float | None, float]:
    """Rise and airflow that belong to each other: the warmer the bay, the more it draws; a fan moves at least its own."""
    vents = known(place.figures["vents"]) if "vents" in place.figures else None
    area_cm2 = vents.value / 100 / 2 if vents is not None else 0.0
    if conductance <= 0 and area_cm2 <= 0:
        return None, 0.0
    fans = [
        f.value
        for p in rig.parts.values()
        if p.place == place.id and "airflow" in p.kind.figures and (f := known(p.figure("airflow")))
    ]
    forced = min(sum(fans), THROUGH_m3_per_h_cm2 * area_cm2)
    height = between_vents_m(place)
    low, high = 0.0, losses_W / conductance if conductance > 0 else 1000.0
    flow = forced
    for _ in range(ROUNDS):
        rise = 0.5 * (low + high)
        drawn = draught_m3_per_h(find("places/discharge").value, area_cm2, height, rise, outside_degC)
        flow = max(forced, drawn)
        if bay_rise_K(losses_W, conductance, flow) > rise:
            low = rise
        else:
            high = rise
    return 0.5 * (low + high), flow


def between_vents_m(place: Place) -> float:
    """Height from the lower vent to the upper one: where the file has them, else from the floor to the top."""
    top = place.size[2] if place.size is not None else HEIGHT_m
    low = place.vent_low[1] if place.vent_low is not None else 0.0
    high = place.vent_high[1] if place.vent_high is not None else top
    return max(0.0, high - low)
