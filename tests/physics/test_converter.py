"""Converters, chargers, engines."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics.converter import (
    bank_current_A,
    collapse_power_W,
    converter_in_W,
    converter_out_W,
    dcdc_out_W,
    generator_fuel_L_per_h,
    proportional_loss_ratio,
    square_loss_per_W,
    stream_power_W,
)


@given(st.floats(2, 40), st.floats(500, 6000), st.floats(0.80, 0.92), st.floats(0.001, 0.05))
def test_the_three_numbers_meet_idle_peak_and_full_exactly(
    idle: float, full: float, at_full: float, better: float
) -> None:
    peak = at_full + better
    k2 = square_loss_per_W(idle, full, at_full, peak)
    k1 = proportional_loss_ratio(idle, k2, peak)
    assert converter_in_W(0, idle, k1, k2) == idle
    assert full / converter_in_W(full, idle, k1, k2) == pytest.approx(at_full, rel=1e-12)
    best_at = math.sqrt(idle / k2)
    assert best_at <= full * (1 + 1e-9)
    assert best_at / converter_in_W(best_at, idle, k1, k2) == pytest.approx(peak, rel=1e-12)
    around = [p / converter_in_W(p, idle, k1, k2) for p in (best_at * 0.9, best_at * 1.1)]
    assert max(around) <= peak * (1 + 1e-12)


@given(st.floats(0, 5000), st.floats(0, 40), st.floats(0, 0.1), st.floats(1e-7, 1e-4))
def test_output_undoes_input(out: float, idle: float, k1: float, k2: float) -> None:
    assert converter_out_W(converter_in_W(out, idle, k1, k2), idle, k1, k2) == pytest.approx(
        out, rel=1e-9, abs=1e-6
    )


def test_three_kilowatts_from_a_sagging_bank() -> None:
    # Worked by hand: 3 kW at 90 % from 11.5 V behind 1.7 mohm draws 303.6 A and stands at 10.98 V; 6 kW draws 731 A at ... the
    # root of 0.0017 I^2 - 11.5 I + P/0.9 = 0.
    amps = -bank_current_A(-3000 / 0.9, 11.5, 0.0017)
    assert amps == pytest.approx(303.6, abs=0.5)
    assert 11.5 - 0.0017 * amps == pytest.approx(10.98, abs=0.01)


@given(st.floats(-0.999, 50), st.floats(10, 60), st.floats(1e-4, 0.1))
def test_current_and_power_agree_up_to_the_collapse(share: float, emf: float, ohm: float) -> None:
    power = share * collapse_power_W(emf, ohm)
    amps = bank_current_A(power, emf, ohm)
    assert amps * (emf + ohm * amps) == pytest.approx(power, rel=1e-9, abs=1e-9)


def test_a_generator_uses_skarstein_and_uhlens_fuel() -> None:
    # 10 kW diesel at full load: 2.46 + 0.8145 = 3.27 L/h (coefficients from memory).
    assert generator_fuel_L_per_h(10000, 10000, 0.246, 0.08145) == pytest.approx(3.27, abs=0.01)


def test_a_dcdc_charger_is_held_by_its_weaker_side() -> None:
    assert dcdc_out_W(30, 14.2, 0.9, 100, 13.0) == pytest.approx(426)
    assert dcdc_out_W(30, 14.2, 0.9, 20, 12.2) == pytest.approx(219.6)


# By the cube, by hand: half the speed gives an eighth, and no speed gives more than the most.
@given(st.floats(0, 20), st.floats(0, 20))
def test_a_turbine_never_gives_less_for_more_speed_nor_more_than_its_most(a: float, b: float) -> None:
    low, high = sorted((a, b))
    slow, fast = (stream_power_W(80.0, 6.0, v, 300.0) for v in (low, high))
    assert slow <= fast <= 300.0
    assert stream_power_W(80.0, 6.0, 3.0, 300.0) == pytest.approx(10.0)
