"""Banks: two wells against an ODE solver and data sheets, Peukert against a textbook, resistance and charge."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ohmwright.physics.bank import (
    at_hand_after_Ah,
    cold_resistance_factor,
    lead_charge_ratio,
    low_charge_resistance_factor,
    peukert_exponent_ratio,
    peukert_h,
    stiffening_taper_A,
    two_well_capacity_Ah,
    well_draw_h,
    well_keep_ratio,
    well_refill_ratio,
    wells_give_A,
    wells_take_A,
)


@pytest.mark.parametrize(("c", "k", "t"), [(0.46, 0.95, 1.0), (0.3, 0.2, 0.5), (0.8, 3.0, 2.0)])
@pytest.mark.parametrize("current", [-8.0, 0.0, 5.0])
def test_the_closed_step_of_two_wells_agrees_with_an_ode_solver(
    c: float, k: float, t: float, current: float
) -> None:
    # Manwell and McGowan, Solar Energy 50 (1993): dq1/dt = I - k'(h1 - h2), with h1 = q1/c, h2 = q2/(1-c) and
    # k = k' / (c (1 - c)).
    q1, q2 = 30.0, 50.0

    def flow(_: float, q: list[float]) -> list[float]:
        across = k * c * (1 - c) * (q[1] / (1 - c) - q[0] / c)
        return [current + across, -across]

    truth = solve_ivp(flow, (0, t), [q1, q2], rtol=1e-12, atol=1e-12).y[:, -1]
    keep = well_keep_ratio(k, t)
    got = at_hand_after_Ah(q1, q1 + q2, current, keep, well_refill_ratio(c, keep), well_draw_h(k, t, c, keep))
    assert got == pytest.approx(truth[0], abs=1e-8)


def test_two_wells_fit_a_data_sheet_where_peukert_misses_the_middle() -> None:
    # A common data sheet shape (common practice, no single source): 100, 93, 85, 60 Ah at 20, 10, 5, 1 h.
    sheet = {20.0: 100.0, 10.0: 93.0, 5.0: 85.0, 1.0: 60.0}
    for hours, capacity in sheet.items():
        assert two_well_capacity_Ah(105.5, 0.46, 0.95, hours) == pytest.approx(capacity, rel=0.012)
    n = peukert_exponent_ratio(100 / 20, 20, 60 / 1, 1)
    assert n == pytest.approx(1.206, abs=0.001)
    at_5h = next(
        i * peukert_h(100, 20, i, n)
        for i in (x / 100 for x in range(500, 3000))
        if peukert_h(100, 20, i, n) <= 5
    )
    # By hand: 100/(20 I) = 0.25^(1/1.206) gives 15.8 A and 78.9 Ah, where the sheet has 85.
    assert at_5h == pytest.approx(78.9, abs=0.1)


def test_peukert_gives_the_textbook_exponent() -> None:
    # Larminie and Lowry, Electric Vehicle Technology Explained, battery chapter (from memory): 42 Ah at 10 h,
    # 33.6 A for 1 h gives k 1.107 and 49 Ah at one ampere.
    k = peukert_exponent_ratio(4.2, 10, 33.6, 1)
    assert k == pytest.approx(1.107, abs=0.001)
    assert 4.2**k * 10 == pytest.approx(49, abs=0.1)


def test_peukert_uses_the_rate_of_the_label() -> None:
    # 250 Ah at 20 h, 20 A, n 1.3: 10.856 h.  A tutorial that divides by one ampere prints 5.09 h.
    assert peukert_h(250, 20, 20, 1.3) == pytest.approx(10.856, abs=0.001)


@given(st.floats(1, 100), st.floats(0.05, 0.95), st.floats(0.05, 5), st.floats(0.1, 0.99))
def test_the_limits_of_the_wells_are_met_exactly(full: float, c: float, k: float, soc: float) -> None:
    keep = well_keep_ratio(k, 1.0)
    refill, draw = well_refill_ratio(c, keep), well_draw_h(k, 1.0, c, keep)
    q1, q = c * full * soc, full * soc
    give = wells_give_A(q1, q, keep, refill, draw)
    take = wells_take_A(c * full, q1, q, keep, refill, draw)
    assert at_hand_after_Ah(q1, q, -give, keep, refill, draw) == pytest.approx(0, abs=1e-9 * full)
    assert at_hand_after_Ah(q1, q, take, keep, refill, draw) == pytest.approx(c * full, rel=1e-9)


def test_one_well_is_a_plain_tank() -> None:
    assert at_hand_after_Ah(40, 40, -3, 0, 1, 1) == 37
    assert wells_give_A(40, 40, 0, 1, 1) == 40
    assert wells_take_A(100, 40, 40, 0, 1, 1) == 60


def test_cold_raises_resistance_as_arrhenius_says() -> None:
    # Worked by hand with 25 kJ/mol: exp(25000/8.314 * (1/273.15 - 1/298.15)) = 2.52; at -20 degC 6.0.
    assert cold_resistance_factor(0, 25) == pytest.approx(2.52, abs=0.01)
    assert cold_resistance_factor(-20, 25) == pytest.approx(6.0, abs=0.05)
    assert cold_resistance_factor(25, 25) == 1
    assert low_charge_resistance_factor(0.05, 2) == 2
    assert low_charge_resistance_factor(0.5, 2) == 1


def test_lead_acid_keeps_the_share_of_charge_that_copetti_gives() -> None:
    # Copetti, Lorenzo, Chenlo, Prog. Photovolt. 1 (1993) 283 (coefficients read second-hand), at the ten-hour current.
    assert [round(lead_charge_ratio(s, 10, 10), 2) for s in (0.8, 0.95)] == [0.93, 0.49]
    assert lead_charge_ratio(0.5, 10, 10) == pytest.approx(0.999, abs=0.001)


def test_taper_stops_at_the_set_voltage() -> None:
    assert stiffening_taper_A(14.2, 13.4, 0.004, 0.0) == pytest.approx(200)
    assert stiffening_taper_A(13.2, 13.4, 0.004, 0.0) == 0


@given(st.floats(0.1, 40), st.floats(0.1, 40))
def test_a_longer_discharge_never_gives_less_charge(a: float, b: float) -> None:
    short, long = sorted((a, b))
    assert two_well_capacity_Ah(100, 0.46, 0.95, short) <= two_well_capacity_Ah(100, 0.46, 0.95, long) + 1e-9
    assert math.isfinite(two_well_capacity_Ah(100, 0.46, 0.95, long))


def test_a_bank_that_stiffens_takes_what_its_own_charge_leaves_room_for() -> None:
    # By hand: 0.8 V over 4 mohm that grow by 0.02 mohm an ampere: I (0.004 + 0.00002 I) = 0.8 at 123.6 A; without growth 200 A.
    amps = stiffening_taper_A(14.2, 13.4, 0.004, 0.00002)
    assert amps == pytest.approx(123.6, abs=0.1)
    assert amps * (0.004 + 0.00002 * amps) == pytest.approx(0.8)
    assert stiffening_taper_A(13.2, 13.4, 0.004, 0.00002) == 0
