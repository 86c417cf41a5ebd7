"""Prospective faults on alternating current."""

import pytest
from tests.circuit.rigs import changed, demo, split

from ohmwright.circuit.ac_faults import ac_faults_of
from ohmwright.physics.copper import copper_ohm_per_m


def test_a_post_gives_its_printed_current_and_at_least_its_volts_over_its_loop() -> None:
    # 120 V, 5 kA printed, loop 0.15 ohm: 800 A by Ohm's law.
    post = ac_faults_of(*demo("trailer"))["SUP.L"]
    assert post.max_A == pytest.approx(5000.0)
    assert post.min_A == pytest.approx(800.0)


def test_a_cord_lowers_the_fault_by_its_own_resistance_both_ways() -> None:
    # 10 m of 10 AWG (5.261 mm2), there and back, at 20 degC, behind 120 V / 5 kA = 24 mohm; 0.08 mohm/m of reactance.
    inlet = ac_faults_of(*split())["J1.L"]
    loop = complex(0.024 + 20 * copper_ohm_per_m(5.261, 20.0), 20 * 0.00008)
    assert inlet.max_A == pytest.approx(120.0 / abs(loop), rel=0.01)
    assert inlet.min_A is not None
    assert inlet.min_A < 120.0 / (0.15 + 20 * copper_ohm_per_m(5.261, 20.0))


def test_an_inverter_alone_gives_no_more_than_it_pushes() -> None:
    # 3000 W at 120 V: 25 A at least, which is less than a 15 A breaker needs to open at once.
    outlet = ac_faults_of(*demo("trailer"))["PA.1.L"]
    assert outlet.min_A == pytest.approx(25.0)
    assert outlet.max_A is not None
    assert outlet.max_A > 500.0


def test_a_post_that_nobody_asked_leaves_the_greatest_open_and_names_it() -> None:
    faults = ac_faults_of(
        *changed("trailer", ("SUP:  {is: supply-post-30a-120v,", "SUP:  {is: supply-post-30a-120v, resistance: unknown, short-circuit-current: unknown,"))
    )  # fmt: skip
    assert faults["PA.1.L"].max_A is None
    assert set(faults["PA.1.L"].missing) == {"SUP.short_circuit_current", "SUP.resistance"}
