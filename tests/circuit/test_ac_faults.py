"""Prospective faults on alternating current."""

import pytest
from tests.circuit.rigs import changed, demo, read, split

from ohmwright.circuit.ac_faults import ac_faults_of, earth_faults_of, line_faults_of
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


# To earth, and between the two lines of split phase.

POST = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}, yard: {regime: outside}}, ways: {room - yard: {length: 20 m}}}
metal: {ground: {}}
parts:
  SUP: {is: supply-post-30a-120v, at: yard, own: no}
  J1: {is: shore-inlet-30a-120v, at: room}
  PA: {is: panel-ac-main-30a, at: room, ways: {1: 20 A}}
runs:
  C1: {from: SUP, to: J1, cable: flexible 3 x 10 AWG, length: 20 m, plugs: both}
  W1: {from: J1.L, to: PA.feed.L, cable: 10 AWG, length: 2 m}
  W2: {from: J1.N, to: PA.feed.N, cable: 10 AWG, length: 2 m}
  W3: {from: J1.PE, to: PA.feed.PE, cable: 14 AWG green, length: 6 m, role: earth}
settings: {}
"""


def test_an_earth_fault_comes_back_by_the_protective_conductor() -> None:
    # 120 V behind 24 mohm; out by 20 m and 2 m of 10 AWG (5.261 mm2), back by 6 m of 14 AWG (2.081 mm2) and 20 m of 10 AWG.
    found = earth_faults_of(*read(POST, {}))["PA.feed.L"]
    ohm = 42 * copper_ohm_per_m(5.261, 20.0) + 6 * copper_ohm_per_m(2.081, 20.0)
    loop = complex(0.024 + ohm, 48 * 0.00008)

    assert found.max_A == pytest.approx(120.0 / abs(loop), rel=0.01)
    plain = ac_faults_of(*read(POST, {}))["PA.feed.L"]
    assert plain.max_A is not None
    assert found.max_A is not None
    assert found.max_A < plain.max_A  # the thin protective conductor keeps it back


def test_equal_cores_carry_equal_faults_to_neutral_and_to_earth() -> None:
    earth, neutral = earth_faults_of(*split())["J1.L"], ac_faults_of(*split())["J1.L"]

    assert earth.max_A == pytest.approx(neutral.max_A, rel=1e-9)
    assert earth.min_A == pytest.approx(neutral.min_A, rel=1e-9)


def test_without_a_join_a_fault_to_earth_draws_nothing() -> None:
    # The van's inverter floats: metal goes live and nothing opens.
    assert earth_faults_of(*demo("van"))["U2.ac-out.L"].min_A == 0.0


def test_a_ground_relay_that_is_off_takes_the_way_back_away() -> None:
    on = earth_faults_of(*demo("trailer"))["PA.1.L"]
    off = earth_faults_of(*changed("trailer", ("ground-relay: enabled,", "ground-relay: disabled,")))[
        "PA.1.L"
    ]

    assert on.min_A == pytest.approx(25.0)
    assert off.min_A == 0.0


def test_the_legs_of_an_inverter_push_one_current_between_its_lines() -> None:
    # 6 kVA in two legs of 120 V: 25 A, once around both of them.
    between = line_faults_of(*split())["PA.3.L1"]

    assert between.min_A == pytest.approx(25.0)
    assert "PA.1.L1" not in line_faults_of(*split())


SPLIT_POST = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}, yard: {regime: outside}}, ways: {room - yard: {length: 20 m}}}
parts:
  SUP: {is: supply-post-50a-120v-240v, at: yard, own: no}
  PA: {is: panel-ac-split-50a, at: room, ways: {1: 30 A L1+L2}}
runs:
  W1: {from: SUP, to: PA.feed, cable: 4 x 6 AWG, length: 20 m}
settings: {}
"""


def test_a_post_of_two_legs_drives_its_faults_with_both_of_them() -> None:
    # 240 V behind twice 120 V / 5 kA, out and back by 20 m of 6 AWG (13.3 mm2), 0.08 mohm/m of reactance.
    found = line_faults_of(*read(SPLIT_POST, {}))["PA.feed.L1"]
    loop = complex(2 * 0.024 + 40 * copper_ohm_per_m(13.3, 20.0), 40 * 0.00008)

    assert found.max_A == pytest.approx(240.0 / abs(loop), rel=0.01)
    to_neutral = ac_faults_of(*read(SPLIT_POST, {}))["PA.feed.L1"].max_A
    assert found.max_A is not None
    assert to_neutral is not None
    assert (
        found.max_A > to_neutral
    )  # twice the volts, less than twice the loop: the neutral is in one of them only


def test_a_branch_of_unknown_length_leaves_the_least_fault_at_its_end_open() -> None:
    found = ac_faults_of(*split())
    assert found["outlets-east.L1"].min_A is None
    assert found["outlets-east.L1"].missing == ("outlets-east.branch.length",)
    assert found["PA.1.L1"].min_A is not None  # before the branch everything is known
    assert earth_faults_of(*split())["outlets-east.L1"].min_A is None
