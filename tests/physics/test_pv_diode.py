"""The single diode against pvlib, on modules of the public CEC table."""

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics.pv_diode import (
    current_at_V,
    dark_current_A,
    diode_current_A,
    light_current_A,
    open_circuit_V,
    power_point_V_A,
    scale_at_V,
)

ROWS = list(range(0, 21500, 430))


@pytest.fixture(scope="module")
def table() -> dict[str, np.ndarray]:
    cec = pvlib.pvsystem.retrieve_sam("CECMod").iloc[:, ROWS]
    return {
        name: cec.loc[name].to_numpy(dtype=float)
        for name in ("I_L_ref", "I_o_ref", "R_s", "R_sh_ref", "a_ref", "alpha_sc")
    }


@pytest.mark.parametrize(
    ("sun", "cell"),
    [(1000.0, 25.0), (1000.0, 75.0), (800.0, 45.0), (200.0, 25.0), (50.0, 10.0), (1200.0, -30.0)],
)
def test_every_point_agrees_with_pvlib(sun: float, cell: float, table: dict[str, np.ndarray]) -> None:
    # calcparams_desoto and singlediode of pvlib (Lambert W): 1e-6 of each value.
    theirs = pvlib.pvsystem.calcparams_desoto(
        sun,
        cell,
        table["alpha_sc"],
        table["a_ref"],
        table["I_L_ref"],
        table["I_o_ref"],
        table["R_sh_ref"],
        table["R_s"],
    )
    points = pvlib.pvsystem.singlediode(*theirs, method="lambertw")
    for k in range(len(ROWS)):
        alpha = 100 * table["alpha_sc"][k] / table["I_L_ref"][k]
        light = light_current_A(table["I_L_ref"][k], sun, alpha, cell)
        dark = dark_current_A(table["I_o_ref"][k], cell)
        shunt = 1000 / sun * table["R_sh_ref"][k]
        scale = scale_at_V(table["a_ref"][k], cell)
        ohm = table["R_s"][k]
        assert open_circuit_V(light, dark, shunt, scale) == pytest.approx(points["v_oc"][k], rel=1e-6)
        assert current_at_V(0.0, light, dark, ohm, shunt, scale) == pytest.approx(points["i_sc"][k], rel=1e-6)
        volts, amps = power_point_V_A(light, dark, ohm, shunt, scale)
        assert volts * amps == pytest.approx(points["p_mp"][k], rel=1e-6)
        assert volts == pytest.approx(points["v_mp"][k], rel=1e-4)
        half = points["v_oc"][k] / 2
        assert current_at_V(half, light, dark, ohm, shunt, scale) == pytest.approx(
            float(pvlib.pvsystem.i_from_v(half, light, dark, ohm, shunt, scale)), rel=1e-6
        )


@given(st.floats(0.5, 15), st.floats(1e-12, 1e-8), st.floats(0.01, 1), st.floats(1e2, 1e5), st.floats(0.8, 3))
def test_the_power_point_is_the_top_of_the_curve(
    light: float, dark: float, ohm: float, shunt: float, scale: float
) -> None:
    top = open_circuit_V(light, dark, shunt, scale)
    assert abs(diode_current_A(top, light, dark, shunt, scale)) < 1e-8 * light
    volts, amps = power_point_V_A(light, dark, ohm, shunt, scale)
    for k in range(1, 40):
        v = top * k / 40
        assert v * current_at_V(v, light, dark, ohm, shunt, scale) <= volts * amps * (1 + 1e-9)


@given(st.floats(-40, 80), st.floats(-40, 80))
def test_colder_is_never_a_lower_open_circuit_voltage(a: float, b: float) -> None:
    cold, hot = sorted((a, b))
    volts = [
        open_circuit_V(
            light_current_A(9.0, 1000, 0.05, t), dark_current_A(1e-10, t), 300.0, scale_at_V(1.5, t)
        )
        for t in (cold, hot)
    ]
    assert volts[0] >= volts[1] - 1e-9
