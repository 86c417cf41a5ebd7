"""Days into hours: irradiance by the chain of Aguiar and Collares-Pereira, air temperature by a daily wave.

Source of the hours: Aguiar and Collares-Pereira, TAG, Solar Energy 49 (1992) 167 (coefficients read second-hand).
"""

import numpy as np
from numpy.typing import NDArray

from ohmwright.sky.months import DAYS_IN_MONTH
from ohmwright.sky.plane import diffuse_W_m2
from ohmwright.sky.sun_hours import Floats, SunHours
from ohmwright.sky.types import Spot

Singles = NDArray[np.float32]
_TOP_ratio = np.float32(0.88)

#: Daily wave of air temperature by hour, over the day's range: the mean of two typical-year files (25.8 N,
#: 36.1 N), computed here.
WAVE: Floats = np.array([
    -0.285, -0.335, -0.375, -0.41, -0.45, -0.47, -0.43, -0.245, -0.02, 0.17, 0.32, 0.41,
    0.48, 0.515, 0.51, 0.475, 0.395, 0.26, 0.125, 0.005, -0.07, -0.14, -0.195, -0.235,
])  # fmt: skip


def hours_of_light(
    sun: SunHours, clearness: Floats, day_kWh_m2: Floats, noise: Singles
) -> tuple[Singles, Singles]:
    """Global and diffuse irradiance (years, hours) whose daily sums are `day_kWh_m2`, the days being as clear as `clearness` (years, days).

    `noise` is independent and normal, (years, days, 24).  The days are those of `sun`, each for itself.
    """
    years = clearness.shape[0]
    outside = (sun.outside_W_m2 * sun.cos_zenith).reshape(-1, 24).astype(np.float32)
    share = outside / np.maximum(outside.sum(axis=1, keepdims=True), 1e-3)
    height = np.maximum(np.cos(np.radians(sun.zenith_deg)).reshape(-1, 24), 0.02).astype(np.float32)
    wanted = clearness.astype(np.float32)
    kt = _chain(wanted, height, noise, outside > 0)
    for _ in range(3):  # scale the day to its sum, keep each hour under its top
        got = np.einsum("ydh,dh->yd", kt, share)
        kt *= (wanted / np.maximum(got, np.float32(1e-4)))[:, :, None]
        np.minimum(kt, np.maximum(_TOP_ratio, wanted[:, :, None]), out=kt)
    kt *= outside
    got = kt.sum(axis=2)
    kt *= (1000 * day_kWh_m2 / np.maximum(got, 1e-3)).astype(np.float32)[:, :, None]
    ghi = kt.reshape(years, -1)
    return ghi, diffuse_W_m2(sun, ghi).astype(np.float32, copy=False)


def _chain(day: Singles, height: Singles, noise: Singles, lit: NDArray[np.bool_]) -> Singles:
    """Hourly clearness before it is scaled to the day (years, 365, 24)."""
    level = -0.19 + 1.12 * day + 0.24 * np.exp(-8 * day)
    swing, bend = 0.32 - 1.6 * (day - 0.5) ** 2, 0.19 + 2.27 * day**2 - 2.51 * day**3
    wide, steep = 0.14 * np.exp(-20 * (day - 0.35) ** 2), 3 * (day - 0.45) ** 2 + 16 * day**5
    link = 0.38 + 0.06 * np.cos(7.4 * day - 2.5)
    left = np.sqrt(1 - link**2)
    out = np.zeros((*day.shape, 24), dtype=np.float32)
    state = noise[:, :, 0]
    for h in range(24):
        state = link * state + left * noise[:, :, h]
        days = np.flatnonzero(lit[:, h])
        if not days.size:
            continue
        d = slice(days[0], days[-1] + 1)
        sine = height[d, h]
        mean = level[:, d] + swing[:, d] * np.exp(-bend[:, d] / sine)
        spread = np.minimum(wide[:, d] * np.exp(steep[:, d] * (1 - sine)), 0.25)
        out[:, d, h] = np.clip(mean + spread * state[:, d], 0.01, _TOP_ratio)
    return out


def hours_of_air(spot: Spot, day_mean_degC: Floats, clearness: Floats) -> Singles:
    """Hourly air temperature (years, 8760): straight between the noons, with a wave that is wider on clear days."""
    years = day_mean_degC.shape[0]
    before, after = np.roll(day_mean_degC, 1, axis=1), np.roll(day_mean_degC, -1, axis=1)
    hour = np.arange(24) + 0.5
    early = np.maximum(0, 12 - hour) / 24
    late = np.maximum(0, hour - 12) / 24
    mean = (
        day_mean_degC[:, :, None] * (1 - early - late) + before[:, :, None] * early + after[:, :, None] * late
    )
    wave = (range_K(spot, clearness)[:, :, None] * (WAVE - WAVE.mean())).astype(np.float32)
    out: Singles = np.clip(mean.astype(np.float32) + wave, spot.coldest_degC, spot.hottest_degC).reshape(
        years, 8760
    )
    return out


def range_K(spot: Spot, clearness: Floats) -> Floats:
    """Daily range of air temperature: 2.4 K and more the clearer the day and the further the place from the sea.

    The slope is 0.7 of the year's range, 3 to 18 K, after three typical-year files (computed here).
    """
    slope = float(np.clip(0.7 * (max(spot.air_degC) - min(spot.air_degC)), 3, 18))
    out: Floats = 2.4 + slope * clearness
    return out


def day_air_degC(spot: Spot, light_scores: Floats, air_scores: Floats) -> Floats:
    """Daily mean air temperature (years, 365): smooth months, and a chain of warm and cold spells.

    Spread and tie to the clearness go from the warmest month (1.0 K and more; bright days are warm) to the
    coldest (bright days are cold), after three typical-year files (computed here).
    """
    months = np.array(spot.air_degC)
    swing = float(months.max() - months.min())
    cold = (months.max() - months) / max(swing, 0.1)
    spread = 1.0 + 0.04 * swing + cold * min(0.31 * swing, 2.5 + 0.06 * swing)
    tie = 0.5 - 0.8 * cold
    middle = np.cumsum(DAYS_IN_MONTH) - np.array(DAYS_IN_MONTH) / 2
    day = np.arange(365) + 0.5
    curve = np.array([months, spread, tie])
    smooth = np.array([np.interp(day, middle, row, period=365) for row in curve])
    month = np.repeat(np.arange(12), DAYS_IN_MONTH)
    drift = np.array([months[m] - smooth[0, month == m].mean() for m in range(12)])[month]
    out: Floats = (
        smooth[0] + drift + smooth[1] * (smooth[2] * light_scores + np.sqrt(1 - smooth[2] ** 2) * air_scores)
    )
    return out
