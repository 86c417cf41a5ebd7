"""Daily sums of the sun outside the air and under a cloudless sky, as means of the twelve months."""

import math
from functools import lru_cache

from ohmwright.physics import sky_light, sun
from ohmwright.sky.types import Spot

DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
#: A year for which the sun is computed where the weather belongs to no calendar year.
TYPICAL_YEAR = 2023
#: Linke turbidity where the table does not say: a clean mid-latitude sky (class value, from memory).
CLASS_TURBIDITY_ratio = 3.0

#: Wind where nothing is known of it (class value, no source): it cools modules, so a low figure is taken.
CLASS_WIND_m_per_s = 2.0


@lru_cache(maxsize=4096)
def day_sun(since_j2000_days: float) -> tuple[float, float, float]:
    """Declination (deg), equation of time (deg) and normal irradiance outside the air (W/m2)."""
    declination = sun.declination_deg(
        sun.sun_longitude_deg(since_j2000_days), sun.obliquity_deg(since_j2000_days)
    )
    normal = sun.extraterrestrial_W_m2(sun.SOLAR_CONSTANT_W_m2, sun.earth_sun_distance_au(since_j2000_days))
    return declination, sun.equation_of_time_deg(since_j2000_days), normal


def noon_days_since_j2000(day_of_year: int) -> float:
    """Days from J2000 to noon UTC of a day (1 to 365) of the typical year."""
    return (TYPICAL_YEAR - 2000) * 365 + (TYPICAL_YEAR - 2000 + 3) // 4 + day_of_year - 1


def _some_days(month: int) -> tuple[int, ...]:
    """Five days spread evenly over a month: their mean is the month's to 0.1 %."""
    first = sum(DAYS_IN_MONTH[:month])
    return tuple(first + 1 + int(DAYS_IN_MONTH[month] * (k + 0.5) / 5) for k in range(5))


def extraterrestrial_of_day_kWh_m2(latitude_deg: float, day_of_year: int) -> float:
    """Irradiation of the horizontal outside the air on one day."""
    declination, _, normal = day_sun(noon_days_since_j2000(day_of_year))
    sunset = sun.hour_angle_at_zenith_deg(latitude_deg, declination, 90.0)
    return sun.extraterrestrial_day_Wh_m2(latitude_deg, declination, sunset, normal) / 1000


@lru_cache(maxsize=64)
def extraterrestrial_by_month(latitude_deg: float) -> tuple[float, ...]:
    """Mean daily irradiation of the horizontal outside the air, kWh/m2, by month."""
    return tuple(
        sum(extraterrestrial_of_day_kWh_m2(latitude_deg, d) for d in _some_days(m)) / 5 for m in range(12)
    )


def clear_sky_by_month(spot: Spot) -> tuple[float, ...]:
    """Mean daily irradiation under a sky without a cloud, kWh/m2, by month."""
    hazes = spot.turbidity or (CLASS_TURBIDITY_ratio,) * 12
    return tuple(
        sum(_clear_day_kWh_m2(spot.latitude_deg, spot.altitude_m or 0.0, hazes[m], d) for d in _some_days(m))
        / 5
        for m in range(12)
    )


def _clear_day_kWh_m2(
    latitude_deg: float, altitude_m: float, turbidity_ratio: float, day_of_year: int, steps: int = 16
) -> float:
    """Clear-sky irradiation of a day: the half day in equal steps of hour angle, midpoint rule."""
    declination, _, normal = day_sun(noon_days_since_j2000(day_of_year))
    sunset = sun.hour_angle_at_zenith_deg(latitude_deg, declination, 90.0)
    pressure = sky_light.pressure_ratio(altitude_m)
    total = 0.0
    for k in range(steps):
        cosine = sun.cosine_of_zenith_ratio(latitude_deg, declination, sunset * (k + 0.5) / steps)
        if cosine > 0:
            mass = sky_light.air_mass_ratio(math.degrees(math.acos(min(1.0, cosine)))) * pressure
            total += sky_light.clear_sky_W_m2(cosine, mass, turbidity_ratio, altitude_m, normal)
    return total * 2 * sunset / 15 / steps / 1000
