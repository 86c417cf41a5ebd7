"""Conductors, strings, faults, ventilation and weights against printed worked examples. The source stands above each."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics import ampacity, copper, drop, fault, strings, ventilation, weights
from ohmwright.standards import find, table
from ohmwright.standards.wire import awg_area_mm2


# M. Holt, Illustrated Guide to the 2011 NEC requirements for solar PV, 690.7 (read second-hand):
# 22.6 V, -0.075 V/C, -7 C: 25.0 V; table factor 1.14: 25.764 V.
def test_cold_volts_of_one_module_are_as_printed() -> None:
    factor = strings.cold_factor(-7)

    assert strings.cold_string_by_volts_V(1, 22.6, -0.075, -7) == pytest.approx(25.0, abs=0.01)
    assert factor is not None
    assert factor.value == 1.14
    assert strings.cold_string_by_table_V(1, 22.6, factor.value) == pytest.approx(25.764, abs=1e-9)


# Penn State AE 868, "Voltage design" (read second-hand): 38.0 V, 60 cells, -3.2 mV/C a cell, -23 C: 47.2 V, table 1.20.
def test_the_table_can_be_the_lower_of_the_two() -> None:
    factor = strings.cold_factor(-23)
    by_coefficient = strings.cold_string_by_volts_V(1, 38.0, 60 * -0.0032, -23)

    assert by_coefficient == pytest.approx(47.2, abs=0.05)
    assert factor is not None
    assert factor.value == 1.20
    assert strings.cold_string_by_table_V(1, 38.0, factor.value) < by_coefficient


# NFPA 70 Table 690.7(A): a row holds down to its lower edge; the table ends at -40 C.
@pytest.mark.parametrize(
    ("at_degC", "printed"),
    [
        (24, 1.02),
        (20, 1.02),
        (0, 1.10),
        (-0.5, 1.12),
        (-1, 1.12),
        (-5, 1.12),
        (-5.5, 1.14),
        (-34, 1.23),
        (-40, 1.25),
        (30, 1.0),
    ],
)
def test_between_two_rows_the_colder_holds(at_degC: float, printed: float) -> None:
    factor = strings.cold_factor(at_degC)

    assert factor is not None
    assert factor.value == printed


def test_the_table_says_nothing_below_its_end() -> None:
    assert strings.cold_factor(-40.5) is None


# An installer's course (2010) after J. Wiles' suggested practices (read second-hand): 2500 W, 0.85, 22 V: 134 A, 167 A.
def test_inverter_current_at_low_battery_is_as_printed() -> None:
    current_A = ampacity.inverter_A(2500, 0.85, 22)

    assert current_A == pytest.approx(134, abs=0.5)
    assert ampacity.continuous_A(1.25, current_A) == pytest.approx(167, abs=0.5)


# Home Power magazine, "PV circuit sizing & current calculations" (read second-hand): Isc 8.8 A: 11.0 A, 13.75 A.
# An open installation manual: Isc 9.2 A: 11.5 A, 14.4 A.
@pytest.mark.parametrize(("short_A", "greatest_A", "size_A"), [(8.8, 11.0, 13.75), (9.2, 11.5, 14.4)])
def test_pv_circuit_currents_are_as_printed(short_A: float, greatest_A: float, size_A: float) -> None:
    once, twice = find("pv/us-maximum-current").value, find("pv/us-continuous").value

    assert strings.circuit_A(once, 1, short_A) == pytest.approx(greatest_A, abs=0.01)
    assert strings.sizing_A(twice, once, 1, short_A) == pytest.approx(
        size_A, abs=0.05
    )  # the second is printed to 0.1 A


# Electrical Construction & Maintenance, code questions (M. Holt): 10 AWG 90 C, four conductors: 0.8, 32 A.
# An open NEC table guide: 12 AWG 75 C, 40 C ambient: 0.88, 22 A.
def test_adjusted_ampacities_are_as_printed() -> None:
    base, hot = table("nec-310.16-copper"), table("nec-310.15-ambient")
    many = table("nec-310.15-count").value(table("nec-310.15-count").least_row(4) or "", "factor")
    at_40 = hot.value(hot.least_row(40) or "", "75")
    ten, twelve = base.value("10", "90"), base.value("12", "75")

    assert (ten, many, twelve, at_40) == (40, 0.8, 25, 0.88)
    assert ampacity.ampacity_A(40, 1, 0.8) == pytest.approx(32, rel=1e-12)
    assert ampacity.ampacity_A(25, 0.88, 1) == pytest.approx(22, rel=1e-12)


# NFPA 70 (2023) 310.15(B): the table is the equation, rounded to the second decimal.
def test_every_ambient_factor_is_the_equation_rounded() -> None:
    t = table("nec-310.15-ambient")
    for row in t.rows:
        for column in t.columns:
            printed = t.value(row, column)
            if printed is not None:
                assert ampacity.ambient_factor(float(column), float(row), 30.0) == pytest.approx(
                    printed, abs=0.0051
                )


# ABYC E-11, 11.14.2.6 with the bilge-pump example of two trade reprints: 10 A, 21 ft round trip, 12 V, 3 %: 6271 CM; 10 %: 1881.
def test_the_marine_formula_gives_the_printed_circular_mils() -> None:
    k = find("drop/abyc-k").value

    assert drop.marine_circular_mils_count(k, 10, 21, 0.03 * 12) == pytest.approx(6271, abs=1)
    assert drop.marine_circular_mils_count(k, 10, 21, 0.10 * 12) == pytest.approx(1881, abs=1)


# IEC 60228 annex, temperature factors (read on a cable maker's page): 1/(1 + 0.004 (T - 20)); ours uses 0.00393.
@pytest.mark.parametrize(("at_degC", "printed"), list(zip((5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 90, 100), (1.064, 1.042, 1.02, 1.0, 0.98, 0.962, 0.926, 0.893, 0.862, 0.82, 0.781, 0.758), strict=True)))  # fmt: skip
def test_temperature_correction_agrees_with_the_annex(at_degC: float, printed: float) -> None:
    assert 1 / copper.warmed_from_20_ohm_per_m(1.0, at_degC) == pytest.approx(
        printed, abs=0.0035
    )  # 0.004 against 0.00393


# A formula page: 1.21 at 20 C is 1.472 at 75 C. Right arithmetic; but 1.21 ohm/kft is Table 8's 75 C value of solid 10 AWG.
def test_a_value_printed_at_75_is_never_warmed_again() -> None:
    assert copper.warmed_from_20_ohm_per_m(1.21, 75) == pytest.approx(1.472, abs=0.001)
    printed = copper.printed_ohm_per_m("10", "AWG", False)
    assert printed is not None
    assert printed[1] == 75.0
    assert copper.cable_ohm_per_m(5.261, "10", "AWG", 75.0, "high") == pytest.approx(
        1.24e-3 / 0.3048, rel=1e-12
    )


# A physics department's wire table, ohm/kft of solid copper at 20 C; tolerance the last printed digit.
@pytest.mark.parametrize(
    ("size", "ohm_per_kft"),
    [
        ("4/0", 0.049),
        ("1/0", 0.0983),
        ("2", 0.1563),
        ("6", 0.3951),
        ("10", 0.9989),
        ("14", 2.525),
        ("18", 6.385),
    ],
)
def test_resistance_agrees_with_the_wire_table(size: str, ohm_per_kft: float) -> None:
    area = awg_area_mm2(size)
    assert area is not None
    assert copper.copper_ohm_per_m(area, 20) * 304.8 == pytest.approx(ohm_per_kft, rel=1e-3)


# IEC 60228 class 5 maxima x 1.216 at 75 C, worked by hand: 10 mm2 2.32, 35 mm2 0.674, 70 mm2 0.331 mohm/m.
@pytest.mark.parametrize(("size", "mohm_per_m"), [("10", 2.32), ("35", 0.674), ("70", 0.331)])
def test_metric_cable_takes_the_class_5_maximum(size: str, mohm_per_m: float) -> None:
    assert 1000 * copper.cable_ohm_per_m(float(size), size, "mm2", 75, "high") == pytest.approx(
        mohm_per_m, abs=0.005
    )


# 33 CFR 183.455(c): 10 AWG, 105 C, 60 A: largest device 90 A; in an engine space the table value is 51 A.
def test_a_boat_device_may_reach_150_per_cent() -> None:
    assert ampacity.device_ceiling_A(find("protection/boat-ceiling").value, 60) == 90
    assert ampacity.ampacity_A(60, find("cfr33-183.425-engine/105/factor").value, 1) == 51


# An interrupting-capacity guide citing ABYC E-11 (second-hand): 2 in series, 3 in parallel, 2400 A each: 7200 A.
def test_series_does_not_add_and_parallel_does() -> None:
    unit_ohm = 6.0 / 2400

    assert fault.bank_fault_A(3, 12.0, 1.0, 2 * unit_ohm, 0.0) == pytest.approx(7200, rel=1e-12)


# A textbook exercise: 12 V, 5 A at 10 V: 0.4 ohm, 30 A.  A 12 V block of 5 mohm: 2400 A.
def test_battery_smoke_tests() -> None:
    assert fault.measured_ohm(12, 10, 5) == pytest.approx(0.4)
    assert fault.fault_A(12, 0.4) == pytest.approx(30)
    assert fault.fault_A(12, 0.005) == pytest.approx(2400)


# ngspice 9658.5 A for three batteries (13.2 V, 2.5 mohm, 0.4 mohm) back through the fourth's path.
def test_back_feed_agrees_with_a_circuit_simulator() -> None:
    assert fault.back_feed_A(4, 13.2, 1.0, 2.5e-3, 0.4e-3) == pytest.approx(9658.5, rel=1e-4)


# IEC 60364-5-54 Annex A (from memory): 143 for XLPE, 115 for PVC.
@pytest.mark.parametrize(("initial", "final", "printed"), [(90, 250, 143), (70, 160, 115)])
def test_withstand_constants_are_as_printed(initial: float, final: float, printed: float) -> None:
    assert fault.withstand_factor(initial, final) == pytest.approx(printed, abs=0.5)


# IEC 62485-2 (from memory): 6 cells, 200 Ah, vented boost: 1.2 m3/h.
def test_ventilation_check_case() -> None:
    assert ventilation.air_m3_per_h(6, 20, 200) == pytest.approx(1.2, rel=1e-12)


# A trailer engineers' talk (trade article): ball to axle 100 in, load centre 88 in behind the ball, 800 lb empty with
# 80 lb on the tongue, 2500 lb gross: 284 lb, 11.36 % (the article prints 11.86, a misprint of its own division).
def test_tongue_weight_is_as_printed() -> None:
    tongue = 80 + weights.on_coupling_kg(1700, 88, 100)

    assert tongue == pytest.approx(284, abs=0.5)
    assert weights.tongue_ratio(tongue, 2500) == pytest.approx(0.1136, abs=1e-4)


# Axle position by statics: 1025 lb on the tongue, 7200 lb on the wheels, 264 in: ten per cent at 256.78 in.
@pytest.mark.parametrize(("tongue", "wheels", "exact_in"), [(1025, 7200, 256.78), (300, 8200, 282.98)])
def test_moving_the_axle_to_ten_per_cent(tongue: float, wheels: float, exact_in: float) -> None:
    """The load's centre stays where it is: 264 (wheels / total) behind the ball."""
    total = tongue + wheels
    centre_in = 264 * wheels / total

    assert weights.on_coupling_kg(total, centre_in, exact_in) / total == pytest.approx(0.10, abs=1e-4)


@given(st.floats(0.5, 300), st.floats(-40, 120))
def test_the_low_bound_never_exceeds_the_high(area_mm2: float, at_degC: float) -> None:
    low = copper.cable_ohm_per_m(area_mm2, "", "mm2", at_degC, "low")
    assert 0 < low < copper.cable_ohm_per_m(area_mm2, "", "mm2", at_degC, "high")


@given(st.sampled_from([*table("nec-ch9-t8").rows]), st.floats(-20, 105))
def test_table_8_stays_within_four_per_cent_of_solid_copper(size: str, at_degC: float) -> None:
    area = awg_area_mm2(size)
    assert area is not None
    assert (
        1.0
        < copper.cable_ohm_per_m(area, size, "AWG", at_degC, "high") / copper.copper_ohm_per_m(area, at_degC)
        < 1.04
    )


@given(st.floats(1, 400), st.floats(0.001, 1.0), st.floats(1, 400))
def test_more_current_never_drops_less(a: float, ohm: float, b: float) -> None:
    assert drop.drop_V(max(a, b), ohm) >= drop.drop_V(min(a, b), ohm)


@given(st.integers(2, 8), st.floats(10, 60), st.floats(1e-3, 2e-2), st.floats(1e-5, 1e-2))
def test_back_feed_is_less_than_the_whole_bank(n: int, volts: float, ohm: float, path: float) -> None:
    assert fault.back_feed_A(n, volts, 0.7, ohm, path) < fault.bank_fault_A(n, volts, 0.7, ohm, path)
    assert math.isfinite(fault.back_feed_A(n, volts, 0.7, ohm, path))


@given(st.floats(1, 12), st.floats(20, 60), st.floats(-0.4, -0.2), st.floats(-45, 24), st.floats(-45, 24))
def test_colder_is_never_less_volts(n: float, voc: float, coefficient: float, a: float, b: float) -> None:
    cold, mild = min(a, b), max(a, b)
    assert strings.cold_string_V(n, voc, coefficient, cold) >= strings.cold_string_V(
        n, voc, coefficient, mild
    )
