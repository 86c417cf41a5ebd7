"""Columns of a weather file into a year: what no sky can do is refused, what is only odd is said."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmwright.sky.months import DAYS_IN_MONTH, CLASS_TURBIDITY_ratio, extraterrestrial_of_day_kWh_m2
from ohmwright.sky.plane import clear_sky_W_m2
from ohmwright.sky.spots import MONTHS, REFUSED_RATIO, clear_sky_ratios, spot_at
from ohmwright.sky.sun_hours import Floats, SunHours, sun_hours
from ohmwright.sky.table import turbidity
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.working import FileError, OhmwrightError, Position

#: An hour above 1.25 of the cloudless sky and 100 W/m2 more than it is odd; one in a hundred of the bright hours may be.
ODD_RATIO, ODD_W_m2, ODD_SHARE_ratio = 1.25, 100.0, 0.01
HALF_HOUR_h = 0.5
#: By how many hours a clock may be off: by halves, the nearest first.
_SHIFTS_h = tuple(sign * k / 2 for k in range(1, 25) for sign in (1, -1))
#: Part of the year's irradiation that may fall in hours when the sun is down (dusk, hour means).
NIGHT_SHARE_ratio = 0.01
_RANGES = {"ghi": (-20.0, 1600.0, "global irradiation"), "dni": (-20.0, 1400.0, "direct irradiation"), "dhi": (-20.0, 900.0, "diffuse irradiation"),
           "air": (-75.0, 60.0, "air temperature"), "wind": (0.0, 90.0, "wind")}  # fmt: skip


def year_of(
    columns: Mapping[str, Sequence[float]],
    source: str,
    file: str,
    name: str,
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float,
    utc_offset_h: float,
) -> WeatherYear:
    """The year of weather that the columns hold; FileError for what cannot be."""
    arrays = {key: np.asarray(values, dtype=np.float64) for key, values in columns.items()}
    for key, (low, high, what) in _RANGES.items():
        _within(arrays[key], low, high, what, file)
    for key in ("ghi", "dni", "dhi"):  # instruments read a little below zero at night
        arrays[key] = np.maximum(arrays[key], 0)
    at = (latitude_deg, longitude_deg, altitude_m)
    shift = _clock_shift_h(arrays["ghi"], at, utc_offset_h)
    if abs(shift) == HALF_HOUR_h:  # headers that hold whole hours only, where clocks have half ones
        utc_offset_h += shift
        source += f"; its header's clock is half an hour off the sun, read as UTC{utc_offset_h:+g} h"
    sun = sun_hours(latitude_deg, longitude_deg, utc_offset_h)
    fits = (
        f"; the sun would fit a clock of UTC{utc_offset_h + shift:+g} h: write that time zone"
        if shift
        else ""
    )
    _check_night(arrays["ghi"], sun, file, fits)
    _check_bright(arrays["ghi"], sun, at, file, fits)
    spot = _spot(arrays, name or file, latitude_deg, longitude_deg, altitude_m)
    for month, ratio in zip(MONTHS, clear_sky_ratios(spot), strict=True):
        if ratio > REFUSED_RATIO:
            raise FileError(
                f"irradiation of {month} is {ratio:.2f} times that of a sky without a cloud",
                at=Position(file, 0, 0),
                remedy="look at the unit: W/m2 is wanted",
            )
    tuples = {key: tuple(float(v) for v in a) for key, a in arrays.items()}
    return WeatherYear(
        spot,
        utc_offset_h,
        tuples["ghi"],
        tuples["dhi"],
        tuples["dni"],
        tuples["air"],
        tuples["wind"],
        source,
        is_real=True,
    )


def _within(values: Floats, low: float, high: float, what: str, file: str) -> None:
    bad = np.flatnonzero((values < low) | (values > high))
    if bad.size:
        hour = int(bad[0])
        raise FileError(
            f"{what} of {values[hour]:g} in hour {hour + 1} of the year ({bad.size} such hours)",
            at=Position(file, 0, 0),
            remedy=f"values from {low:g} to {high:g} are looked for; look at the unit and the column",
        )


def _check_night(ghi: Floats, sun: SunHours, file: str, fits: str) -> None:
    dark = sun.cos_zenith == 0
    share = float(ghi[dark].sum() / max(ghi.sum(), 1e-9))
    if ghi.sum() < 1:
        raise FileError(
            "a year without sun",
            at=Position(file, 0, 0),
            remedy="give a file with global irradiation in W/m2",
        )
    if share > NIGHT_SHARE_ratio:
        raise FileError(
            f"{share:.0%} of the irradiation falls in the night",
            at=Position(file, 0, 0),
            remedy=f"look at latitude, longitude (west is negative) and time zone in the header, and whether hours end at their stamp{fits}",
        )


def _odd_hours(ghi: Floats, sun: SunHours, at: tuple[float, float, float]) -> NDArray[np.bool_]:
    """The hours that are brighter than any sky over a place (latitude, longitude, altitude)."""
    latitude_deg, longitude_deg, altitude_m = at
    by_month = turbidity(latitude_deg, longitude_deg) or (CLASS_TURBIDITY_ratio,) * 12
    clear, _ = clear_sky_W_m2(sun, altitude_m, np.repeat(by_month, np.array(DAYS_IN_MONTH) * 24))
    out: NDArray[np.bool_] = ghi > np.maximum(ODD_RATIO * clear, clear + ODD_W_m2)
    return out


def _clock_shift_h(ghi: Floats, at: tuple[float, float, float], utc_offset_h: float) -> float:
    """By how many hours the clock is off the sun; 0 when the sun fits as it is, or fits nowhere."""
    bright = int((ghi > 50).sum())

    def odd(shift: float) -> int:
        sun = sun_hours(at[0], at[1], utc_offset_h + shift)
        return int(_odd_hours(ghi, sun, at).sum())

    if bright == 0 or odd(0.0) <= ODD_SHARE_ratio * bright:
        return 0.0
    best = min(_SHIFTS_h, key=odd)
    return best if odd(best) <= ODD_SHARE_ratio * bright else 0.0


def _check_bright(ghi: Floats, sun: SunHours, at: tuple[float, float, float], file: str, fits: str) -> None:
    odd = _odd_hours(ghi, sun, at)
    bright = int((ghi > 50).sum())
    if odd.sum() > ODD_SHARE_ratio * bright:
        hour = int(np.argmax(odd))
        raise FileError(
            f"{int(odd.sum())} of {bright} bright hours are brighter than any sky, the first in hour {hour + 1} of the year",
            at=Position(file, 0, 0),
            remedy=f"look at the unit (W/m2 is wanted), the column and the place in the header{fits}",
        )


def _spot(
    arrays: Mapping[str, Floats], name: str, latitude_deg: float, longitude_deg: float, altitude_m: float
) -> Spot:
    """The station; coldest and hottest are the table's where they lie further out: a typical year holds no record night."""
    days = arrays["ghi"].reshape(365, 24).sum(axis=1) / 1000
    month = np.repeat(np.arange(12), DAYS_IN_MONTH)
    hourly_month = np.repeat(month, 24)
    ghi = tuple(float(days[month == m].mean()) for m in range(12))
    outside = np.array([extraterrestrial_of_day_kWh_m2(latitude_deg, d) for d in range(1, 366)])
    clearness = days / np.maximum(outside, 0.05)
    spread = tuple(
        float(clearness[month == m].std() / clearness[month == m].mean()) if ghi[m] > 0.01 else 0.0
        for m in range(12)
    )
    air = tuple(float(arrays["air"][hourly_month == m].mean()) for m in range(12))
    coldest, hottest = float(arrays["air"].min()), float(arrays["air"].max())
    told = Spot(
        name,
        latitude_deg,
        longitude_deg,
        altitude_m,
        ghi,
        air,
        coldest,
        hottest,
        0.0,
        "weather file",
        5.0,
        spread,
        turbidity(latitude_deg, longitude_deg),
    )
    try:
        table = spot_at(latitude_deg, longitude_deg, altitude_m)
    except OhmwrightError:
        return told
    return replace(
        told, coldest_degC=min(coldest, table.coldest_degC), hottest_degC=max(hottest, table.hottest_degC)
    )
