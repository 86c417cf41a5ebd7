"""The sun's place against published examples and against the full NREL algorithm in pvlib."""

import math
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from pvlib import spa

from ohmwright.physics import sun
from ohmwright.working import evaluate, formula_of

J2000 = pd.Timestamp("2000-01-01 12:00", tz="UTC")


def seen(days: float, utc_h: float, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Zenith (from the ground, no refraction) and azimuth."""
    declination = sun.declination_deg(sun.sun_longitude_deg(days), sun.obliquity_deg(days))
    turned = sun.hour_angle_deg(utc_h, longitude_deg, sun.equation_of_time_deg(days))
    return sun.zenith_seen_deg(sun.zenith_deg(latitude_deg, declination, turned)), sun.azimuth_deg(
        latitude_deg, declination, turned
    )


def days_at(text: str) -> float:
    return float((pd.Timestamp(text, tz="UTC") - J2000).total_seconds() / 86400)


# Reda and Andreas, NREL/TP-560-34302 (revised 2008), worked example of appendix A.5 (2003-10-17 12:30:30 UTC-7,
# 39.742476 N, 105.1786 W), read in the test files of pvlib.  The short series is allowed 0.01 deg (0.05 min).
def test_the_worked_example_of_the_solar_position_report_is_met() -> None:
    days = days_at("2003-10-17 19:30:30")
    utc_h = 19 + 30 / 60 + 30 / 3600
    zenith, azimuth = seen(days, utc_h, 39.742476, -105.1786)
    # The printed zenith is apparent: refraction there (820 mbar, 11 degC) lifts the sun by 0.01561 deg.
    refraction = (
        820
        / 1010
        * 283
        / (273 + 11)
        * 1.02
        / (60 * math.tan(math.radians(39.8727 + 10.3 / (39.8727 + 5.11))))
    )

    assert zenith - refraction == pytest.approx(50.11162, abs=0.01)
    assert azimuth == pytest.approx(194.34024, abs=0.01)
    assert sun.declination_deg(sun.sun_longitude_deg(days), sun.obliquity_deg(days)) == pytest.approx(
        -9.31434, abs=0.01
    )
    assert sun.right_ascension_deg(
        sun.sun_longitude_deg(days), sun.obliquity_deg(days)
    ) % 360 == pytest.approx(202.227408, abs=0.01)
    assert sun.earth_sun_distance_au(days) == pytest.approx(0.9965422974, abs=5e-5)
    assert 4 * sun.equation_of_time_deg(days) == pytest.approx(14.6415, abs=0.05)


# Values in pvlib's test_spa.py (test_transit_sunrise_sunset, at Greenwich longitude), UT.  The short series is
# within 0.01 deg of longitude; at 35 S the sun climbs 0.2 deg a minute, so 10 s are allowed.
@pytest.mark.parametrize(
    ("date", "rise", "set_"), [("1996-07-05", "07:08:15", "17:01:04"), ("2004-12-04", "04:38:57", "19:02:02")]
)
def test_sunrise_and_sunset_are_those_of_the_published_days(date: str, rise: str, set_: str) -> None:
    def passes(guess_h: float, sign: int) -> float:
        for _ in range(4):
            days = days_at(date) + guess_h / 24
            declination = sun.declination_deg(sun.sun_longitude_deg(days), sun.obliquity_deg(days))
            angle = sun.hour_angle_at_zenith_deg(-35.0, declination, 90.8333)
            guess_h = 12 + (sign * angle - sun.equation_of_time_deg(days)) / 15
        return guess_h * 3600

    assert passes(6.0, -1) == pytest.approx(pd.Timedelta(rise).total_seconds(), abs=10)
    assert passes(18.0, 1) == pytest.approx(pd.Timedelta(set_).total_seconds(), abs=10)


# Erratum to Duffie and Beckman, equation 1.10.3: latitude 43, declination 9.64, sunset 99.1, 1367 W/m2 on day 105
# give 33.93 MJ/m2 (its author first published 26.56, wrong).
def test_the_daily_sum_outside_the_air_is_that_of_the_erratum() -> None:
    normal = 1367 * (1 + 0.033 * math.cos(math.radians(360 * 105 / 365)))
    sunset = sun.hour_angle_at_zenith_deg(43.0, 9.64, 90.0)
    got_MJ_m2 = sun.extraterrestrial_day_Wh_m2(43.0, 9.64, sunset, normal) * 3600 / 1e6

    assert sunset == pytest.approx(99.1, abs=0.05)
    assert got_MJ_m2 == pytest.approx(33.93, abs=0.01)


# FAO Irrigation and Drainage Paper 56, chapter 3, example 8: 20 S, day 246 (3 September): Ra = 32.2 MJ/m2 with
# dr = 0.985, declination 0.120 rad, sunset 1.527 rad, 0.0820 MJ/m2/min.
def test_the_daily_sum_outside_the_air_is_that_of_the_irrigation_paper() -> None:
    declination = math.degrees(0.120)
    sunset = sun.hour_angle_at_zenith_deg(-20.0, declination, 90.0)
    got_MJ_m2 = sun.extraterrestrial_day_Wh_m2(-20.0, declination, sunset, 0.985 * 0.0820e6 / 60) * 3600 / 1e6

    assert math.radians(sunset) == pytest.approx(1.527, abs=0.001)
    assert got_MJ_m2 == pytest.approx(32.2, abs=0.1)


# Duffie and Beckman, Solar Engineering of Thermal Processes, example 1.6.2 (Madison, 43 N): printed azimuths count
# from south; the second one lies beyond east-west, where an arcsine alone fails.  Declinations by Cooper's equation.
@pytest.mark.parametrize(
    ("day", "hour_angle", "zenith", "from_south"), [(44, -37.5, 66.5, -40.0), (182, 97.5, 79.6, 112.0)]
)
def test_zenith_and_azimuth_are_those_of_the_textbook_example(
    day: int, hour_angle: float, zenith: float, from_south: float
) -> None:
    declination = 23.45 * math.sin(math.radians(360 * (284 + day) / 365))

    assert sun.zenith_deg(43.0, declination, hour_angle) == pytest.approx(zenith, abs=0.15)
    assert sun.azimuth_deg(43.0, declination, hour_angle) - 180 == pytest.approx(from_south, abs=0.15)


# Reference: the full algorithm (Reda and Andreas) as implemented in pvlib, at any place on the globe.
def worst_error_deg(count: int, seed: int) -> float:
    rng = np.random.default_rng(seed)
    first, last = (pd.Timestamp(t, tz="UTC").timestamp() for t in ("1950-01-01", "2050-12-31"))
    unix = np.sort(rng.uniform(first, last, count))
    latitude, longitude = np.degrees(np.arcsin(rng.uniform(-1, 1, count))), rng.uniform(-180, 180, count)
    when = pd.to_datetime(unix, unit="s", utc=True)
    ahead_s = spa.calculate_deltat(when.year.to_numpy(), when.month.to_numpy())
    worst = 0.0
    for k in range(count):
        full = spa.solar_position_numpy(
            unix[k : k + 1], latitude[k], longitude[k], 0, 1013.25, 12, ahead_s[k], 0.5667, 1
        )
        zenith, azimuth = seen(unix[k] / 86400 - 10957.5, unix[k] % 86400 / 3600, latitude[k], longitude[k])
        turn = (azimuth - full[4][0] + 180) % 360 - 180
        worst = max(worst, math.hypot(zenith - full[1][0], turn * math.sin(math.radians(zenith))))
    return worst


def test_the_sun_stands_within_a_hundredth_of_a_degree_of_the_full_algorithm() -> None:
    assert worst_error_deg(500, 1) <= 0.01


@pytest.mark.slow
def test_the_sun_stands_within_a_hundredth_of_a_degree_at_twenty_thousand_times_and_places() -> None:
    assert worst_error_deg(20_000, 2) <= 0.01


# Pole, polar circle and equator: nothing divides by zero, and the polar day and night have their daily sums.
def test_the_poles_have_a_sun() -> None:
    june, december = 23.43, -23.43

    assert sun.hour_angle_at_zenith_deg(89.9, june, 90.0) == 180
    assert sun.hour_angle_at_zenith_deg(89.9, december, 90.0) == 0
    assert sun.extraterrestrial_day_Wh_m2(89.9, december, 0.0, 1361.0) == 0
    assert sun.zenith_deg(90.0, june, 123.0) == pytest.approx(90 - june)
    assert sun.azimuth_deg(-90.0, june, 10.0) >= 0


def test_the_printed_formulas_give_what_the_functions_give() -> None:
    worked: dict[Callable[..., float], tuple[float, ...]] = {
        sun.nutation_deg: (8765.4,), sun.obliquity_deg: (8765.4,), sun.declination_deg: (200.3, 23.44), sun.right_ascension_deg: (200.3, 23.44),
        sun.hour_angle_deg: (23.5, 170.0, -3.1), sun.cosine_of_zenith_ratio: (-35.0, 12.0, -40.0), sun.zenith_deg: (-35.0, 12.0, -40.0),
        sun.azimuth_deg: (-35.0, 12.0, -40.0), sun.zenith_seen_deg: (77.0,), sun.hour_angle_at_zenith_deg: (51.0, -20.0, 90.833),
        sun.extraterrestrial_W_m2: (1361.0, 0.9833), sun.extraterrestrial_day_Wh_m2: (51.0, -20.0, 60.0, 1400.0),
    }  # fmt: skip
    for function, values in worked.items():
        told = formula_of(function)
        value = evaluate(told.text, dict(zip(told.symbols.values(), values, strict=True)))
        assert value == pytest.approx(function(*values), rel=1e-12, abs=1e-12), function.__name__
