"""Turbines by the tables of their pages: a closed form, a sum of hourly winds, and laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics.stream import clipped, hours_above_ratio, mean_power_W, power_at_W

TABLE = ((3.0, 10.0), (5.0, 50.0), (9.0, 250.0))
RISING = st.lists(
    st.tuples(st.floats(0.5, 4.0), st.floats(0.0, 200.0)), min_size=2, max_size=12
).map(
    lambda steps: tuple(
        (sum(s for s, _ in steps[: k + 1]), sum(p for _, p in steps[: k + 1])) for k in range(len(steps))
    )
)  # fmt: skip


# Third moment of Rayleigh's distribution: the mean of v^3 is 6 / pi times the cube of the mean v (any table of moments).
@pytest.mark.parametrize("mean", [2.0, 5.0, 6.5, 9.0])
def test_the_mean_of_a_cube_is_six_over_pi_times_the_cube_of_the_mean(mean: float) -> None:
    cube = [(0.02 * k, (0.02 * k) ** 3) for k in range(4000)]
    assert mean_power_W(cube, mean) == pytest.approx(6.0 / math.pi * mean**3, rel=1e-4)


# Rayleigh's distribution is Weibull's of shape 2, scale 2 / sqrt(pi) times the mean: numpy draws it.
@pytest.mark.parametrize("cut_out", [math.inf, 12.0, 7.0])
def test_the_mean_is_that_of_drawn_winds(cut_out: float) -> None:
    winds = np.random.default_rng(3).weibull(2.0, 200_000) * 2.0 / math.sqrt(math.pi) * 6.0
    drawn = np.mean([power_at_W(TABLE, float(v), cut_out) for v in winds])
    assert mean_power_W(TABLE, 6.0, cut_out) == pytest.approx(drawn, rel=0.01)
    assert hours_above_ratio(7.0, 6.0) == pytest.approx(np.mean(winds > 7.0), abs=0.005)


def test_nothing_below_the_first_point_the_last_above_it_and_nothing_past_the_cut_out() -> None:
    assert [power_at_W(TABLE, v) for v in (0.0, 2.99, 3.0, 4.0, 7.0, 9.0, 30.0)] == [
        0.0, 0.0, 10.0, 30.0, 150.0, 250.0, 250.0,
    ]  # fmt: skip
    assert [power_at_W(TABLE, v, 15.0) for v in (15.0, 15.01)] == [250.0, 0.0]
    assert mean_power_W(TABLE, 6.0, 2.0) == 0.0
    assert mean_power_W(TABLE, 0.0) == 0.0


@given(RISING, st.floats(0.1, 15.0), st.floats(1.0, 3.0))
def test_more_wind_is_never_worse_where_nothing_cuts_out(
    table: tuple[tuple[float, float], ...], mean: float, more: float
) -> None:
    low, high = mean_power_W(table, mean), mean_power_W(table, mean * more)
    assert -1e-9 <= low <= high + 1e-9 * table[-1][1] + 1e-9
    assert high <= table[-1][1] * (1.0 + 1e-9)


@given(RISING, st.floats(0.1, 15.0), st.floats(0.5, 60.0))
def test_a_cut_out_never_adds(table: tuple[tuple[float, float], ...], mean: float, cut_out: float) -> None:
    assert mean_power_W(table, mean, cut_out) <= mean_power_W(table, mean) + 1e-9 * table[-1][1] + 1e-9


@given(RISING, st.floats(1.0, 1000.0), st.floats(0.0, 60.0))
def test_clipped_lines_are_the_lines_up_to_the_most(
    table: tuple[tuple[float, float], ...], most: float, speed: float
) -> None:
    expected = min(power_at_W(table, speed), most)
    assert power_at_W(clipped(table, most), speed) == pytest.approx(expected, rel=1e-6, abs=1e-6)
