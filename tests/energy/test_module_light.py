"""Efficiency of modules in little light: the years' surface against the diode it stands for, pvlib's solution of it, and other people's fits."""

from functools import lru_cache
from typing import Any

import pvlib
import pytest

from ohmwright.energy.module_light import CLASS_LIGHT, light_of, true_light_ratio
from ohmwright.physics.diode_fit import Fitted, Printed, fit, ruled_power_W
from ohmwright.physics.pv import light_ratio, module_power_W

#: Every 2,000th module of the public CEC table that comes with pvlib, of those of silicon cells.
ROWS = range(0, 20_000, 2_000)
SUNS_W_m2, CELLS_degC = (50.0, 100.0, 200.0, 400.0, 800.0, 1150.0), (-20.0, 5.0, 25.0, 60.0)


@lru_cache(maxsize=1)
def table() -> Any:
    return pvlib.pvsystem.retrieve_sam("CECMod")


def printed(number: int) -> Printed:
    row = table().iloc[:, number]
    return Printed(
        float(row["I_sc_ref"]),
        float(row["V_oc_ref"]),
        float(row["I_mp_ref"]),
        float(row["V_mp_ref"]),
        float(row["beta_oc"]),
        float(row["alpha_sc"]),
    )


def fitted(number: int) -> Fitted:
    found = fit(printed(number))
    assert isinstance(found, Fitted)
    return found


def pvlib_W(found: Fitted, sun: float, cell: float) -> float:
    """Maximum power of the same five parameters by pvlib: De Soto's translation and its own solver."""
    d, alpha = found.module.at_standard, found.module.alpha_A_per_K
    five = pvlib.pvsystem.calcparams_desoto(
        sun, cell, alpha, d.ideality_V, d.photo_A, d.saturation_A, d.shunt_ohm, d.series_ohm
    )
    return float(pvlib.pvsystem.singlediode(*five)["p_mp"])


@pytest.mark.parametrize("number", ROWS)
def test_the_surface_lies_within_what_it_prints_of_the_diode(number: int) -> None:
    # A power off by 0.3 % is less than the 3 % that a page allows its own module.
    found = fitted(number)
    light = light_of(found.module)
    assert light.error_ratio < 0.003
    for sun in SUNS_W_m2:
        for cell in CELLS_degC:
            theirs = pvlib_W(found, sun, cell) / pvlib_W(found, 1000.0, cell) * 1000.0 / sun
            assert light_ratio(sun, cell, *light.numbers) == pytest.approx(
                theirs, rel=light.error_ratio + 5e-4
            )


@pytest.mark.parametrize("number", ROWS)
def test_the_printed_power_coefficient_rules_at_full_light_and_the_rule_is_the_diodes(number: int) -> None:
    found = fitted(number)
    light = light_of(found.module)
    rated = printed(number).power_W
    for cell in (-20.0, 25.0, 75.0):
        full = module_power_W(rated, 1000.0, -0.36, cell, light_ratio(1000.0, cell, *light.numbers))
        assert full == pytest.approx(rated * (1.0 - 0.0036 * (cell - 25.0)), rel=1e-12)
        dim = module_power_W(rated, 200.0, -0.36, cell, light_ratio(200.0, cell, *light.numbers))
        ruled = ruled_power_W(found.module, 200.0, cell, -0.36) / (1.0 + found.power_error_ratio)
        assert dim == pytest.approx(ruled, rel=light.error_ratio + 1e-3)


# Other people's fit of the same module, six parameters of the CEC table.  Two fits to one page leave the shunt open: ours are kinder
# to 200 W/m2 by 1.0 % in the middle of forty modules and by 2.2 % in nine of ten (measured, then written here; data sheets print 96
# to 98 % there, common practice, no source).
def test_little_light_is_what_the_public_tables_own_fits_say() -> None:
    off = []
    for number in range(0, 20_000, 500):
        found, row = fit(printed(number)), table().iloc[:, number]
        if isinstance(found, Fitted):
            theirs = [
                float(
                    pvlib.pvsystem.singlediode(
                        *pvlib.pvsystem.calcparams_cec(
                            sun, 25.0, row["alpha_sc"], row["a_ref"], row["I_L_ref"], row["I_o_ref"], row["R_sh_ref"], row["R_s"], row["Adjust"]
                        )
                    )["p_mp"]
                ) / sun
                for sun in (200.0, 1000.0)
            ]  # fmt: skip
            off.append(abs(true_light_ratio(found.module, 200.0, 25.0) / (theirs[0] / theirs[1]) - 1.0))
    off.sort()
    assert len(off) > 30
    assert off[len(off) // 2] < 0.012
    assert off[int(0.9 * len(off))] < 0.028


@pytest.mark.parametrize("number", ROWS)
def test_more_light_never_gives_less_with_a_surface(number: int) -> None:
    light = light_of(fitted(number).module)
    for cell in (-20.0, 25.0, 75.0):
        power = [sun * light_ratio(sun, cell, *light.numbers) for sun in range(1, 1301, 9)]
        assert power == sorted(power)


def test_the_class_surface_goes_through_its_two_points() -> None:
    assert light_ratio(200.0, 25.0, *CLASS_LIGHT) == pytest.approx(0.984, abs=2e-4)
    assert light_ratio(50.0, 25.0, *CLASS_LIGHT) == pytest.approx(0.934, abs=2e-4)
    assert light_ratio(1000.0, 60.0, *CLASS_LIGHT) == 1.0
