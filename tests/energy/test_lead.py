"""A lead-acid bank in the hour against the class of cells it stands for: Copetti, Lorenzo and Chenlo (1993).

Their voltages are the outside truth here, with the coefficients of `physics.lead_acid` (read second-hand); the hour's bank has one
resistance for both ways, more below half charge, and one that grows as the charge fills.
"""

import pytest

from ohmwright.energy.curves import rest_numbers
from ohmwright.energy.habits import LEAD_FLOOR
from ohmwright.energy.lead_words import hours_to_fill_h
from ohmwright.energy.loop import BRIM_ratio
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.physics.bank import rest_V
from ohmwright.physics.lead_acid import lead_charge_V, lead_discharge_V, lead_in_range

TEN_HOUR = 0.93
"""The ten-hour capacity over the twenty-hour one, of the same class."""
CELLS = 6


def ohm(bank: Bank, soc: float, charging: bool) -> float:
    """The resistance of the hour, written out by hand."""
    low = bank.resistance_ohm * (1.0 + bank.low_gain_ratio * max(bank.low_knee_ratio - soc, 0.0))
    return low + bank.resistance_ohm * bank.stiff_ratio / (BRIM_ratio - soc) if charging else low


@pytest.mark.parametrize("soc", [0.4, 0.5, 0.6, 0.7, 0.8, 0.9])
@pytest.mark.parametrize("rate", [0.03, 0.05, 0.1])
def test_a_cell_gives_its_current_at_the_voltage_of_the_class(lead: Bank, soc: float, rate: float) -> None:
    ten_hour_Ah = 400.0 * TEN_HOUR
    amps = rate * ten_hour_Ah
    ours = rest_V(soc, *rest_numbers("lead", CELLS)) - lead.half_gap_V - amps * ohm(lead, soc, False)

    assert lead_in_range(soc, rate * 10, 25.0)
    assert ours / CELLS == pytest.approx(lead_discharge_V(soc, amps, ten_hour_Ah, 25.0), abs=0.06)


@pytest.mark.parametrize("soc", [0.5, 0.6, 0.7, 0.8])
@pytest.mark.parametrize("rate", [0.03, 0.05, 0.1])
def test_a_cell_takes_its_current_at_the_voltage_of_the_class(lead: Bank, soc: float, rate: float) -> None:
    ten_hour_Ah = 400.0 * TEN_HOUR
    amps = rate * ten_hour_Ah
    ours = rest_V(soc, *rest_numbers("lead", CELLS)) + lead.half_gap_V + amps * ohm(lead, soc, True)

    assert ours / CELLS == pytest.approx(lead_charge_V(soc, amps, ten_hour_Ah, 25.0), abs=0.09)


def class_hours(start: float, end: float, cell_V: float, most_A: float, ten_hour_Ah: float) -> float:
    """Hours at a held voltage with their law of voltage and their charge efficiency, by small steps."""
    soc, hours, step = start, 0.0, 0.01
    while soc < end:
        low, high = 0.0, most_A
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (
                (middle, high) if lead_charge_V(soc, middle, ten_hour_Ah, 25.0) < cell_V else (low, middle)
            )
        soc += low * (1.0 - soc**20) * step / ten_hour_Ah
        hours += step
    return hours


# The trade knows that the last of a charge takes hours whatever the charger; their law says how many.
def test_the_last_of_a_charge_takes_the_hours_of_the_class(plan: EnergyPlan, lead: Bank) -> None:
    from dataclasses import replace

    wanted = class_hours(0.85, 0.98, 2.4, 80.0, 400.0 * TEN_HOUR)
    ours = hours_to_fill_h(replace(plan, bank=lead))

    assert 11.0 < wanted < 16.0
    assert ours == pytest.approx(
        wanted, rel=0.4
    )  # 8 h: their law stiffens faster above 95 %, and the trade says 4 to 8
    assert LEAD_FLOOR == 0.5  # below it their voltages are not asked
