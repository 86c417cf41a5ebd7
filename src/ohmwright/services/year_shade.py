"""What shades the arrays of a rig through its stays: roof and hills and trees from the roof floor, snow by the month."""

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.figures import kept_in_shade
from ohmwright.energy.plan import LIVED_IN, Array
from ohmwright.energy.shading import Shading
from ohmwright.rig.model import Rig, Stay
from ohmwright.roof.array import MONTH_OF_HOUR, array_light
from ohmwright.roof.season import CLEARED_part, snow_kept_ratio
from ohmwright.sky.types import WeatherYear
from ohmwright.working import Figure

Snow: TypeAlias = Literal["lies", "cleared", "none"]
Factors: TypeAlias = NDArray[np.float64]


def shading_of(rig: Rig, snow: Snow = "lies") -> Shading:
    """Shade and snow for the energy years of a rig; `cleared`: somebody brushes the modules off while the rig is lived in."""

    def factor(stay: Stay, array: Array, sky: WeatherYear) -> Factors | None:
        shade = None if "shade" in array.kept else _shade(rig, array.id, stay, sky)
        white = None if snow == "none" else _snow(stay, array, sky, snow)
        if shade is None or white is None:
            return white if shade is None else shade
        return shade * white

    words = [
        "shade by roof, hills and trees is worked out for the typical year and held in all years; where a per cent is typed, that counts instead"
    ]
    if snow != "none":
        swept = (
            f", {100 * (1 - CLEARED_part):.0f} % of it brushed off while somebody is there"
            if snow == "cleared"
            else ""
        )
        words.append(
            f"snow on the modules by the month's mean air and their tilt, class values (common practice, no source){swept}; --snow none leaves it out"
        )
    return Shading(factor, snow != "none", tuple(words))


def _snow(stay: Stay, array: Array, sky: WeatherYear, snow: Snow) -> Factors | None:
    cleared = snow == "cleared" and (stay.mode or "occupied") in LIVED_IN
    tilt = array.planes[0].tilt_deg
    months = np.array([snow_kept_ratio(air, tilt, cleared=cleared) for air in sky.spot.air_degC])
    return None if np.all(months == 1.0) else months[MONTH_OF_HOUR]


def _shade(rig: Rig, array: str, stay: Stay, sky: WeatherYear) -> Factors | None:
    """In the open, or with trees on so many of the days as the stay says, spread evenly; a typed per cent of shade stands for the trees."""
    if not stay.trees or kept_in_shade(stay.words.get("shade", "")) is not None:
        return _light(rig, array, stay, sky, False)
    given = stay.under_trees
    part = given.value if isinstance(given, Figure) else 1.0
    under = _light(rig, array, stay, sky, True)
    if part >= 1.0 or under is None:
        return under
    open_sky = _light(rig, array, stay, sky, False)
    days = np.arange(365)
    there = np.repeat(np.floor((days + 1) * part) > np.floor(days * part), 24)
    return np.where(there, under, 1.0 if open_sky is None else open_sky)


def _light(rig: Rig, array: str, stay: Stay, sky: WeatherYear, under_trees: bool) -> Factors | None:
    found = array_light(rig, rig.parts[array], sky, stay, under_trees=under_trees)
    return None if found is None or np.all(found.factor == 1.0) else found.factor
