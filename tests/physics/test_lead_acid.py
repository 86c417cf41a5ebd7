"""Lead-acid voltages worked by hand from the published coefficients, and the region where they are refused."""

import pytest

from ohmwright.physics.lead_acid import (
    acid_freezes_degC,
    compensation_V,
    gassing_V,
    lead_capacity_ratio,
    lead_charge_V,
    lead_discharge_V,
    lead_in_range,
)


def test_an_empty_or_a_cold_cell_goes_astray_and_is_refused() -> None:
    # Worked by hand for six cells of 100 Ah: 10.0 V at 20 % and a tenth of the capacity an hour, where a battery stands near
    # 11.5 V; 7.5 V at 20 %, 0 degC and a fifth an hour.
    assert 6 * lead_discharge_V(0.2, 10.0, 100.0, 25.0) == pytest.approx(10.0, abs=0.01)
    assert not lead_in_range(0.2, 1.0, 25.0)
    assert 6 * lead_discharge_V(0.2, 20.0, 100.0, 0.0) == pytest.approx(7.54, abs=0.01)
    assert not lead_in_range(0.2, 2.0, 0.0)
    assert not lead_in_range(0.5, 2.0, 25.0)
    assert lead_in_range(0.5, 1.0, 25.0)


def test_in_its_range_a_cell_charges_above_and_gives_below_its_rest() -> None:
    for soc in (0.3, 0.5, 0.7, 0.9):
        for current in (1.0, 5.0, 10.0):
            assert lead_in_range(soc, current / 10.0, 25.0)
            assert lead_discharge_V(soc, current, 100.0, 25.0) < lead_charge_V(soc, current, 100.0, 25.0)
            assert 1.75 < lead_discharge_V(soc, current, 100.0, 25.0) < 2.13


def test_capacity_at_other_currents_is_as_worked_by_hand() -> None:
    # C / C10 = 1.67 / (1 + 0.67 m^0.9): 0.74 at twice the ten-hour current, 1.23 at half of it, 1 at it.
    assert lead_capacity_ratio(1.0, 25.0) == pytest.approx(1.0)
    assert lead_capacity_ratio(2.0, 25.0) == pytest.approx(0.74, abs=0.005)
    assert lead_capacity_ratio(0.5, 25.0) == pytest.approx(1.23, abs=0.01)


def test_gassing_begins_near_2_4_volts_a_cell() -> None:
    # 2.24 V at no current, 2.43 V at a tenth of the capacity an hour (worked by hand); 2.35 to 2.45 V is common practice.
    assert gassing_V(0.0, 100.0, 25.0) == pytest.approx(2.24)
    assert gassing_V(10.0, 100.0, 25.0) == pytest.approx(2.428, abs=0.001)


def test_cold_asks_for_more_charging_volts_and_heat_for_less() -> None:
    # Twelve volts at -10 degC, -4 mV a cell and kelvin: six cells times 35 K are 0.84 V.
    assert compensation_V(6, -0.004, -10.0) == pytest.approx(0.84)
    assert compensation_V(6, -0.004, 40.0) == pytest.approx(-0.36)


def test_a_full_battery_freezes_far_below_an_empty_one() -> None:
    # Battery handbooks (from memory): flat -7 to -10 degC, full -55 to -65.
    assert -10 <= acid_freezes_degC(0.0) <= -7
    assert -65 <= acid_freezes_degC(1.0) <= -55
    steps = [acid_freezes_degC(k / 20) for k in range(21)]
    assert steps == sorted(steps, reverse=True)
