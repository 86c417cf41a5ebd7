"""The sun over the 8760 hours of a typical year, as arrays: the leaves of `physics.sun`, many hours at a time."""

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.physics.sun import hour_angle_at_zenith_deg
from ohmwright.sky.months import day_sun, noon_days_since_j2000

Floats: TypeAlias = NDArray[np.float64]
HOURS = 8760


@dataclass(frozen=True, slots=True)
class SunHours:
    """What the sun does in each hour, for one place.

    `cos_zenith` is the mean over the whole hour, 0 where the sun is down; zenith and azimuth are those in the
    middle of the lit part of the hour; `lit` are the indexes of hours with any sun.  `outside_W_m2` faces the sun.
    """

    cos_zenith: Floats
    zenith_deg: Floats
    azimuth_deg: Floats
    outside_W_m2: Floats
    lit: NDArray[np.intp]


@lru_cache(maxsize=1)
def _days() -> Floats:
    """Declination, equation of time and normal irradiance outside the air at noon UTC, from the day before the year to the day after."""
    return np.array([day_sun(noon_days_since_j2000(d)) for d in range(367)])


def utc_offset_of(longitude_deg: float) -> float:
    """The whole-hour offset nearest to local mean time: days of made weather run from midnight to midnight in it."""
    return float(round(longitude_deg / 15))


@lru_cache(maxsize=32)
def sun_hours(latitude_deg: float, longitude_deg: float, utc_offset_h: float) -> SunHours:
    """The sun of a place over the hours of a typical year that begin at whole hours of the offset."""
    lit_from, lit_to, declination, outside = _lit_parts(latitude_deg, longitude_deg, utc_offset_h)
    middle = np.radians((lit_from + lit_to) / 2)
    span = np.radians(np.maximum(lit_to - lit_from, 0))
    p, d = np.radians(latitude_deg), np.radians(declination)
    rise, swing = np.sin(p) * np.sin(d), np.cos(p) * np.cos(d)
    at_middle = rise + swing * np.cos(middle)
    mean = (rise * span + swing * 2 * np.cos(middle) * np.sin(span / 2)) / np.radians(15.0)
    mean = np.where(span > 0, np.maximum(mean, 0), 0)
    azimuth = 180 + np.degrees(np.arctan2(np.sin(middle), np.cos(middle) * np.sin(p) - np.tan(d) * np.cos(p)))
    for a in (mean, at_middle, azimuth, outside):
        a.setflags(write=False)
    zenith = np.degrees(np.arccos(np.clip(at_middle, -1, 1)))
    return SunHours(mean, zenith, azimuth, outside, np.flatnonzero(mean > 1e-6))


def sun_of_days(sun: SunHours, days: NDArray[np.intp]) -> SunHours:
    """The sun of some days of the year alone, in their order."""
    hours = (24 * days[:, None] + np.arange(24)).ravel()
    cosine = sun.cos_zenith[hours]
    return SunHours(
        cosine,
        sun.zenith_deg[hours],
        sun.azimuth_deg[hours],
        sun.outside_W_m2[hours],
        np.flatnonzero(cosine > 1e-6),
    )


def _lit_parts(
    latitude_deg: float, longitude_deg: float, utc_offset_h: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """Hour angles at which the lit part of each hour begins and ends (the whole hour when it is dark), with the sun of that hour."""
    days = _days()
    utc_h = np.arange(HOURS) - utc_offset_h + 0.5
    day = utc_h / 24 + 0.5
    declination, equation, outside = (np.interp(day, np.arange(367), days[:, k]) for k in range(3))
    sunset = np.array([hour_angle_at_zenith_deg(latitude_deg, d, 90.0) for d in days[:, 0]])
    half_day = np.interp(day, np.arange(367), sunset)
    begins = 15 * (utc_h - 12.5) + longitude_deg + equation
    begins = (begins + 180) % 360 - 180
    ends = begins + 15
    lit_from, lit_to = np.maximum(begins, -half_day), np.minimum(ends, half_day)
    next_from = np.maximum(begins, 360 - half_day)
    takes_next = (ends > next_from) & (ends - next_from > lit_to - lit_from)
    lit_from, lit_to = np.where(takes_next, next_from, lit_from), np.where(takes_next, ends, lit_to)
    all_day = half_day >= 179.999
    dark = ~all_day & (lit_to <= lit_from)
    lit_from, lit_to = (
        np.where(all_day | dark, begins, lit_from),
        np.where(all_day, ends, np.where(dark, begins, lit_to)),
    )
    return lit_from, lit_to, declination, outside
