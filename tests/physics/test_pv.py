"""What a module gives, held against pvlib and published test points."""

import math

import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.energy.module_light import CLASS_LIGHT
from ohmwright.physics.pv import (
    faiman_module_degC,
    light_ratio,
    module_power_W,
    mounted_cell_degC,
    ross_cell_degC,
    string_power_point_V,
    switched_power_W,
)


def test_faiman_gives_the_published_points() -> None:
    # Faiman, Prog. Photovolt. 16 (2008) 307; values from pvlib's test_temperature.py (read there).
    assert faiman_module_degC(900, 20, 5, 25.0, 6.84) == pytest.approx(35.203, abs=0.001)
    assert faiman_module_degC(500, 10, 5, 25.0, 6.84) == pytest.approx(18.446, abs=0.001)
    assert faiman_module_degC(900, 20, 5, 22.0, 6.0) == pytest.approx(37.308, abs=0.001)


def test_an_open_rack_gives_the_published_cell_temperatures() -> None:
    # King, Boyson, Kratochvil, SAND2004-3535, open rack glass/cell/glass; values from pvlib's test_temperature.py.
    assert mounted_cell_degC(900, 20, 5, -3.47, -0.0594, 3) == pytest.approx(43.509, abs=0.001)
    assert mounted_cell_degC(900, 20, 5, -3.47, -0.0594, 0) == pytest.approx(40.809, abs=0.001)
    assert mounted_cell_degC(500, 10, 5, -3.47, -0.0594, 3) == pytest.approx(23.0607, abs=0.001)


def test_ross_gives_the_published_points() -> None:
    # Ross relation; points of pvlib's test_temperature.py.
    assert [
        ross_cell_degC(g, t, n) for g, t, n in ((1000, 20, 40), (600, 40, 100), (1000, 60, 20))
    ] == pytest.approx([45, 100, 60], abs=1e-9)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ((-3.47, -0.0594, 3.0), "open_rack_glass_glass"),
        ((-2.98, -0.0471, 1.0), "close_mount_glass_glass"),
        ((-2.81, -0.0455, 0.0), "insulated_back_glass_polymer"),
    ],
)
@pytest.mark.parametrize("wind", [0.0, 1.0, 4.0, 10.0])
def test_every_mounting_agrees_with_pvlib(ours: tuple[float, float, float], theirs: str, wind: float) -> None:
    told = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"][theirs]
    assert (told["a"], told["b"], told["deltaT"]) == pytest.approx(ours)
    for sun in (50.0, 400.0, 1000.0):
        expected = pvlib.temperature.sapm_cell(sun, 15.0, wind, told["a"], told["b"], told["deltaT"])
        assert mounted_cell_degC(sun, 15.0, wind, *ours) == pytest.approx(expected, abs=1e-9)


@given(st.floats(50, 1200), st.floats(-30, 80), st.floats(-0.5, -0.2))
def test_module_power_is_that_of_pvwatts(sun: float, cell: float, gamma: float) -> None:
    expected = pvlib.pvsystem.pvwatts_dc(sun, cell, 410.0, gamma / 100)
    assert module_power_W(410.0, sun, gamma, cell, 1.0) == pytest.approx(expected, rel=1e-12)


@given(st.floats(1, 1300), st.floats(1, 1300))
def test_more_light_never_gives_less(a: float, b: float) -> None:
    low, high = sorted((a, b))
    dim, bright = (light_ratio(e, 25, *CLASS_LIGHT) for e in (low, high))
    assert module_power_W(100, low, -0.35, 25, dim) <= module_power_W(100, high, -0.35, 25, bright) * (
        1 + 1e-12
    )


def test_the_class_of_modules_keeps_what_one_fitted_diode_had_in_little_light() -> None:
    # The two efficiencies that stand for the class beside its surface: 0.984 at 200 W/m2 and 0.934 at 50.
    assert light_ratio(200, 25, *CLASS_LIGHT) == pytest.approx(0.984, abs=0.0005)
    assert light_ratio(50, 25, *CLASS_LIGHT) == pytest.approx(0.934, abs=0.0005)


def test_a_hot_string_stays_above_a_twelve_volt_bank() -> None:
    # Worked by hand: three modules of 31.0 V at 75 degC with -0.35 %/K: 93.0 * (1 - 0.175) = 76.7 V.
    assert string_power_point_V(3, 31.0, -0.35, 75) == pytest.approx(76.7, abs=0.05)


def test_a_switching_controller_wastes_the_volts_between_array_and_bank() -> None:
    # Worked by hand: 175 W at 19.6 V on a bank at 13.4 V: 8.93 A * 13.4 V = 119.6 W.
    assert switched_power_W(175, 13.4, 19.6) == pytest.approx(119.6, abs=0.1)
    assert switched_power_W(175, 20.0, 19.6) == 0
    assert math.isclose(switched_power_W(175, 19.0, 19.6), 175 * 19.0 / 19.6)
