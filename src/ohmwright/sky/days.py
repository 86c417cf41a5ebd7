"""Daily clearness of made years: how bright the days of a month are, how they scatter, how they follow each other.

The days of a month scatter as Hollands and Huget (Solar Energy 30 (1983) 195, after Bendt) give them for its
mean clearness, drawn by the Gaussian chain of Graham, Hollands and Brunger (Solar Energy 40 (1988) 269 and
Solar Energy 44 (1990) 333).  That universal scatter is too wide for most places: deviations are scaled to the
spread of the place, clipped, and shifted so that mean and spread are exact in the long run.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ohmwright.sky.months import DAYS_IN_MONTH, extraterrestrial_of_day_kWh_m2
from ohmwright.sky.sun_hours import Floats
from ohmwright.sky.types import Spot

#: Chain from one day to the next, Graham, Hollands and Brunger 1988 (from memory).
DAY_TO_DAY_ratio = 0.29
#: Whole years are brighter or darker than others by so much (standard deviation; published values run to a few per cent).
YEAR_TO_YEAR_ratio = 0.03
#: Standard deviation of daily clearness where the place does not say: humid tropics, temperate, beyond 50
#: degrees; computed here from three typical-year files (25.8 N, 36.1 N, 55.3 N).
CLASS_SPREAD = (0.12, 0.155, 0.15)
DARKEST_ratio, BRIGHTEST_ratio = 0.02, 0.82
MONTH_OF_DAY = np.repeat(np.arange(12), DAYS_IN_MONTH)
#: Scores at which the spread of a month is tabulated, and their weights under the normal curve.
SCORES: Floats = np.linspace(-4.5, 4.5, 241)
_WEIGHTS: Floats = np.exp(-(SCORES**2) / 2) / np.exp(-(SCORES**2) / 2).sum()
_PROBABILITY: Floats = np.array([0.5 * math.erfc(-z / math.sqrt(2)) for z in SCORES])


@dataclass(frozen=True, slots=True)
class Clearness:
    """What the days of a place are like: irradiation outside the air by day, mean clearness and its spread by month, and the
    clearness of a day of every month at each of SCORES."""

    outside_kWh_m2: Floats
    mean: Floats
    spread: Floats
    at_score: Floats


@lru_cache(maxsize=32)
def clearness_of(spot: Spot) -> Clearness:
    """The days of a spot, from its twelve means and, where known, its day-to-day spread."""
    outside = np.array([extraterrestrial_of_day_kWh_m2(spot.latitude_deg, d) for d in range(1, 366)])
    by_month = np.array([outside[m == MONTH_OF_DAY].mean() for m in range(12)])
    mean = np.where(by_month > 0.02, np.array(spot.ghi_kWh_m2_day) / np.maximum(by_month, 0.02), 0.3)
    wanted = (
        mean * np.array(spot.day_spread)
        if any(spot.day_spread)
        else np.full(12, class_spread(spot.latitude_deg))
    )
    shape_mean = np.clip(mean, 0.08, 0.80)
    room = np.sqrt(
        (shape_mean - DARKEST_ratio) * (np.maximum(BRIGHTEST_ratio, shape_mean + 0.03) - shape_mean)
    )
    spread = np.clip(wanted, 0.02, 0.8 * room)
    daily = np.sqrt(np.maximum(spread**2 - (YEAR_TO_YEAR_ratio * mean) ** 2, (0.5 * spread) ** 2))
    return Clearness(outside, mean, spread, _fitted(_universal(shape_mean), mean, daily))


def class_spread(latitude_deg: float) -> float:
    """Spread of daily clearness by latitude, where nothing better is known.

    >>> class_spread(10.0), class_spread(45.0), class_spread(-55.0)
    (0.12, 0.155, 0.15)
    """
    band = 0 if abs(latitude_deg) < 25 else 1 if abs(latitude_deg) < 50 else 2
    return CLASS_SPREAD[band]


def _universal(mean: Floats) -> Floats:
    """Clearness at each score for months of these means (12, scores): the exponential law between 0.05 and the mean's own top."""
    low = 0.05
    top = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
    width = (np.maximum(top, mean + 0.02) - low)[:, None]
    wanted = ((mean - low) / width[:, 0])[:, None]
    down, up = np.full((mean.size, 1), -60.0), np.full((mean.size, 1), 60.0)
    for _ in range(50):  # the mean of the law on a unit width rises with its steepness
        middle = (down + up) / 2
        g = np.where(np.abs(middle) < 1e-3, 1e-3, middle)
        reached = np.where(np.abs(middle) < 1e-3, 0.5 + middle / 12, 1 / (1 - np.exp(-g)) - 1 / g)
        down, up = np.where(reached < wanted, middle, down), np.where(reached < wanted, up, middle)
    g = np.where(np.abs(down) < 1e-6, 1e-6, down)
    quantile: Floats = low + width * np.log1p(_PROBABILITY[None, :] * np.expm1(g)) / g
    return quantile


def _fitted(shape: Floats, mean: Floats, spread: Floats) -> Floats:
    """The shape moved and stretched until, after clipping, mean and spread are those wanted."""
    centre = (shape * _WEIGHTS).sum(axis=1, keepdims=True)
    stretch, shift = (
        (spread / np.sqrt((((shape - centre) ** 2) * _WEIGHTS).sum(axis=1)))[:, None],
        mean[:, None].copy(),
    )
    top = np.maximum(BRIGHTEST_ratio, mean + 0.03)[:, None]
    bottom = np.minimum(DARKEST_ratio, mean / 2)[:, None]
    out = shape
    for _ in range(60):
        out = np.clip(shift + stretch * (shape - centre), bottom, top)
        got = (out * _WEIGHTS).sum(axis=1, keepdims=True)
        got_spread = np.sqrt((((out - got) ** 2) * _WEIGHTS).sum(axis=1, keepdims=True))
        shift = shift + mean[:, None] - got
        stretch = stretch * np.clip(spread[:, None] / np.maximum(got_spread, 1e-9), 0.8, 1.25)
    return out


def chained(noise: Floats, link: float) -> Floats:
    """A Gaussian chain along the last axis from independent noise; every member keeps unit variance."""
    out = np.empty_like(noise)
    out[..., 0] = noise[..., 0]
    left = math.sqrt(1 - link * link)
    for k in range(1, noise.shape[-1]):
        out[..., k] = link * out[..., k - 1] + left * noise[..., k]
    return out


def days_of(told: Clearness, scores: Floats, year_factor: Floats) -> Floats:
    """Clearness of the days (years, 365) from chained scores and the factor of each whole year."""
    out = np.empty_like(scores)
    for m in range(12):
        days = m == MONTH_OF_DAY
        out[:, days] = np.interp(scores[:, days], SCORES, told.at_score[m])
    top = np.maximum(BRIGHTEST_ratio, told.mean + 0.03)[MONTH_OF_DAY]
    return np.minimum(out * year_factor[:, None], top)
