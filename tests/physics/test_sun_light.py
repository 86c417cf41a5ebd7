"""Clear sky, decomposition, transposition and glass against pvlib, every hour of a year at six places."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib import atmosphere, clearsky, iam, irradiance

from ohmwright.physics import sky_light, sky_tilt
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.working import evaluate, formula_of

#: Latitude, longitude, UTC offset, altitude, turbidity.
PLACES = [(25.8, -80.27, -5, 2, 4.5), (36.1, -79.95, -5, 273, 3.5), (55.317, -160.517, -9, 7, 2.5),
          (-33.9, 151.2, 10, 40, 3.2), (0.3, 32.6, 3, 1155, 4.0), (69.65, 18.96, 1, 10, 2.2)]  # fmt: skip


def hours(place: tuple[float, float, float, float, float]) -> list[tuple[float, float, float]]:
    """Zenith, azimuth and normal irradiance outside the air in every third lit hour (all places together: a year's worth)."""
    sun = sun_hours(place[0], place[1], float(place[2]))
    at = sun.lit[::3]
    return [
        (float(z), float(a), float(e))
        for z, a, e in zip(sun.zenith_deg[at], sun.azimuth_deg[at], sun.outside_W_m2[at], strict=True)
        if z < 89.9
    ]


def agrees(ours: list[float], theirs: object) -> None:
    """Within 0.1 % or 0.5 W/m2: far below the models' own error."""
    a, b = np.array(ours), np.asarray(theirs, dtype=float)
    assert a.size > 1000
    assert np.all(np.abs(a - b) <= np.maximum(0.5, 0.001 * np.abs(b)))


@pytest.mark.parametrize("place", PLACES)
def test_the_clear_sky_is_that_of_the_reference_library(
    place: tuple[float, float, float, float, float],
) -> None:
    height, haze = place[3], place[4]
    pressure = sky_light.pressure_ratio(height)
    rows = hours(place)
    zenith, outside = np.array([r[0] for r in rows]), np.array([r[2] for r in rows])
    mass = atmosphere.get_absolute_airmass(
        atmosphere.get_relative_airmass(zenith), atmosphere.alt2pres(height)
    )
    reference = clearsky.ineichen(zenith, mass, haze, height, outside)
    ghi, dni = [], []
    for z, _, e in rows:
        cosine = math.cos(math.radians(z))
        own_mass = sky_light.air_mass_ratio(z) * pressure
        ghi.append(sky_light.clear_sky_W_m2(cosine, own_mass, haze, height, e))
        dni.append(sky_light.clear_sky_beam_W_m2(ghi[-1], cosine, own_mass, haze, height, e))

    agrees(ghi, reference["ghi"])
    agrees(dni, reference["dni"])


@pytest.mark.parametrize("place", PLACES)
def test_the_diffuse_part_is_that_of_the_reference_library(
    place: tuple[float, float, float, float, float],
) -> None:
    rng = np.random.default_rng(3)
    rows = [
        (z, e, float(k))
        for (z, _, e), k in zip(hours(place), rng.uniform(0.02, 0.9, 9000), strict=False)
        if z < 86
    ]
    zenith, outside = np.array([r[0] for r in rows]), np.array([r[1] for r in rows])
    ghi = np.array([r[2] for r in rows]) * outside * np.cos(np.radians(zenith))
    kt = ghi / (outside * np.cos(np.radians(zenith)))
    day = np.ones_like(kt)
    reference = irradiance.erbs(
        kt * irradiance.get_extra_radiation(1) * np.cos(np.radians(zenith)), zenith, day.astype(int)
    )
    level = np.asarray(reference["dhi"]) / (irradiance.get_extra_radiation(1) * np.cos(np.radians(zenith)))

    agrees([sky_light.diffuse_ratio(float(k)) * float(k) * 1361 for k in kt], level * 1361)


def planes(
    place: tuple[float, float, float, float, float],
) -> list[tuple[float, float, float, float, float, float]]:
    """Zenith, azimuth, outside, diffuse, beam, clearness by hour under a random sky."""
    rng = np.random.default_rng(5)
    out = []
    for (z, a, e), k in zip(hours(place), rng.uniform(0.05, 0.8, 9000), strict=False):
        level = k * e * math.cos(math.radians(z))
        diffuse = sky_light.diffuse_ratio(float(k)) * level
        out.append((z, a, e, diffuse, (level - diffuse) / math.cos(math.radians(z)), float(k)))
    return out


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize(("tilt", "facing"), [(20.0, 180.0), (60.0, 100.0), (90.0, 330.0)])
def test_light_on_a_tilted_plane_is_that_of_the_reference_library(
    place: tuple[float, float, float, float, float], tilt: float, facing: float
) -> None:
    rows = planes(place)
    zenith, azimuth, outside, diffuse, beam = (np.array(c) for c in list(zip(*rows, strict=True))[:5])
    toward = [sky_tilt.cosine_of_incidence_ratio(z, a, tilt, facing) for z, a, *_ in rows]
    even = [sky_tilt.sky_isotropic_W_m2(d, tilt) for _, _, _, d, _, _ in rows]
    two = [
        sky_tilt.sky_hay_davies_W_m2(d, b, e, t, math.cos(math.radians(z)), tilt)
        for (z, _, e, d, b, _), t in zip(rows, toward, strict=True)
    ]
    five = [
        sky_tilt.sky_perez_W_m2(d, b, e, sky_light.air_mass_ratio(z), z, t, tilt)
        for (z, _, e, d, b, _), t in zip(rows, toward, strict=True)
    ]
    mass = atmosphere.get_relative_airmass(zenith)

    assert np.allclose(toward, irradiance.aoi_projection(tilt, facing, zenith, azimuth), atol=1e-12)
    agrees(even, irradiance.isotropic(tilt, diffuse))
    agrees(two, irradiance.haydavies(tilt, facing, diffuse, beam, outside, zenith, azimuth))
    agrees(five, irradiance.perez(tilt, facing, diffuse, beam, outside, zenith, azimuth, mass))
    agrees(
        [sky_tilt.from_ground_W_m2(d, 0.2, tilt) for d in diffuse],
        irradiance.get_ground_diffuse(tilt, diffuse, 0.2),
    )


def test_glass_lets_through_what_the_reference_library_says() -> None:
    angles = np.arange(0.0, 90.0, 0.25)

    assert np.allclose(
        [sky_tilt.glass_ratio(float(a)) for a in angles], iam.physical(angles, K=4, L=0.002), atol=1e-9
    )
    assert sky_tilt.glass_ratio(90.0) == sky_tilt.glass_ratio(130.0) == 0


# Marion, Solar Energy 147 (2017) 344, integrates the same glass over sky and ground; one effective angle is a rougher
# picture of the sky: within 0.01 of it up to 60 degrees of tilt.
@pytest.mark.parametrize("tilt", [0.0, 10.0, 30.0, 45.0, 60.0])
def test_one_angle_stands_for_the_whole_sky(tilt: float) -> None:
    reference = iam.marion_integrate(iam.physical, tilt, "sky")

    assert sky_tilt.glass_ratio(sky_tilt.sky_incidence_deg(tilt)) == pytest.approx(float(reference), abs=0.01)


# Kasten and Young's table of relative air mass as computed by pvlib.
def test_air_mass_and_pressure_are_those_of_the_reference_library() -> None:
    for z in np.arange(0, 90.01, 0.5):
        assert sky_light.air_mass_ratio(float(z)) == pytest.approx(
            float(atmosphere.get_relative_airmass(z)), rel=1e-9
        )
    for h in (-400, 0, 1500, 5000):
        assert sky_light.pressure_ratio(h) == pytest.approx(atmosphere.alt2pres(h) / 101325, rel=2e-4)


@given(st.floats(0, 800), st.floats(0, 1000), st.floats(0, 89.5), st.floats(0, 360), st.floats(0, 360))
def test_a_plane_lying_flat_gets_the_sky_whole(
    diffuse: float, beam: float, zenith: float, azimuth: float, facing: float
) -> None:
    toward = sky_tilt.cosine_of_incidence_ratio(zenith, azimuth, 0.0, facing)

    assert toward == pytest.approx(math.cos(math.radians(zenith)), abs=1e-12)
    assert sky_tilt.sky_isotropic_W_m2(diffuse, 0.0) == diffuse
    if zenith < 85:
        assert sky_tilt.sky_hay_davies_W_m2(diffuse, beam, 1361.0, toward, toward, 0.0) == pytest.approx(
            diffuse
        )
        assert sky_tilt.sky_perez_W_m2(
            diffuse, beam, 1361.0, sky_light.air_mass_ratio(zenith), zenith, toward, 0.0
        ) == pytest.approx(diffuse)


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_clearer_hour_has_a_smaller_part_diffuse(one: float, other: float) -> None:
    low, high = sorted((one, other))

    assert (
        sky_light.diffuse_ratio(high) <= sky_light.diffuse_ratio(low) + 0.004
    )  # the curve has a dip of that size at its seam


@given(st.floats(1, 8), st.floats(0, 5000), st.floats(0, 88))
def test_the_clear_sky_never_outshines_the_sun_outside_the_air(
    haze: float, height: float, zenith: float
) -> None:
    cosine = math.cos(math.radians(zenith))
    mass = sky_light.air_mass_ratio(zenith) * sky_light.pressure_ratio(height)

    assert 0 <= sky_light.clear_sky_W_m2(cosine, mass, haze, height, 1361.0) <= 1.15 * 1361 * cosine


def test_the_printed_formulas_of_light_give_what_the_functions_give() -> None:
    worked: dict[Callable[..., float], tuple[float, ...]] = {
        sky_light.air_mass_ratio: (70.0,), sky_light.pressure_ratio: (1500.0,), sky_light.clear_sky_W_m2: (0.5, 1.9, 3.2, 800.0, 1400.0),
        sky_light.clear_sky_beam_W_m2: (500.0, 0.5, 1.9, 3.2, 800.0, 1400.0), sky_light.diffuse_ratio: (0.55,),
        sky_light.air_at_altitude_degC: (10.0, 300.0, 1200.0), sky_tilt.cosine_of_incidence_ratio: (60.0, 170.0, 30.0, 200.0),
        sky_tilt.sky_isotropic_W_m2: (150.0, 30.0), sky_tilt.from_ground_W_m2: (500.0, 0.2, 60.0),
        sky_tilt.sky_hay_davies_W_m2: (150.0, 600.0, 1400.0, 0.8, 0.5, 30.0), sky_tilt.perez_clearness_ratio: (150.0, 600.0, 60.0),
        sky_tilt.sky_incidence_deg: (30.0,), sky_tilt.ground_incidence_deg: (30.0,),
    }  # fmt: skip
    for function, values in worked.items():
        told = formula_of(function)
        assert evaluate(told.text, dict(zip(told.symbols.values(), values, strict=True))) == pytest.approx(
            function(*values), rel=1e-12
        )


def test_carrying_air_up_a_kilometre_cools_it_by_six_and_a_half_degrees() -> None:  # ISO 2533
    assert sky_light.air_at_altitude_degC(15.0, 0.0, 1000.0) == pytest.approx(8.5)
