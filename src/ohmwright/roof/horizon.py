"""What hides sky and sun beyond the surface: hills by bearing, trees by sector and season.

A canopy is told by one number, the part of the light that comes through; real crowns are patchy, and a patch on one
cell can cost more than the mean.  Light from behind hills and crowns is taken as nothing.
"""

from dataclasses import dataclass

import numpy as np

from ohmwright.rig.model import Place, Stay, Trees
from ohmwright.roof.curves import Reals
from ohmwright.working import Figure, Given

#: Light through a crown, class values: common practice, no source (0.1 to 0.3 in leaf, 0.4 to 0.7 bare).
LEAF_ON_ratio, LEAF_OFF_ratio = 0.2, 0.55
#: Months 0..11 in leaf, north: common practice, no source; half a year on in the south.
IN_LEAF = (4, 5, 6, 7, 8, 9)


@dataclass(frozen=True, slots=True)
class Crown:
    """Trees as numbers."""

    first_deg: float
    last_deg: float
    up_to_deg: float
    leaf_on_ratio: float
    leaf_off_ratio: float


@dataclass(frozen=True, slots=True)
class Around:
    """Everything around a place: horizon as bearings and heights in order, and crowns."""

    horizon: tuple[tuple[float, float], ...] = ()
    crowns: tuple[Crown, ...] = ()
    unknown: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def is_open(self) -> bool:
        """Whether nothing hides the sky."""
        return not self.horizon and not self.crowns


def in_leaf(month: int, *, southern: bool) -> bool:
    """Whether broad-leaved trees carry leaves in month 0..11."""
    return ((month + 6) % 12 if southern else month) in IN_LEAF


def around(place: Place | None, stay: Stay | None, *, under_trees: bool) -> Around:
    """What a place of the host always has around it, and what a stay adds; its trees only while under them."""
    horizon: dict[float, Given] = {}
    trees: list[tuple[str, Trees]] = []
    if place is not None:
        horizon.update(place.horizon)
        trees += [(place.id, t) for t in place.trees.values()]
    if stay is not None:
        for bearing, height in stay.horizon.items():
            before = horizon.get(bearing)
            if not isinstance(before, Figure) or (isinstance(height, Figure) and height.value > before.value):
                horizon[bearing] = height
        if under_trees:
            trees += [("the stay", t) for t in stay.trees.values()]
    points = tuple((b, h.value) for b, h in sorted(horizon.items()) if isinstance(h, Figure))
    unknown = [f"horizon at {b:g} deg is not known" for b, h in horizon.items() if not isinstance(h, Figure)]
    crowns, assumed = [], []
    for whose, t in trees:
        if (
            not isinstance(t.first, Figure)
            or not isinstance(t.last, Figure)
            or not isinstance(t.up_to, Figure)
        ):
            unknown.append(f"trees {t.id} of {whose} are not counted: their sector or height is not known")
            continue
        on, off = _through(t.leaf_on, LEAF_ON_ratio), _through(t.leaf_off, LEAF_OFF_ratio)
        if not (isinstance(t.leaf_on, Figure) and (t.evergreen or isinstance(t.leaf_off, Figure))):
            assumed.append(f"trees {t.id}: {100 * on:.0f} % of the light comes through in leaf, {100 * off:.0f} % without, class values")  # fmt: skip
        crowns.append(Crown(t.first.value, t.last.value, t.up_to.value, on, on if t.evergreen else off))
    return Around(points, tuple(crowns), tuple(unknown), tuple(assumed))


def _through(given: Given, default: float) -> float:
    return given.value if isinstance(given, Figure) else default


def horizon_deg(points: tuple[tuple[float, float], ...], bearing_deg: Reals) -> Reals:
    """Height of the horizon at compass bearings: straight lines between told bearings, nothing outside them.

    A profile whose first and last bearing are less than 30 degrees apart across north closes there; one point
    alone holds for 10 degrees on each side.
    """
    b = np.mod(bearing_deg, 360.0)
    if not points:
        return np.zeros_like(b)
    if len(points) == 1:
        off = np.abs((b - points[0][0] + 180.0) % 360.0 - 180.0)
        return np.where(off <= 10.0, points[0][1], 0.0)
    at = np.array([p[0] for p in points])
    high = np.array([p[1] for p in points])
    if 360.0 - at[-1] + at[0] <= 30.0:
        return np.asarray(np.interp(b, at, high, period=360.0))
    return np.asarray(np.interp(b, at, high, left=0.0, right=0.0))


def through_ratio(seen: Around, bearing_deg: Reals, elevation_deg: Reals, *, leaves: bool) -> Reals:
    """Part of the light that arrives from each direction (compass bearing, elevation)."""
    out = np.where(elevation_deg < horizon_deg(seen.horizon, bearing_deg), 0.0, 1.0)
    for c in seen.crowns:
        wide = (c.last_deg - c.first_deg) % 360.0 or 360.0
        inside = np.mod(bearing_deg - c.first_deg, 360.0) <= wide
        share = c.leaf_on_ratio if leaves else c.leaf_off_ratio
        out = np.where(inside & (elevation_deg < c.up_to_deg), out * share, out)
    return np.asarray(out)
