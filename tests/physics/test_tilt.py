"""Daily light on a tilted plane: the closed form against the sun followed through the day, and against the weather engine."""

import math

import pytest

from ohmwright.physics.sun import hour_angle_at_zenith_deg
from ohmwright.physics.tilt import beam_of_month_ratio, diffuse_of_month_ratio, tilted_of_month_ratio


def followed(latitude_deg: float, declination_deg: float, tilt_deg: float) -> float:
    """Direct light of a day, tilted over flat, by small steps of hour angle (cosines of incidence, spherical trigonometry)."""
    phi, d, s = (math.radians(x) for x in (latitude_deg, declination_deg, tilt_deg))
    tilted = flat = 0.0
    for k in range(-18000, 18000):
        w = math.radians((k + 0.5) / 100)
        up = math.sin(phi) * math.sin(d) + math.cos(phi) * math.cos(d) * math.cos(w)
        if up > 0:
            flat += up
            tilted += max(
                0.0, math.sin(phi - s) * math.sin(d) + math.cos(phi - s) * math.cos(d) * math.cos(w)
            )
    return tilted / flat


@pytest.mark.parametrize(
    ("latitude", "declination", "tilt"),
    [(46.8, -9.6, 55), (46.8, 23.0, 30), (62, -20, 80), (10, 15, 20), (46.8, 0.0, 0)],
)
def test_the_closed_form_is_the_sun_followed_through_the_day(
    latitude: float, declination: float, tilt: float
) -> None:
    sunset = hour_angle_at_zenith_deg(latitude, declination, 90.0)
    leaves = min(sunset, hour_angle_at_zenith_deg(latitude - tilt, declination, 90.0))

    assert beam_of_month_ratio(latitude, declination, tilt, sunset, leaves) == pytest.approx(
        followed(latitude, declination, tilt), rel=2e-3
    )


# Erbs, Klein and Duffie (1982): a clear month of K = 0.7 is about a quarter diffuse, a dull one of 0.3 about two thirds.
@pytest.mark.parametrize(
    ("clearness", "low", "high"), [(0.7, 0.18, 0.30), (0.5, 0.36, 0.46), (0.3, 0.58, 0.68)]
)
def test_the_diffuse_part_falls_with_clearness(clearness: float, low: float, high: float) -> None:
    for sunset in (70.0, 100.0):
        assert low < diffuse_of_month_ratio(clearness, sunset) < high


def test_a_plane_that_lies_flat_gets_what_the_horizontal_gets() -> None:
    assert tilted_of_month_ratio(0.4, 1.0, 0.0, 0.2) == pytest.approx(1.0)


def test_an_overcast_sky_gives_a_wall_half_the_sky_and_what_the_ground_throws_back() -> None:
    assert tilted_of_month_ratio(1.0, 3.0, 90.0, 0.2) == pytest.approx(0.5 + 0.1)
