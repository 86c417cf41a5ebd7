"""What lying as it lies costs a plane against the best fixed tilt toward the equator, by month."""

import numpy as np

from ohmwright.roof.array import MONTH_OF_HOUR
from ohmwright.roof.curves import Reals
from ohmwright.sky.plane import on_plane_W_m2
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.sky.types import WeatherYear

TILTS_deg = tuple(range(0, 91, 5))


def against_best(weather: WeatherYear, tilt_deg: float = 0.0, faces_deg: float = 0.0) -> tuple[float, ...]:
    """For each month: light on this plane over that on the best of the tilts of 0 to 90 degrees toward the equator.

    1 at most, but for a plane that faces east or west of the equator and happens on better weather.
    """
    spot = weather.spot
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, weather.utc_offset_h)
    ghi = np.array(weather.ghi_W_m2)
    dhi = np.minimum(np.array(weather.dhi_W_m2), ghi)
    equator_deg = 180.0 if spot.latitude_deg >= 0.0 else 0.0

    def by_month(tilt: float, faces: float) -> Reals:
        light = on_plane_W_m2(sun, ghi, dhi, tilt, faces)
        return np.bincount(MONTH_OF_HOUR, weights=light, minlength=12).astype(np.float64)

    best = np.max([by_month(float(t), equator_deg) for t in TILTS_deg], axis=0)
    mine = by_month(tilt_deg, faces_deg)
    return tuple((mine / np.where(best > 0.0, best, 1.0)).tolist())
