"""Whole years of sun and of light on planes: against the leaves hour by hour, and against pvlib."""

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.physics import sky_light, sky_tilt, sun
from ohmwright.sky.files import read_weather
from ohmwright.sky.months import TYPICAL_YEAR, clear_sky_by_month, extraterrestrial_of_day_kWh_m2
from ohmwright.sky.plane import Sky, clear_sky_W_m2, diffuse_W_m2, on_plane_W_m2
from ohmwright.sky.spots import spot_at
from ohmwright.sky.sun_hours import sun_hours

DATA = Path(pvlib.__file__).parent / "data"
PLACES = [
    (46.8, -92.1, -6.0),
    (-33.9, 151.2, 10.0),
    (0.3, 32.6, 3.0),
    (69.65, 18.96, 1.0),
    (-54.8, -68.3, -4.0),
    (61.9, 9.0, 1.0),
]


@pytest.mark.parametrize("place", PLACES)
def test_the_hours_of_sun_are_those_of_the_full_algorithm(place: tuple[float, float, float]) -> None:
    """Mean of the hour against six-minute steps of pvlib's position: 0.002 of the sun's full height."""
    latitude, longitude, offset = place
    ours = sun_hours(latitude, longitude, offset)
    start = pd.Timestamp(f"{TYPICAL_YEAR}-01-01", tz="UTC") - pd.Timedelta(hours=offset)
    days = [0, 79, 100, 171, 200, 264, 300, 354]
    for day in days:
        when = pd.date_range(start + pd.Timedelta(days=day, minutes=3), periods=240, freq="6min")
        zenith = pvlib.solarposition.spa_python(when, latitude, longitude)["zenith"].to_numpy()
        mean = np.maximum(np.cos(np.radians(zenith)), 0).reshape(24, 10).mean(axis=1)
        assert np.abs(ours.cos_zenith[day * 24 : day * 24 + 24] - mean).max() < 0.002


@pytest.mark.parametrize("place", PLACES)
def test_the_days_of_the_hours_add_up_to_the_daily_sums(place: tuple[float, float, float]) -> None:
    ours = sun_hours(*place)
    days = (ours.cos_zenith * ours.outside_W_m2).reshape(365, 24).sum(axis=1) / 1000

    for day in range(0, 365, 13):
        assert days[day] == pytest.approx(extraterrestrial_of_day_kWh_m2(place[0], day + 1), abs=0.05)


def test_the_middle_of_a_lit_hour_is_that_of_the_leaves() -> None:
    latitude, longitude, offset = PLACES[0]
    ours = sun_hours(latitude, longitude, offset)
    for hour in range(12, 8760, 24 * 7):
        days = (hour + 0.5 - offset) / 24 + (TYPICAL_YEAR - 2000) * 365 + 6 - 0.5
        declination = sun.declination_deg(sun.sun_longitude_deg(days), sun.obliquity_deg(days))
        turned = sun.hour_angle_deg(hour + 0.5 - offset, longitude, sun.equation_of_time_deg(days))
        assert ours.zenith_deg[hour] == pytest.approx(
            sun.zenith_deg(latitude, declination, turned), abs=0.005
        )
        assert ours.azimuth_deg[hour] == pytest.approx(
            sun.azimuth_deg(latitude, declination, turned), abs=0.02
        )


@pytest.mark.parametrize("sky", ["even", "hay-davies", "perez"])
def test_light_on_a_plane_is_that_of_the_leaves(sky: Sky) -> None:
    hours = sun_hours(*PLACES[0])
    ghi = np.zeros(8760)
    ghi[hours.lit] = (
        np.random.default_rng(1).uniform(0.05, 0.75, hours.lit.size)
        * (hours.outside_W_m2 * hours.cos_zenith)[hours.lit]
    )
    dhi = diffuse_W_m2(hours, ghi)
    tilt, facing = 35.0, 200.0
    ours = on_plane_W_m2(hours, ghi, dhi, tilt, facing, sky=sky)

    checked = 0
    for h in hours.lit[::29]:
        z = float(hours.zenith_deg[h])
        if z > 84:
            continue
        cosine, outside = math.cos(math.radians(z)), float(hours.outside_W_m2[h])
        toward = sky_tilt.cosine_of_incidence_ratio(z, float(hours.azimuth_deg[h]), tilt, facing)
        level, d = float(ghi[h] - dhi[h]), float(dhi[h])
        beam = min(level / cosine, outside)
        if sky == "even":
            above = sky_tilt.sky_isotropic_W_m2(d, tilt)
        elif sky == "hay-davies":
            above = sky_tilt.sky_hay_davies_W_m2(d, beam, outside, toward, cosine, tilt)
        else:
            above = sky_tilt.sky_perez_W_m2(d, beam, outside, sky_light.air_mass_ratio(z), z, toward, tilt)
        want = level * max(0.0, toward) / cosine + above + sky_tilt.from_ground_W_m2(float(ghi[h]), 0.2, tilt)
        assert ours[h] == pytest.approx(want, rel=1e-9, abs=1e-6)
        checked += 1
    assert checked > 100
    kt = ghi[hours.lit] / (hours.outside_W_m2 * hours.cos_zenith)[hours.lit]
    assert np.allclose(
        dhi[hours.lit],
        [sky_light.diffuse_ratio(float(k)) * g for k, g in zip(kt, ghi[hours.lit], strict=True)],
        rtol=1e-9,
    )


# The same typical year through pvlib's chain: position at half past the hour, Perez, 30 degrees to the south.
# The hour means here differ at dawn and dusk: 2 % of the year.
def test_a_typical_year_on_a_plane_is_that_of_the_reference_library() -> None:
    year = read_weather((DATA / "723170TYA.CSV").read_bytes(), "723170TYA.CSV")
    spot = year.spot
    when = pd.date_range("2023-01-01 00:30", periods=8760, freq="1h", tz="Etc/GMT+5")
    place = pvlib.solarposition.spa_python(when, spot.latitude_deg, spot.longitude_deg)
    hours = sun_hours(spot.latitude_deg, spot.longitude_deg, year.utc_offset_h)
    ghi, dhi, dni = np.array(year.ghi_W_m2), np.array(year.dhi_W_m2), np.array(year.dni_W_m2)
    mass = pvlib.atmosphere.get_relative_airmass(place["zenith"])
    for tilt, facing in ((30.0, 180.0), (10.0, 90.0), (60.0, 270.0)):
        theirs = pvlib.irradiance.get_total_irradiance(
            tilt,
            facing,
            place["zenith"],
            place["azimuth"],
            dni,
            ghi,
            dhi,
            dni_extra=hours.outside_W_m2,
            airmass=mass,
            albedo=0.2,
            model="perez",
        )["poa_global"].fillna(0)
        ours = on_plane_W_m2(hours, ghi, dhi, tilt, facing)
        assert ours.sum() == pytest.approx(float(theirs.sum()), rel=0.02)


def test_lying_flat_the_plane_gets_exactly_the_global() -> None:
    hours = sun_hours(*PLACES[0])
    clear, diffuse = clear_sky_W_m2(hours, 186.0, np.full(8760, 3.0))

    assert np.allclose(on_plane_W_m2(hours, clear, diffuse, 0.0, 123.0), clear, atol=1e-9)
    glazed = on_plane_W_m2(hours, clear, diffuse, 0.0, 0.0, glass=True)
    assert 0.90 < glazed.sum() / clear.sum() < 0.97


@given(st.floats(0, 90), st.floats(0, 360))
@settings(max_examples=30, deadline=None)
def test_a_plane_never_gets_less_than_nothing_nor_more_than_the_sun_gives(tilt: float, facing: float) -> None:
    hours = sun_hours(*PLACES[3])
    clear, diffuse = clear_sky_W_m2(hours, 0.0, np.full(8760, 2.5))
    got = on_plane_W_m2(hours, clear, diffuse, tilt, facing)

    assert got.min() >= 0
    assert got.max() < 1361
    assert np.all(on_plane_W_m2(hours, clear, diffuse, tilt, facing, glass=True) <= got + 1e-9)


def test_single_precision_gives_the_same_light() -> None:
    hours = sun_hours(*PLACES[0])
    clear, diffuse = clear_sky_W_m2(hours, 186.0, np.full(8760, 3.0))
    double = on_plane_W_m2(hours, clear, diffuse, 40.0, 180.0)
    single = on_plane_W_m2(
        hours,
        np.stack([clear, clear]).astype(np.float32),
        np.stack([diffuse, diffuse]).astype(np.float32),
        40.0,
        180.0,
    )

    assert single.dtype == np.float32
    assert single.shape == (2, 8760)
    assert np.abs(single[1] - double).max() < 0.5


# Two roads to the clear sky: hour by hour in arrays, and by the leaves with five days a month.
def test_the_clear_months_of_both_roads_agree() -> None:
    spot = spot_at(46.78, -92.1, 186.0)
    hours = sun_hours(spot.latitude_deg, spot.longitude_deg, -6.0)
    month = np.repeat(np.arange(12), np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24)
    clear, _ = clear_sky_W_m2(hours, 186.0, np.array(spot.turbidity)[month])

    for m, quick in enumerate(clear_sky_by_month(spot)):
        assert clear[month == m].mean() * 24 / 1000 == pytest.approx(quick, rel=0.015)
