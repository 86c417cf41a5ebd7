"""What shade takes from an array, hour by hour and by month, as it is wired and as it could be.

`array_light` gives a factor for each hour of a weather year; `shade_losses` sums it by month, string and wiring.
Light is compared with light and power with power at one temperature: the factor multiplies what an energy year makes
of the unshaded array.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ohmwright.rig.model import Part, Rig, Stay
from ohmwright.roof.curves import Reals
from ohmwright.roof.horizon import Around, around, in_leaf, through_ratio
from ohmwright.roof.layout import OnSurface, Standing, arrays_of, on_surface
from ohmwright.roof.patterns import SHARES, WIRINGS, Kept, Wiring, kept_by_pattern
from ohmwright.roof.table import DIRECTIONS, direction, index_of, sky_weights
from ohmwright.sky.plane import on_plane_W_m2
from ohmwright.sky.sun_hours import HOURS, SunHours, sun_hours
from ohmwright.sky.types import WeatherYear
from ohmwright.working import Figure

#: Headings that stand for all when the host lies as it likes.
HEADINGS = tuple(15.0 + 30.0 * k for k in range(12))
_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_OF_HOUR: NDArray[np.intp] = np.repeat(np.arange(12), [24 * d for d in _DAYS])
_ONES = np.ones(HOURS)


@dataclass(frozen=True, slots=True)
class ArrayLight:
    """Factors on an unshaded array by hour (8760). Where nothing shades, all are 1.

    `light_W_m2` is the unshaded light on its plane, the mean of the headings; `beyond_ratio` what hills and trees
    leave of it; `power_ratio` what all shade leaves of the power, by wiring; `string_ratio` of the light on the cells
    of each string.  `modules_counted` of `modules` lie where the file says; the rest are taken as unshaded.
    """

    array: str
    light_W_m2: Reals
    beyond_ratio: Reals
    power_ratio: Mapping[Wiring, Reals]
    string_ratio: Reals
    modules: int
    modules_counted: int
    unknown: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()

    @property
    def factor(self) -> Reals:
        """The factor on the array's power as it is wired."""
        return self.power_ratio["as wired"]


@dataclass(frozen=True, slots=True)
class ShadeMonth:
    """A month: unshaded light on the plane and what is left, as shares. `month` counts from 1."""

    month: int
    light_kWh_m2: float
    beyond_ratio: float
    """Left by hills and trees."""
    kept: Mapping[Wiring, float]
    string_ratio: tuple[float, ...]

    @property
    def lost_ratio(self) -> float:
        """Lost of the unshaded yield, as wired."""
        return 1.0 - self.kept["as wired"]


@dataclass(frozen=True, slots=True)
class ArrayShade:
    """One array through the year. `year` has month 0."""

    array: str
    scene: str
    """`in the open`, or `under the trees`."""
    days_ratio: float
    """Part of the stay's days spent in this scene."""
    months: tuple[ShadeMonth, ...]
    year: ShadeMonth
    suffers_least: Wiring
    """The wiring of series and parallel that keeps more over the year; as wired when they differ by less than 0.1 %."""
    unknown: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


@dataclass
class _Sums:
    """Light and power summed over headings, by lit hour."""

    light: Reals
    left: Reals
    power: dict[Wiring, Reals] = field(default_factory=dict)
    strings: list[Reals] = field(default_factory=list)


def array_light(
    rig: Rig,
    array: Part,
    weather: WeatherYear,
    stay: Stay | None = None,
    *,
    under_trees: bool = True,
    standing: Standing = "open",
) -> ArrayLight | None:
    """The factors of one array in one weather; None where the file does not say how it faces.

    With `under_trees` the trees of the stay stand around it; those of the place always do.  `standing` says whether
    lids and hatches are open (the worse case) or closed.
    """
    placed = on_surface(rig, array, standing)
    if placed is None:
        return None
    place = rig.host.places.get(array.place)
    seen = around(place, stay, under_trees=under_trees)
    spot = weather.spot
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, weather.utc_offset_h)
    headings = _headings(placed, stay)
    kept = kept_by_pattern(placed) if placed.boxes and placed.modules else None
    total = array.strings * array.per_string or 1
    part = _rated_part(rig, array, placed)
    sums = _over_headings(placed, seen, sun, weather, headings, kept)
    assumed = [*placed.assumed, *seen.assumed]
    if len(headings) > 1 and not (placed.facing.tilt_deg == 0.0 and kept is None and seen.is_open):
        assumed.append(f"{array.id}: the heading is not fixed, so twelve count alike")
    return ArrayLight(
        array.id, _spread(sun, sums.light / len(headings), 0.0), _spread(sun, _ratio(sums.left, sums.light)),
        {w: _spread(sun, part * _ratio(p, sums.light) + (1.0 - part) * _ratio(sums.left, sums.light)) for w, p in sums.power.items()},
        np.array([_spread(sun, _ratio(s, sums.light)) for s in sums.strings]), total, len(placed.modules),
        (*placed.unknown, *seen.unknown), tuple(assumed),
    )  # fmt: skip


def _rated_part(rig: Rig, array: Part, placed: OnSurface) -> float:
    """Part of the array's power in modules that lie where the file says."""
    rated = [p.figure("power") for p in rig.parts.values() if p.group == array.id] or [array.figure("power")]
    whole = sum(r.value for r in rated if isinstance(r, Figure))
    return min(sum(m.rated_W for m in placed.modules) / whole, 1.0) if whole else 1.0


def _headings(placed: OnSurface, stay: Stay | None) -> tuple[float, ...]:
    if placed.bearing_of_x_deg is not None:
        return (placed.bearing_of_x_deg,)
    if stay is not None and isinstance(stay.heading, Figure):
        return (stay.heading.value,)
    return HEADINGS


def _ratio(part: Reals, whole: Reals) -> Reals:
    return np.asarray(np.where(whole > 0.0, part / np.where(whole > 0.0, whole, 1.0), 1.0))


def _spread(sun: SunHours, lit: Reals, dark: float = 1.0) -> Reals:
    out = np.full(HOURS, dark)
    out[sun.lit] = lit
    return out


def _over_headings(
    placed: OnSurface, seen: Around, sun: SunHours, weather: WeatherYear, headings: tuple[float, ...], kept: Kept | None
) -> _Sums:  # fmt: skip
    ghi, dhi = np.array(weather.ghi_W_m2), np.array(weather.dhi_W_m2)
    dhi = np.minimum(dhi, ghi)
    lit = sun.lit
    azimuth, elevation = sun.azimuth_deg[lit], 90.0 - sun.zenith_deg[lit]
    leaves = _leaves(weather)[MONTH_OF_HOUR[lit]]
    weights = sky_weights(placed.facing.frame.out)
    strings = len(set(placed.strings)) or 1
    zero = np.zeros(lit.size)
    sums = _Sums(zero.copy(), zero.copy(), {w: zero.copy() for w in WIRINGS}, [zero.copy() for _ in range(strings)])  # fmt: skip
    for heading in headings:
        faces = (heading + placed.facing.on_host_deg) % 360.0
        total = on_plane_W_m2(sun, ghi, dhi, placed.facing.tilt_deg, faces)[lit]
        beam = on_plane_W_m2(sun, ghi - dhi, np.zeros_like(ghi), placed.facing.tilt_deg, faces, albedo_ratio=0.0)[lit]  # fmt: skip
        beam = np.minimum(beam, total)
        diffuse = (total - beam) * _sky_part(seen, weights, heading, leaves)
        beam = beam * np.where(
            leaves,
            through_ratio(seen, azimuth, elevation, leaves=True),
            through_ratio(seen, azimuth, elevation, leaves=False),
        )
        left = beam + diffuse
        sums.light += total
        sums.left += left
        if kept is None:
            for w in WIRINGS:
                sums.power[w] += left
            for s in sums.strings:
                s += left
            continue
        pattern = kept.pattern_of[index_of(azimuth - heading, elevation)]
        share = _ratio(diffuse, left) * (SHARES.size - 1)
        low = np.minimum(share.astype(np.intp), SHARES.size - 2)
        part = share - low
        for w in WIRINGS:
            k = kept.by_wiring[w]
            sums.power[w] += left * ((1.0 - part) * k[pattern, low] + part * k[pattern, low + 1])
        for s, light in zip(sums.strings, kept.string_light.transpose(2, 0, 1), strict=True):
            s += left * ((1.0 - part) * light[pattern, low] + part * light[pattern, low + 1])
    return sums


def _leaves(weather: WeatherYear) -> NDArray[np.bool_]:
    southern = weather.spot.latitude_deg < 0.0
    return np.array([in_leaf(m, southern=southern) for m in range(12)])


def _sky_part(seen: Around, weights: Reals, heading: float, leaves: NDArray[np.bool_]) -> Reals:
    """Part of an even sky's light on the plane that hills and trees let through, by hour."""
    if seen.is_open:
        return np.ones(leaves.size)
    on_host, elevation = np.array([direction(k) for k in range(DIRECTIONS)]).T
    on, off = (
        float(weights @ through_ratio(seen, on_host + heading, elevation, leaves=x)) for x in (True, False)
    )
    return np.asarray(np.where(leaves, on, off))


@dataclass(frozen=True, slots=True)
class Scene:
    """One way of standing at a stay, and the part of its days that is spent so."""

    name: str
    under_trees: bool
    days_ratio: float


def scenes_of(stay: Stay | None) -> tuple[Scene, ...]:
    """In the open alone, or under the trees for the told part of the days (all of them when it is not told).

    Scenes are days of their own: a mean of both is neither, and hides the run of dark days that empties a bank.
    """
    if stay is None or not stay.trees:
        return (Scene("in the open", False, 1.0),)
    under = stay.under_trees.value if isinstance(stay.under_trees, Figure) else 1.0
    return Scene("in the open", False, 1.0 - under), Scene("under the trees", True, under)


def hour_table(light: ArrayLight) -> Reals:
    """The factor as wired by month and hour of the day (12 x 24), weighted by light: for made years of the same place."""
    hour = np.arange(HOURS) % 24
    cell = 24 * MONTH_OF_HOUR + hour
    whole = np.bincount(cell, weights=light.light_W_m2, minlength=288).astype(np.float64)
    left = np.bincount(cell, weights=light.light_W_m2 * light.factor, minlength=288).astype(np.float64)
    return _ratio(left, whole).reshape(12, 24)


def shade_losses(rig: Rig, weather: WeatherYear, stay: Stay | None = None, *, standing: Standing = "open") -> tuple[ArrayShade, ...]:  # fmt: skip
    """Every array of a rig by month, in each scene of the stay."""
    out = []
    for array in arrays_of(rig):
        for scene in scenes_of(stay):
            light = array_light(rig, array, weather, stay, under_trees=scene.under_trees, standing=standing)
            if light is not None:
                out.append(_by_month(light, scene))
    return tuple(out)


def _by_month(light: ArrayLight, scene: Scene) -> ArrayShade:
    months = tuple(_month(light, k + 1, _hours_of(k)) for k in range(12))
    year = _month(light, 0, _hours_of(-1))
    one, two = year.kept["series"], year.kept["parallel"]
    least: Wiring = "as wired" if abs(one - two) < 1e-3 else "series" if one > two else "parallel"
    return ArrayShade(
        light.array, scene.name, scene.days_ratio, months, year, least, light.unknown, light.assumed
    )


def _hours_of(month: int) -> NDArray[np.bool_]:
    """The hours of month 0..11; of the whole year for -1."""
    chosen: NDArray[np.bool_] = np.equal(MONTH_OF_HOUR, month) | np.bool_(month < 0)
    return chosen


def _month(light: ArrayLight, month: int, hours: NDArray[np.bool_]) -> ShadeMonth:
    fell = light.light_W_m2[hours]
    whole = float(fell.sum())

    def mean(ratio: Reals) -> float:
        return float((ratio[hours] * fell).sum() / whole) if whole > 0.0 else 1.0

    return ShadeMonth(
        month, whole / 1000.0, mean(light.beyond_ratio), {w: mean(r) for w, r in light.power_ratio.items()},
        tuple(mean(s) for s in light.string_ratio),
    )  # fmt: skip
