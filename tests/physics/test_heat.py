"""Temperature of compartments."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ohmwright.physics.heat import bay_rise_K, compartment_degC, holding_heat_W


@given(st.floats(-30, 40), st.floats(-30, 40), st.floats(0, 200), st.floats(0.3, 5), st.floats(1e4, 1e5))
def test_two_half_steps_are_one_whole_step(
    start: float, around: float, heat: float, ua: float, c: float
) -> None:
    half = compartment_degC(start, around, heat, ua, c, 1800)
    assert compartment_degC(half, around, heat, ua, c, 1800) == pytest.approx(
        compartment_degC(start, around, heat, ua, c, 3600), abs=1e-9
    )


def test_the_step_agrees_with_an_ode_solver() -> None:
    truth = solve_ivp(
        lambda _, t: (2.0 * (-20 - t) + 30) / 36000, (0, 7200), [15.0], rtol=1e-11, atol=1e-11
    ).y[0, -1]
    assert compartment_degC(15, -20, 30, 2.0, 36000, 7200) == pytest.approx(truth, abs=1e-7)


def test_holding_a_bare_bay_warm_takes_fifty_watts() -> None:
    # Worked by hand: 2 W/K from -20 to +5 degC is 50 W; a box of 1.73 W/K 43 W; time constant 36000/2 s = 5 h.
    assert holding_heat_W(2, 5, -20) == 50
    assert holding_heat_W(1.73, 5, -20) == pytest.approx(43, abs=0.5)
    assert compartment_degC(1, 0, 0, 2, 36000, 18000) == pytest.approx(0.3679, abs=1e-4)


def test_air_carries_the_heat_of_an_equipment_bay() -> None:
    # Worked by hand: 267 W with 15 K allowed and no wall loss needs 3.0 * 267 / 15 = 53 m3/h.
    assert bay_rise_K(267, 1e-9, 3.0 * 267 / 15) == pytest.approx(15, rel=0.01)
    assert bay_rise_K(300, 5, 0) == 60
