"""How the air of a place carries heat off: walls, draught between vents, fans; for solved cases and for energy years alike."""

import math
from dataclasses import dataclass, replace

from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.ventilation import draught_m3_per_h, equal_vents_cm2
from ohmwright.rig.model import Place, Rig
from ohmwright.standards import find
from ohmwright.working import NotThere, known

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
    way = way_of_air(place)
    if conductance <= 0 and way.area_cm2 <= 0:
        return None, 0.0
    fans = [
        f.value
        for p in rig.parts.values()
        if p.place == place.id and "airflow" in p.kind.figures and (f := known(p.figure("airflow")))
    ]
    forced = min(sum(fans), THROUGH_m3_per_h_cm2 * way.through_cm2)
    low, high = 0.0, losses_W / conductance if conductance > 0 else 1000.0
    flow = forced
    for _ in range(ROUNDS):
        rise = 0.5 * (low + high)
        drawn = draught_m3_per_h(
            find("places/discharge").value, way.area_cm2, way.height_m, rise, outside_degC
        )
        flow = max(forced, drawn)
        if bay_rise_K(losses_W, conductance, flow) > rise:
            low = rise
        else:
            high = rise
    return 0.5 * (low + high), flow


@dataclass(frozen=True, slots=True)
class WayOfAir:
    """What warm air goes through, told as two equal vents of `area_cm2`, so far above each other; a fan blows through `through_cm2`."""

    area_cm2: float
    height_m: float
    through_cm2: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A vent as its air counts it: height of its middle and of itself; `told` where the file says where it sits."""

    id: str
    area_cm2: float
    y_m: float | None
    high_m: float
    at: tuple[float, float] | None
    size: tuple[float, float] | None = None

    @property
    def told(self) -> bool:
        """True where the file says where it sits."""
        return self.at is not None


def holes_of(place: Place) -> tuple[Hole, ...] | None:
    """The vents of a place, the lowest first; None where a free area is not known, () where there are none."""
    if place.vents:
        areas = {v.id: known(v.area) for v in place.vents.values()}
        if None in areas.values():
            return None
        made = [_hole(v.id, a.value / 100.0, v.at, v.size) for v in place.vents.values() if (a := areas[v.id]) is not None and a.value > 0.0]  # fmt: skip
        return tuple(sorted(made, key=lambda h: (h.y_m is None, h.y_m or 0.0)))
    whole = known(place.figures["vents"]) if "vents" in place.figures else None
    if whole is None:
        return () if isinstance(place.figures.get("vents"), NotThere) else None
    if whole.value <= 0.0:
        return ()
    there = [k for k in ("vent-low", "vent-high") if not isinstance(place.figures.get(k), NotThere)]
    if len(there) < 2:
        at = next((place.vent_low if k == "vent-low" else place.vent_high for k in there), None)
        return (_hole("vent", whole.value / 100.0, at, None),)
    top = place.size[2] if place.size is not None else HEIGHT_m
    half = whole.value / 200.0
    low, high = _hole("low", half, place.vent_low, None), _hole("high", half, place.vent_high, None)
    return (
        replace(low, y_m=low.y_m if low.told else 0.0),
        replace(high, y_m=high.y_m if high.told else top),
    )


def _hole(
    name: str, area_cm2: float, at: tuple[float, float] | None, size: tuple[float, float] | None
) -> Hole:
    high = size[1] if size is not None else math.sqrt(area_cm2) / 100.0
    return Hole(name, area_cm2, at[1] if at is not None else None, high, at, size)


def way_of_air(place: Place) -> WayOfAir:
    """What warm air goes through.

    Two equal vents are as the file has them. Others: the better of what they draw by the heights between them, each above the
    level at which nothing goes in or out letting air out and each below it letting in, and of what each exchanges by itself.
    A vent that nobody has placed counts by itself. One vent alone gives a fan nothing to blow through.
    """
    holes = holes_of(place) or ()
    if not place.vents and len(holes) == 2:
        low, high = holes
        height = max(0.0, (high.y_m or 0.0) - (low.y_m or 0.0))
        return WayOfAir(low.area_cm2, height, low.area_cm2)
    if not holes:
        return WayOfAir(0.0, HEIGHT_m, 0.0)
    heights = [h.y_m for h in holes if h.y_m is not None]
    span = max(heights) - min(heights) if heights else 0.0
    area = _as_equal_cm2([h for h in holes if h.y_m is not None], span)
    alone = sum(h.area_cm2 / 3.0 * math.sqrt(h.high_m) for h in holes)
    through = min(max(h.area_cm2 for h in holes), sum(sorted(h.area_cm2 for h in holes)[:-1]))
    if alone > area * math.sqrt(span):
        tallest = max(h.high_m for h in holes)
        return WayOfAir(alone / math.sqrt(tallest), tallest, through)
    return WayOfAir(area, span, through)


def _as_equal_cm2(holes: list[Hole], span_m: float) -> float:
    """The area of each of two equal vents that draw as much over the same height as all of these."""
    if span_m <= 0.0:
        return 0.0
    levels = {h.y_m or 0.0: sum(x.area_cm2 for x in holes if x.y_m == h.y_m) for h in holes}
    if len(levels) == 2:
        (_, low), (_, high) = sorted(levels.items())
        return equal_vents_cm2(low, high)
    low_m, high_m = min(levels), max(levels)
    for _ in range(ROUNDS):
        level = 0.5 * (low_m + high_m)
        if sum(math.copysign(a * math.sqrt(abs(y - level)), y - level) for y, a in levels.items()) > 0.0:
            low_m = level
        else:
            high_m = level
    out = sum(a * math.sqrt(y - level) for y, a in levels.items() if y > level)
    return out / math.sqrt(span_m / 2.0)


def between_vents_m(place: Place) -> float:
    """Height from the lowest vent to the highest one: where the file has them, else from the floor to the top."""
    return way_of_air(place).height_m
