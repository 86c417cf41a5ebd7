"""The reverse branch of a cell against pvlib's Bishop model."""

import dataclasses

import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics import shade
from ohmwright.physics.diode import Diode

CELL = Diode(10.0, 1e-10, 0.004, 8.0, 0.0265)


@given(st.floats(-17.0, 0.65))
def test_the_reverse_branch_is_that_of_the_reference_library(x: float) -> None:
    theirs = pvlib.singlediode.bishop88(
        x, *dataclasses.astuple(CELL),
        breakdown_factor=shade.BREAKDOWN_factor, breakdown_voltage=shade.BREAKDOWN_V, breakdown_exp=shade.BREAKDOWN_exponent,
    )  # fmt: skip

    ours = shade.cell_current_A(
        x, CELL.photo_A, CELL.saturation_A, CELL.shunt_ohm, CELL.ideality_V,
        shade.BREAKDOWN_V, shade.BREAKDOWN_factor, shade.BREAKDOWN_exponent,
    )  # fmt: skip

    assert ours == pytest.approx(float(theirs[0]), rel=1e-9, abs=1e-12)


@given(st.floats(0.1, 20.0), st.floats(0.01, 5.0))
def test_more_current_never_raises_the_voltage_of_a_cell(current: float, more: float) -> None:
    assert shade.cell_voltage_V(CELL, current + more) < shade.cell_voltage_V(CELL, current)


def test_a_dark_cell_takes_the_string_close_to_breakdown_and_burns_its_power() -> None:
    dark = dataclasses.replace(CELL, photo_A=0.1)

    v = shade.cell_voltage_V(dark, 9.0)

    assert -18.1 < v < -14.0
    assert shade.hot_cell_W(v, 9.0) > 100.0


def test_a_bypass_diode_bears_a_volt_or_less() -> None:
    assert -1.0 < shade.bypass_V(14.0, shade.BYPASS_V, shade.BYPASS_ohm) < -0.5
