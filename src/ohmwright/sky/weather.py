"""Weather made from twelve monthly means: many years with their bad weeks, or one typical year.

The same spot, seed and year number give the same year, however many are asked for.  Places of one trip share the
chance of a seed, the more the nearer they lie: see `trips`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ohmwright.sky.days import (
    MONTH_OF_DAY,
    DAY_TO_DAY_ratio,
    YEAR_TO_YEAR_ratio,
    chained,
    clearness_of,
    days_of,
)
from ohmwright.sky.hours import Singles, day_air_degC, hours_of_air, hours_of_light
from ohmwright.sky.months import CLASS_WIND_m_per_s
from ohmwright.sky.plane import beam_W_m2
from ohmwright.sky.sun_hours import Floats, SunHours, sun_hours, sun_of_days, utc_offset_of
from ohmwright.sky.types import Spot, WeatherYear

#: Chain of warm and cold spells from one day to the next: 0.65 to 0.79 in three typical-year files (computed here).
AIR_DAY_TO_DAY_ratio = 0.7
_LIGHT, _HOURS = 1, 2
ALONE = (1.0,)


@dataclass(frozen=True, slots=True)
class MadeYears:
    """Days of many made years (years, 365): clearness, irradiation, mean air temperature. `first` is the number of the first year."""

    spot: Spot
    seed: int
    first: int
    clearness: Floats
    ghi_kWh_m2: Floats
    air_degC: Floats


@dataclass(frozen=True, slots=True)
class MadeHours:
    """Hours of many made years (years, 8760), in the whole-hour offset nearest to the sun, with the sun that shines on them."""

    spot: Spot
    utc_offset_h: float
    sun: SunHours
    ghi_W_m2: Singles
    dhi_W_m2: Singles
    air_degC: Singles


def synthetic_years(
    spot: Spot, years: int, seed: int, *, first: int = 0, weights: Sequence[float] = ALONE
) -> MadeYears:
    """So many years of days for a spot, from number `first` of the seed on.

    `weights` says how much the spot has of each driver of chance; see `trips.weights_of`.  A place alone has all of the first.
    """
    told = clearness_of(spot)
    noise = np.zeros((years, 2 * 365 + 1))
    for k in range(years):
        for which, weight in enumerate(weights):
            if weight:
                own = (seed, first + k, _LIGHT, which) if which else (seed, first + k, _LIGHT)
                noise[k] += weight * np.random.default_rng(own).standard_normal(noise.shape[1])
    light = chained(noise[:, :365], DAY_TO_DAY_ratio)
    air = chained(noise[:, 365:730], AIR_DAY_TO_DAY_ratio)
    year_factor = np.exp(YEAR_TO_YEAR_ratio * noise[:, 730] - YEAR_TO_YEAR_ratio**2 / 2)
    clearness = days_of(told, light, year_factor)
    return MadeYears(
        spot, seed, first, clearness, clearness * told.outside_kWh_m2, day_air_degC(spot, light, air)
    )


def some_of(made: MadeYears, first: int, count: int) -> MadeYears:
    """Years `first` and on, so many of them, out of made ones."""
    part = slice(first - made.first, first - made.first + count)
    return MadeYears(
        made.spot, made.seed, first, made.clearness[part], made.ghi_kWh_m2[part], made.air_degC[part]
    )


def hours_of(made: MadeYears, days: NDArray[np.intp] | None = None) -> MadeHours:
    """The hours of made years, or of some of their days; 1000 years take about 100 MB, so ask for blocks."""
    offset = utc_offset_of(made.spot.longitude_deg)
    sun = sun_hours(made.spot.latitude_deg, made.spot.longitude_deg, offset)
    years = made.clearness.shape[0]
    noise = np.empty((years, 365, 24), dtype=np.float32)
    for k in range(years):
        rng = np.random.default_rng((made.seed, made.first + k, _HOURS))
        noise[k] = rng.standard_normal((365, 24), dtype=np.float32)
    air = hours_of_air(made.spot, made.air_degC, made.clearness)
    if days is None or len(days) == 365:
        ghi, dhi = hours_of_light(sun, made.clearness, made.ghi_kWh_m2, noise)
        return MadeHours(made.spot, offset, sun, ghi, dhi, air)
    some = sun_of_days(sun, days)
    ghi, dhi = hours_of_light(some, made.clearness[:, days], made.ghi_kWh_m2[:, days], noise[:, days])
    air = air.reshape(years, 365, 24)[:, days].reshape(years, -1)
    return MadeHours(made.spot, offset, some, ghi, dhi, air)


_CHOICE_years = 40


def normal_year(spot: Spot) -> WeatherYear:
    """One typical year of hours made from the spot's monthly means; the irradiation of every month is exactly the spot's.

    Each month is the one of 40 made years whose days lie nearest to all of them (the rule of Finkelstein and
    Schafer, by which typical years are picked from measured ones), scaled to the mean.  Always the same for the
    same spot.  It holds no unusual week: what a bad winter does must be asked of many years.
    """
    made = synthetic_years(spot, _CHOICE_years, 0)
    clearness, air = np.empty(365), np.empty(365)
    told = clearness_of(spot)
    for m in range(12):
        days = np.flatnonzero(m == MONTH_OF_DAY)
        best = _most_typical(made.clearness[:, days])
        clearness[days] = _scaled(
            made.clearness[best, days], told.outside_kWh_m2[days], spot.ghi_kWh_m2_day[m]
        )
        air[days] = made.air_degC[best, days] + spot.air_degC[m] - made.air_degC[best, days].mean()
    one = MadeYears(spot, 0, 0, clearness[None, :], (clearness * told.outside_kWh_m2)[None, :], air[None, :])
    hours = hours_of(one)
    ghi = _exact(hours.ghi_W_m2[0].astype(np.float64), spot)
    dhi = np.minimum(hours.dhi_W_m2[0].astype(np.float64), ghi)
    dni = beam_W_m2(hours.sun, ghi, dhi)
    return WeatherYear(
        spot,
        hours.utc_offset_h,
        tuple(ghi.tolist()),
        tuple(dhi.tolist()),
        tuple(dni.tolist()),
        tuple(hours.air_degC[0].astype(np.float64).tolist()),
        (CLASS_WIND_m_per_s,) * 8760,
        "; ".join(
            (
                f"a typical year made from monthly means ({spot.method})",
                f"wind {CLASS_WIND_m_per_s:g} m/s throughout",
            )
        ),
        is_real=False,
    )


def _most_typical(days: Floats) -> int:
    """The year whose sorted days of the month lie nearest to those of all years together."""
    ranked = np.sort(days, axis=1)
    distance = np.abs(ranked - ranked.mean(axis=0)).mean(axis=1) + np.abs(days.mean(axis=1) - days.mean())
    return int(np.argmin(distance))


def _scaled(clearness: Floats, outside_kWh_m2: Floats, mean_kWh_m2: float) -> Floats:
    got = float((clearness * outside_kWh_m2).mean())
    return clearness * (mean_kWh_m2 / got) if got > 1e-6 else clearness


def _exact(ghi_W_m2: Floats, spot: Spot) -> Floats:
    """Take the rounding of single precision out of the monthly sums."""
    out = ghi_W_m2.copy()
    month = np.repeat(MONTH_OF_DAY, 24)
    for m in range(12):
        hours = month == m
        total = out[hours].sum() / 1000
        if total > 1e-6:
            out[hours] *= spot.ghi_kWh_m2_day[m] * (hours.sum() / 24) / total
    return out


@dataclass(frozen=True, slots=True)
class BadWeeks:
    """Darkest runs of days: mean kWh/m2 and day on the horizontal, by length in days and chance per year in per cent."""

    spot: Spot
    years: int
    seed: int
    lengths_days: tuple[int, ...]
    chances_percent: tuple[int, ...]
    mean_kWh_m2: tuple[tuple[float, ...], ...]
    warning: str


LENGTHS_days = (1, 3, 5, 7, 14)
CHANCES_percent = (50, 10, 5, 1)
#: Beyond this latitude made winters are rather too dark: six files, 51 to 65 N.
DARK_LATITUDE_deg = 55.0


def bad_weeks(spot: Spot, years: int, seed: int) -> BadWeeks:
    """How dark the darkest 1, 3, 5, 7 and 14 days of a year are, in so many made years."""
    days = synthetic_years(spot, years, seed).ghi_kWh_m2
    darkest = darkest_runs(days)
    table = tuple(tuple(float(np.percentile(runs, c)) for c in CHANCES_percent) for runs in darkest)
    return BadWeeks(spot, years, seed, LENGTHS_days, CHANCES_percent, table, _warning(spot))


def darkest_runs(days_kWh_m2: Floats) -> tuple[Floats, ...]:
    """The smallest mean over 1, 3, 5, 7 and 14 days in a row of each year; the year is taken as a ring."""
    ring = np.concatenate([days_kWh_m2, days_kWh_m2[:, :14]], axis=1)
    sums = np.concatenate([np.zeros((ring.shape[0], 1)), np.cumsum(ring, axis=1)], axis=1)
    return tuple(((sums[:, n : n + 365] - sums[:, :365]) / n).min(axis=1) for n in LENGTHS_days)


def _warning(spot: Spot) -> str:
    said = f"single months are good to about {spot.band_percent:g} %, the worst week to about a quarter: so it was in three of four weather files"
    if abs(spot.latitude_deg) > DARK_LATITUDE_deg:
        said += "; this far from the equator made winters came out rather darker than the files"
    return said
