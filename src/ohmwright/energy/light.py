"""Light on the planes of an array, hour by hour."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.energy.plan import Plane
from ohmwright.physics.sky_tilt import (
    cosine_of_incidence_ratio,
    from_ground_W_m2,
    glass_ratio,
    ground_incidence_deg,
    sky_incidence_deg,
    sky_isotropic_W_m2,
)
from ohmwright.physics.sun import (
    azimuth_deg,
    cosine_of_zenith_ratio,
    declination_deg,
    earth_sun_distance_au,
    equation_of_time_deg,
    hour_angle_deg,
    obliquity_deg,
    sun_longitude_deg,
)
from ohmwright.sky.types import WeatherYear

#: Days from noon of 1 January 2000 to midnight (UTC) of 1 January of the year whose sun is used: 2025.
YEAR_START_J2000_days = 9131.5
#: Solar constant: Kopp and Lean, Geophys. Res. Lett. 38 (2011) L01706 (from memory; 1361 is the usual round figure).
SOLAR_W_m2 = 1361.0
#: Below one degree the beam is not divided by its sine; what comes then counts as sky.
LOWEST_SINE = 0.0175
#: The headings that stand for all when the host lies as it likes.
HEADINGS = tuple(22.5 + 45.0 * k for k in range(8))


@dataclass(frozen=True, slots=True)
class SunPath:
    """Where the sun stands at the middle of each hour of local time; azimuth 0 below the horizon."""

    cos_zenith: tuple[float, ...]
    azimuth_deg: tuple[float, ...]
    outside_W_m2: tuple[float, ...]
    """Beam outside the atmosphere, by day."""


@lru_cache(maxsize=16)
def sun_path(latitude_deg: float, longitude_deg: float, utc_offset_h: float) -> SunPath:
    """The sun's year at a place."""
    cosines: list[float] = []
    azimuths: list[float] = []
    outside: list[float] = []
    for day in range(365):
        noon = YEAR_START_J2000_days + day + 0.5 - utc_offset_h / 24.0
        declination = declination_deg(sun_longitude_deg(noon), obliquity_deg(noon))
        of_time = equation_of_time_deg(noon)
        outside.append(SOLAR_W_m2 / earth_sun_distance_au(noon) ** 2)
        for h in range(24):
            angle = hour_angle_deg((h + 0.5 - utc_offset_h) % 24.0, longitude_deg, of_time)
            cosine = cosine_of_zenith_ratio(latitude_deg, declination, angle)
            cosines.append(cosine)
            azimuths.append(azimuth_deg(latitude_deg, declination, angle) if cosine > 0.0 else 0.0)
    return SunPath(tuple(cosines), tuple(azimuths), tuple(outside))


def plane_W_m2(
    plane: Plane, albedo_ratio: float, weather: WeatherYear, hours: Sequence[int]
) -> tuple[list[float], list[float]]:
    """Irradiance of a plane at these hours: as it falls, and as it gets through the glass.

    A flat plane takes the global irradiance as it is given.  A tilted one takes beam, Hay and Davies' sky and the
    ground; where its heading is not known, the mean over all headings.
    """
    spot = weather.spot
    sun = sun_path(spot.latitude_deg, spot.longitude_deg, weather.utc_offset_h)
    if plane.tilt_deg == 0.0:
        return _flat(sun, weather, hours)
    return _tilted(plane, albedo_ratio, sun, weather, hours)


def _flat(sun: SunPath, weather: WeatherYear, hours: Sequence[int]) -> tuple[list[float], list[float]]:
    sky_glass = glass_ratio(sky_incidence_deg(0.0))
    falls: list[float] = []
    through: list[float] = []
    for t in hours:
        ghi, cosine = weather.ghi_W_m2[t], sun.cos_zenith[t]
        beam = ghi - weather.dhi_W_m2[t] if cosine > LOWEST_SINE else 0.0
        falls.append(ghi)
        through.append((ghi - beam) * sky_glass + (beam * _glass(cosine) if beam else 0.0))
    return falls, through


def _tilted(
    plane: Plane, albedo_ratio: float, sun: SunPath, weather: WeatherYear, hours: Sequence[int]
) -> tuple[list[float], list[float]]:
    sky_glass = glass_ratio(sky_incidence_deg(plane.tilt_deg))
    ground_glass = glass_ratio(ground_incidence_deg(plane.tilt_deg))
    faces = HEADINGS if plane.faces_deg is None else (plane.faces_deg,)
    falls: list[float] = []
    through: list[float] = []
    for t in hours:
        ghi, cosine = weather.ghi_W_m2[t], sun.cos_zenith[t]
        diffuse, direct = ghi, 0.0
        if cosine > LOWEST_SINE:
            around = min(weather.dni_W_m2[t] / sun.outside_W_m2[t // 24], 1.0)
            diffuse = weather.dhi_W_m2[t] * (1.0 - around)
            direct = weather.dni_W_m2[t] + weather.dhi_W_m2[t] * around / cosine
        even = sky_isotropic_W_m2(diffuse, plane.tilt_deg)
        ground = from_ground_W_m2(ghi, albedo_ratio, plane.tilt_deg)
        fall, let_in = even + ground, even * sky_glass + ground * ground_glass
        if direct > 0.0:
            zenith = math.degrees(math.acos(cosine))
            for face in faces:
                onto = cosine_of_incidence_ratio(zenith, sun.azimuth_deg[t], plane.tilt_deg, face)
                if onto > 0.0:
                    fall += direct * onto / len(faces)
                    let_in += direct * onto * _glass(onto) / len(faces)
        falls.append(fall)
        through.append(let_in)
    return falls, through


def _glass(cos_incidence: float) -> float:
    return glass_ratio(math.degrees(math.acos(min(cos_incidence, 1.0))))
