"""Made years against three typical-year files that pvlib ships (Miami 25.8 N, Greensboro 36.1 N, Sand Point 55.3 N)."""

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from ohmwright.sky.days import MONTH_OF_DAY, clearness_of
from ohmwright.sky.files import read_weather
from ohmwright.sky.plane import on_plane_W_m2
from ohmwright.sky.spots import spot_at
from ohmwright.sky.sun_hours import Floats, sun_hours
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.sky.weather import (
    LENGTHS_days,
    MadeYears,
    bad_weeks,
    darkest_runs,
    hours_of,
    normal_year,
    synthetic_years,
)

DATA = Path(pvlib.__file__).parent / "data"
FILES = ("12839.tm2", "723170TYA.CSV", "703165TY.csv")
LOWER = FILES[:2]


@lru_cache(maxsize=3)
def real(name: str) -> WeatherYear:
    return read_weather((DATA / name).read_bytes(), name)


def real_days(name: str) -> Floats:
    out: Floats = np.array(real(name).ghi_W_m2).reshape(365, 24).sum(axis=1) / 1000
    return out


@lru_cache(maxsize=6)
def made(name: str, years: int) -> MadeYears:
    return synthetic_years(real(name).spot, years, 7)


def deviations(clearness: Floats, spot: Spot) -> Floats:
    out: Floats = clearness - clearness_of(spot).mean[MONTH_OF_DAY]
    return out


def lag(days: Floats) -> float:
    return float(np.corrcoef(days[1:], days[:-1])[0, 1])


def accept(name: str, years: int) -> None:
    """Mean, spread, chain and distribution of daily clearness: 1 %, 2 %, 0.06 and a Kolmogorov distance of 0.08."""
    spot, outside = real(name).spot, clearness_of(real(name).spot).outside_kWh_m2
    measured = deviations(real_days(name) / outside, spot)
    ours = deviations(made(name, years).clearness, spot)

    assert made(name, years).ghi_kWh_m2.mean() == pytest.approx(real_days(name).mean(), rel=0.01)
    assert ours.std() == pytest.approx(measured.std(), rel=0.02)
    assert np.mean([lag(year) for year in ours]) == pytest.approx(lag(measured), abs=0.06)
    assert stats.ks_2samp(measured, ours.ravel()).statistic < 0.08


@pytest.mark.parametrize("name", FILES)
def test_made_days_scatter_as_measured_days(name: str) -> None:
    accept(name, 100)


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_four_hundred_made_years_scatter_as_measured_days(name: str) -> None:
    accept(name, 400)


# One measured year against many made ones: its worst 3, 7 and 14 days must not be outlandish among them.
@pytest.mark.parametrize("name", LOWER)
@pytest.mark.parametrize("years", [100, pytest.param(400, marks=pytest.mark.slow)])
def test_the_worst_weeks_of_the_measured_year_are_among_the_made_ones(name: str, years: int) -> None:
    measured = darkest_runs(real_days(name)[None, :])
    ours = darkest_runs(made(name, years).ghi_kWh_m2)
    for length, one, many in zip(LENGTHS_days, measured, ours, strict=True):
        if length in (3, 7, 14):
            assert np.percentile(many, 1) <= one[0] <= np.percentile(many, 99)


def test_the_months_come_out_at_their_means_in_the_long_run() -> None:
    spot = spot_at(46.78, -92.1, 186)
    years = synthetic_years(spot, 1000, 3)

    for m, wanted in enumerate(spot.ghi_kWh_m2_day):
        assert years.ghi_kWh_m2[:, m == MONTH_OF_DAY].mean() == pytest.approx(wanted, rel=0.01)
    for m, wanted in enumerate(spot.air_degC):
        assert years.air_degC[:, m == MONTH_OF_DAY].mean() == pytest.approx(wanted, abs=0.3)


# Gueymard and Wilcox, Solar Energy 85 (2011) 1068: annual global irradiation varies by a few per cent (value read second-hand).
def test_whole_years_vary_by_a_few_per_cent() -> None:
    annual = made(FILES[1], 100).ghi_kWh_m2.mean(axis=1)

    assert 0.02 < annual.std() / annual.mean() < 0.06


def test_more_years_never_change_the_first_ones() -> None:
    spot = spot_at(46.78, -92.1)
    few, many, later = (
        synthetic_years(spot, 3, 11),
        synthetic_years(spot, 8, 11),
        synthetic_years(spot, 4, 11, first=2),
    )

    assert np.array_equal(few.clearness, many.clearness[:3])
    assert np.array_equal(later.ghi_kWh_m2, many.ghi_kWh_m2[2:6])
    assert np.array_equal(hours_of(few).ghi_W_m2, hours_of(many).ghi_W_m2[:3])
    assert not np.array_equal(few.clearness, synthetic_years(spot, 3, 12).clearness)


@pytest.mark.parametrize(
    "place", [(46.78, -92.1), (1.35, 103.8), (70.2, 25.0), (-33.9, 18.5), (25.2, 55.4), (-13.5, -71.9)]
)
def test_hours_add_up_to_their_days(place: tuple[float, float]) -> None:
    years = synthetic_years(spot_at(*place), 5, 2)
    hours = hours_of(years)

    assert np.allclose(
        hours.ghi_W_m2.reshape(5, 365, 24).sum(axis=2) / 1000, years.ghi_kWh_m2, rtol=1e-4, atol=2e-3
    )
    assert hours.ghi_W_m2.min() >= 0
    assert hours.ghi_W_m2.max() < 1361
    assert np.all(hours.dhi_W_m2 <= hours.ghi_W_m2 + 1e-3)
    assert np.all(hours.ghi_W_m2[:, hours.sun.cos_zenith == 0] == 0)
    assert np.isfinite(hours.air_degC).all()


# What a panel would see: the made hours of the file's own months on a plane at 45 degrees, against the file's hours.
@pytest.mark.parametrize("name", FILES)
def test_made_hours_fill_a_tilted_plane_as_measured_hours_do(name: str) -> None:
    year = real(name)
    spot, facing = year.spot, 180.0
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, year.utc_offset_h)
    measured = on_plane_W_m2(sun, np.array(year.ghi_W_m2), np.array(year.dhi_W_m2), 45.0, facing).sum()
    hours = hours_of(made(name, 100))
    ours = on_plane_W_m2(hours.sun, hours.ghi_W_m2, hours.dhi_W_m2, 45.0, facing).sum() / 100

    assert ours == pytest.approx(measured, rel=0.06)


# Hourly range of clearness within the day against the same files: made hours may not be smoother than real ones by
# more than a fifth (smooth hours would hide a controller at its limit).
@pytest.mark.parametrize("name", FILES)
def test_made_hours_flicker_as_measured_hours_do(name: str) -> None:
    def flicker(ghi: Floats, outside: Floats) -> float:
        high = outside > 300
        k = np.where(high, ghi / np.maximum(outside, 1), np.nan)
        return float(np.nanstd(np.diff(k)))

    year = real(name)
    sun = sun_hours(year.spot.latitude_deg, year.spot.longitude_deg, year.utc_offset_h)
    measured = flicker(np.array(year.ghi_W_m2), sun.outside_W_m2 * sun.cos_zenith)
    hours = hours_of(made(name, 100))
    ours = np.mean(
        [flicker(g.astype(float), hours.sun.outside_W_m2 * hours.sun.cos_zenith) for g in hours.ghi_W_m2[:20]]
    )

    assert ours == pytest.approx(measured, rel=0.3)


# Daily range within 2.5 K: a windy northern coast swings less than its year lets on.
@pytest.mark.parametrize("name", FILES)
def test_made_air_swings_as_measured_air_does(name: str) -> None:
    year = real(name)
    measured = np.array(year.air_degC).reshape(365, 24)
    ours = hours_of(made(name, 100)).air_degC.reshape(-1, 365, 24)

    assert ours.mean() == pytest.approx(measured.mean(), abs=0.5)
    assert (ours.max(axis=2) - ours.min(axis=2)).mean() == pytest.approx(
        (measured.max(axis=1) - measured.min(axis=1)).mean(), abs=2.5
    )
    assert ours.mean(axis=2).std() == pytest.approx(measured.mean(axis=1).std(), rel=0.15)


def test_a_typical_year_has_exactly_the_months_of_its_spot_and_says_that_it_is_made() -> None:
    spot = spot_at(46.78, -92.1, 186, name="Duluth MN")
    year = normal_year(spot)
    days = np.array(year.ghi_W_m2).reshape(365, 24).sum(axis=1) / 1000

    for m, wanted in enumerate(spot.ghi_kWh_m2_day):
        assert days[m == MONTH_OF_DAY].mean() == pytest.approx(wanted, rel=1e-9)
    assert not year.is_real
    assert "made" in year.source
    assert year == normal_year(spot)
    december = days[MONTH_OF_DAY == 11]
    assert december.std() / december.mean() > 0.2  # not twelve even days
    for values in (year.ghi_W_m2, year.dhi_W_m2, year.dni_W_m2, year.air_degC, year.wind_m_per_s):
        assert len(values) == 8760
        assert np.isfinite(values).all()
    assert max(year.dni_W_m2) < 1361
    assert spot.coldest_degC <= min(year.air_degC)


def test_a_typical_year_exists_in_the_polar_night_and_in_the_desert() -> None:
    for place in ((70.2, 25.0), (24.1, 55.0), (-13.5, -71.9), (0.3, 32.6)):
        spot = spot_at(*place)
        year = normal_year(spot)
        assert sum(year.ghi_W_m2) / 365_000 == pytest.approx(
            float(np.dot(spot.ghi_kWh_m2_day, [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) / 365),
            rel=1e-9,
        )


def test_the_table_of_bad_weeks_is_in_order() -> None:
    told = bad_weeks(spot_at(46.78, -92.1), 200, 5)
    table = np.array(told.mean_kWh_m2)

    assert table.shape == (5, 4)
    assert np.all(np.diff(table, axis=1) <= 0)  # rarer is darker
    assert np.all(np.diff(table, axis=0) >= -1e-9)  # longer is brighter
    assert table.max() < min(told.spot.ghi_kWh_m2_day) * 1.2


@given(st.floats(0.03, 0.2), st.integers(0, 2**31))
@settings(max_examples=15, deadline=None)
def test_a_brighter_spot_never_has_a_darker_year(raise_ratio: float, seed: int) -> None:
    """The same seed gives the same run of luck, so a better place may not look worse by chance."""
    spot = spot_at(46.78, -92.1)
    brighter = replace(spot, ghi_kWh_m2_day=tuple(g * (1 + raise_ratio) for g in spot.ghi_kWh_m2_day))

    assert np.all(
        synthetic_years(brighter, 5, seed).ghi_kWh_m2.mean(axis=1)
        >= synthetic_years(spot, 5, seed).ghi_kWh_m2.mean(axis=1)
    )


def test_a_wider_spread_makes_worse_weeks() -> None:
    spot = spot_at(46.78, -92.1)
    calm, wild = replace(spot, day_spread=(0.15,) * 12), replace(spot, day_spread=(0.35,) * 12)

    assert bad_weeks(calm, 100, 1).mean_kWh_m2[3][0] > bad_weeks(wild, 100, 1).mean_kWh_m2[3][0]
