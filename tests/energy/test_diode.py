"""Five numbers from a data sheet: every module of a sample of the public table, or a refusal."""

import numpy as np
import pvlib
import pytest

from ohmwright.energy.diode import Diode, Refusal, Sheet, fit, misses


def sheets(step: int) -> list[Sheet]:
    """Data sheets of the public CEC table (pvlib), every so many rows."""
    table = pvlib.pvsystem.retrieve_sam("CECMod").T.iloc[::step]
    return [
        Sheet(
            float(r.I_sc_ref), float(r.V_oc_ref), float(r.I_mp_ref), float(r.V_mp_ref),
            100 * float(r.alpha_sc) / float(r.I_sc_ref), 100 * float(r.beta_oc) / float(r.V_oc_ref), float(r.gamma_r),
        )
        for r in table.itertuples()
    ]  # fmt: skip


def check(step: int) -> None:
    missed, refused = [], []
    for sheet in sheets(step):
        diode = fit(sheet)
        if isinstance(diode, Refusal):
            refused.append(sheet)
            continue
        missed.append(misses(diode))
        assert diode.open_circuit_V(1000, 25) == pytest.approx(sheet.open_circuit_V, rel=1e-9)
        volts, amps = diode.power_point_V_A(1000, 25)
        assert volts == pytest.approx(sheet.power_point_V, rel=0.02)
        assert amps == pytest.approx(sheet.power_point_A, rel=0.02)
    # Sheets squarer than any single diode are refused by name, never fitted badly.
    assert len(refused) <= 0.003 * (len(missed) + len(refused))
    assert np.max(missed) < 1e-3
    assert float(np.median(missed)) < 1e-6


def test_a_sample_of_the_table_is_fitted_to_a_tenth_of_a_per_cent() -> None:
    check(430)


@pytest.mark.slow
def test_the_table_is_fitted_to_a_tenth_of_a_per_cent() -> None:
    check(10)


def test_the_data_sheets_power_coefficient_rules() -> None:
    sheet = Sheet(13.9, 37.1, 13.2, 31.0, 0.05, -0.27, -0.35)
    diode = fit(sheet)
    assert isinstance(diode, Diode)
    assert diode.power_W(1000, 75) / diode.power_W(1000, 25) == pytest.approx(1 - 0.35 / 100 * 50, rel=1e-9)


def test_a_sheet_that_cannot_be_is_refused() -> None:
    assert isinstance(fit(Sheet(9.0, 37.0, 9.5, 31.0)), Refusal)
    assert isinstance(fit(Sheet(9.0, 37.0, 8.5, 38.0)), Refusal)
    # A fill factor of 0.96 is no silicon module.
    assert isinstance(fit(Sheet(9.0, 37.0, 8.95, 36.3)), Refusal)
