"""The class tables against published cells, and the lines against the tables."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.energy.curves import (
    HALF_GAP_V,
    LEAD_CELL,
    capacity_at_Ah,
    rest_error_V,
    rest_numbers,
    well_numbers,
)
from ohmwright.physics.bank import rest_V
from ohmwright.physics.rest import LFP_CELL_V, table_V

CELLS = Path(__file__).with_name("lfp_half_cells.csv")


def published() -> dict[float, tuple[float, float]]:
    """Full-cell voltages charging and discharging by state of charge: cathode less anode, doi 10.1016/j.jpowsour.2025.236290."""
    rows = csv.DictReader(line for line in CELLS.read_text().splitlines() if not line.startswith("#"))
    return {
        float(r["soc"]): (
            float(r["cathode_delithiation"]) - float(r["anode_lithiation"]),
            float(r["cathode_lithiation"]) - float(r["anode_delithiation"]),
        )
        for r in rows
    }


@pytest.mark.parametrize("soc", [0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90])
def test_the_lfp_table_lies_between_a_published_cells_two_curves(soc: float) -> None:
    charging, discharging = published()[soc]
    assert discharging < table_V(LFP_CELL_V, soc) < charging


def test_the_plateaus_slope_is_that_of_the_published_cell() -> None:
    cell = published()
    mean = {s: sum(cell[s]) / 2 for s in (0.2, 0.9)}
    theirs = (mean[0.9] - mean[0.2]) / 70 * 1000
    ours = (table_V(LFP_CELL_V, 0.9) - table_V(LFP_CELL_V, 0.2)) / 70 * 1000
    # About 1 mV a per cent of charge; a class table and one cell agree within a third.
    assert ours == pytest.approx(theirs, rel=0.34)


#: The same data near the full end, not thinned: charge voltage at C/50, state of charge, and the discharge curve there.
FULL = ((3.55, 0.99293, 3.3634), (3.60, 0.99381, 3.3729), (3.65, 0.99444, 3.3812))


def test_a_full_cell_rests_where_its_discharge_begins() -> None:
    # Charged to 3.55 up to 3.65 V: the volts it is left with lie on the discharging side, at least 0.17 V below.
    begins = [v for _, _, v in FULL]
    assert min(begins) <= table_V(LFP_CELL_V, 1.0) <= max(begins)
    assert all(stop - table_V(LFP_CELL_V, 1.0) > 0.16 for stop, _, _ in FULL)


def test_the_full_end_fits_the_published_file() -> None:
    # The thinned file brackets it: at 99 % charging 3.471 and discharging 3.344 V, at 100 % 3.990 and 3.580 V.
    cell = published()
    for stop, _, begins in FULL:
        assert cell[0.99][0] < stop < cell[1.0][0]
        assert cell[0.99][1] < begins < cell[1.0][1]


def test_the_gap_between_charging_and_discharging_is_the_published_one() -> None:
    gaps = [up - down for s, (up, down) in published().items() if 0.2 <= s <= 0.9]
    assert 2 * HALF_GAP_V["lfp"] == pytest.approx(sum(gaps) / len(gaps), abs=0.006)


@pytest.mark.parametrize("chemistry", ["lfp", "lead"])
def test_the_lines_stay_within_six_millivolts_of_the_table(chemistry: str) -> None:
    assert rest_error_V(chemistry) <= 0.006


@given(st.floats(0, 1), st.integers(1, 16))
def test_a_string_of_cells_has_so_many_times_the_volts(soc: float, cells: int) -> None:
    assert rest_V(soc, *rest_numbers("lfp", cells)) == pytest.approx(
        cells * rest_V(soc, *rest_numbers("lfp", 1)), rel=1e-12
    )


@pytest.mark.parametrize("table", [LFP_CELL_V, LEAD_CELL])
def test_a_fuller_cell_never_rests_lower(table: tuple[tuple[float, float], ...]) -> None:
    volts = [table_V(table, i / 1000) for i in range(1001)]
    assert volts == sorted(volts)


def test_a_lead_bank_gives_what_its_class_says_at_four_rates() -> None:
    # Common practice, no single source: 100, 93, 85 and 60 % at 20, 10, 5 and 1 h.
    for hours, share in ((20, 100.0), (10, 93.0), (5, 85.0), (1, 60.0)):
        assert capacity_at_Ah(105.5, hours) == pytest.approx(share, rel=0.012)


def test_one_well_needs_no_rate() -> None:
    assert well_numbers(1.0, None) == (0.0, 1.0, 1.0)
