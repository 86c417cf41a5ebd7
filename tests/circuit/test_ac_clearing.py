"""How long a fault on alternating current lasts: by the gates of the standards, by hand, and on rigs."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import changed, demo, read

from ohmwright.checks.mains.earth_fault_time import allowed
from ohmwright.circuit.ac_clearing import Cleared, ac_curve_of, longest, residual_s
from ohmwright.circuit.ac_faults import ac_faults_of
from ohmwright.physics.fault import class_a_s
from ohmwright.rig.model import Part
from ohmwright.study import Study


def part_of(rig: str, name: str, *, words: dict[str, str]) -> Part:
    part = demo(rig)[0].parts[name]
    return replace(part, words={**part.words, **words})


BREAKER = demo("cabin")[0].parts["Q4"]  # 25 A, curve C
RESIDUAL = demo("cabin")[0].parts["QR"]  # 30 mA, type A


# IEC 60898-1 table 7, from memory: 1.45 times within an hour, 2.55 times within a minute up to 32 A and two above;
# the upper ends of B, C and D (5, 10, 20 times) within 0.1 s.
@pytest.mark.parametrize(
    ("curve", "rated", "times", "seconds"),
    [
        ("b", 16, 5, 0.1), ("c", 16, 10, 0.1), ("d", 16, 20, 0.1), ("c", 16, 1.45, 3600), ("c", 16, 2.55, 60), ("c", 32, 2.55, 60), ("c", 40, 2.55, 120),
    ],
)  # fmt: skip
def test_a_breaker_opens_by_the_gates_of_its_curve(
    curve: str, rated: float, times: float, seconds: float
) -> None:
    part = replace(BREAKER, words={**BREAKER.words, "curve": curve}, figures={})
    bare = replace(part, record=replace(part.record, figures={}))
    found = ac_curve_of(bare, rated)

    assert found is not None
    assert found.seconds(rated * times) == pytest.approx(seconds)
    assert found.seconds(rated * 1.44) is None


@pytest.mark.parametrize("curve", ["z", "thermal", "hydraulic", "unknown"])
def test_a_curve_without_gates_promises_nothing(curve: str) -> None:
    bare = replace(
        BREAKER, words={"curve": curve}, figures={}, record=replace(BREAKER.record, figures={}, words={})
    )

    assert ac_curve_of(bare, 16) is None


# IEC 61008-1 and 61009-1 table 1, general type, from memory: 0.3 s at I, 0.15 s at 2 I, 0.04 s at 5 I and above.
@pytest.mark.parametrize(
    ("amps", "seconds"), [(0.03, 0.3), (0.06, 0.15), (0.149, 0.15), (0.15, 0.04), (200, 0.04), (None, 0.3)]
)
def test_a_residual_current_device_opens_by_its_table(amps: float | None, seconds: float) -> None:
    assert residual_s(RESIDUAL, amps) == pytest.approx(seconds)


def test_below_its_rated_residual_current_nothing_is_promised() -> None:
    assert residual_s(RESIDUAL, 0.029) is None


def test_a_device_of_unknown_type_has_what_its_page_prints_alone() -> None:
    unread = replace(RESIDUAL, words={**RESIDUAL.words, "type": "unknown"})

    assert residual_s(unread, 200.0) == pytest.approx(0.3)  # 300 ms on its page


@pytest.mark.parametrize(("amps", "seconds"), [(0.006, 5.59), (0.020, 1.0), (0.264, 0.025), (30.0, 0.025)])
def test_class_a_follows_its_time_law(amps: float, seconds: float) -> None:
    # UL 943: (20 / I in mA) to the 1.43 (second-hand); 6 mA 5.59 s, 264 mA 25 ms.
    assert class_a_s(amps) == pytest.approx(seconds, rel=2e-3)


# IEC 60364-4-41 table 41.1, alternating current, from memory.
@pytest.mark.parametrize(
    ("volts", "system", "seconds"),
    [(120, "tn", 0.8), (230, "tn", 0.4), (400, "tn", 0.2), (120, "tt", 0.3), (230, "tt", 0.2), (400, "tt", 0.07), (121, "tn", 0.4), (231, "tt", 0.07)],
)  # fmt: skip
def test_the_allowed_times_are_those_of_the_table(volts: float, system: str, seconds: float) -> None:
    found = allowed(volts, system)
    assert found is not None
    assert found.value == seconds


def test_touch_voltage_and_what_the_table_does_not_hold_have_no_time() -> None:
    assert allowed(50, "tn") is None
    assert allowed(401, "tn") is None


@given(st.floats(1.45, 60.0), st.floats(1.0, 2.0))
def test_a_larger_fault_is_never_cleared_later(times: float, more: float) -> None:
    found = ac_curve_of(BREAKER, 25.0)
    assert found is not None
    first, second = found.seconds(25.0 * times), found.seconds(25.0 * times * more)
    assert first is not None
    assert second is not None
    assert second <= first * (1 + 1e-9)


def test_of_several_sources_the_one_that_nothing_cuts_off_is_told() -> None:
    quick, never = (
        Cleared("t", "a", "F", 0.1, 0.1, 90.0),
        Cleared("t", "b", "", None, None, 9.0, ("b.fault_stop",)),
    )

    assert longest([quick, never]) == longest([never, quick]) == never


# On rigs.
def earth(study: Study, terminal: str, source: str) -> Cleared:
    return next(c for c in study.earth_clearing[terminal] if c.source == source)


def test_a_generator_that_just_sustains_its_fault_takes_the_thermal_part_of_the_curve() -> None:
    # 90 A through 25 A of curve C is 3.6 times: 60 s x (2.55 / 3.6)^2 = 30.1 s.
    study = Study(changed("cabin", ("Q3: {is: rcbo-25a-30ma-type-a-2p", "Q3: {is: breaker-25a-230v-2p"))[0])
    told = next(c for c in study.neutral_clearing["Q3.load.L"] if c.source == "G1")

    assert told.amps is not None
    assert told.amps == pytest.approx(90.0, rel=0.01)
    assert told.min_s == pytest.approx(60 * (2.55 * 25 / told.amps) ** 2, rel=1e-6)


def test_a_residual_current_device_opens_a_fault_to_earth_and_no_other() -> None:
    study = Study(demo("cabin")[0])
    to_neutral = next(c for c in study.neutral_clearing["induction.L"] if c.source == "U2")

    assert (earth(study, "induction.L", "U2").by, earth(study, "induction.L", "U2").min_s) == ("QR", 0.04)
    assert (to_neutral.by, to_neutral.min_s) == ("", None)
    assert "U2.fault_stop" in to_neutral.missing


def test_what_the_device_does_not_cut_off_is_not_cleared_by_it() -> None:
    # Before the device: only the inverter itself could end it.
    before = earth(Study(demo("cabin")[0]), "U2.ac-out.L", "U2")

    assert (before.min_s, before.missing) == (None, ("U2.fault_stop",))


def test_an_inverter_whose_page_says_when_it_stops_is_told_by_it() -> None:
    study = Study(changed("cabin", ("QR: {is: rcd-40a-30ma-type-f-2p", "QR: {is: breaker-40a-230v-2p"), ("U2: {is: inverter-charger-5kva-48v-230v", "U2: {is: inverter-charger-5kva-48v-230v, fault-stop: 0.2 s"))[0])  # fmt: skip
    told = earth(study, "induction.L", "U2")

    assert (told.by, told.min_s) == ("U2", 0.2)


POST = """\
ohmwright: 1
job: {id: post, rules: eu-cabin 2023}
host: {kind: cabin, places: {room: {regime: heated}, yard: {regime: outside}}, ways: {room - yard: {length: 20 m}}}
metal: {ground: {}}
parts:
  SUP: {is: supply-post-16a-230v, at: yard, own: no, system: tn}
  Q1: {is: breaker-16a-230v-2p, at: room}
  PA: {is: panel-ac-16a-2p, at: room, ways: {1: 10 A}}
use: {loads: {kettle: {fed: PA.1, power: 900 W, length: 2 m, cable: 3 x 1.5 mm2}}}
runs:
  W1: {from: SUP, to: {L: Q1.line.L, N: Q1.line.N, PE: PA.feed.PE}, cable: 3 x 2.5 mm2, length: LONG}
  W2: {from: {L: Q1.load.L, N: Q1.load.N}, to: {L: PA.feed.L, N: PA.feed.N}, cable: 2 x 2.5 mm2, length: 1 m}
settings: {}
"""


def post(length: str) -> Study:
    return Study(read(POST.replace("LONG", length), {})[0])


def test_a_stiff_post_opens_the_nearest_breaker_at_once_and_a_long_cord_keeps_it_from_that() -> None:
    near, far = earth(post("5 m"), "kettle.L", "SUP"), earth(post("200 m"), "kettle.L", "SUP")

    assert (near.by, near.min_s) == ("PA.1", 0.1)
    assert far.amps is not None
    assert far.amps < 100.0  # ten times 10 A
    # Between 2.55 and 10 times of 10 A: the same heat as at the gate, by hand.
    assert far.min_s == pytest.approx(60 * (25.5 / far.amps) ** 2, rel=1e-6)


def test_a_length_that_nobody_knows_leaves_the_time_open_and_is_named() -> None:
    told = earth(post("unknown"), "kettle.L", "SUP")

    assert told.min_s is None
    assert "W1.length" in told.missing


def test_a_contact_that_rests_open_is_looked_at_closed() -> None:
    assert "water-heater.L" in ac_faults_of(*demo("boat"))


def test_every_time_is_a_time() -> None:
    for name in ("trailer", "boat", "cabin", "van"):
        study = Study(demo(name)[0])
        for clearing in (study.neutral_clearing, study.earth_clearing, study.line_clearing):
            for told in (c for cs in clearing.values() for c in cs):
                assert told.min_s is None or (math.isfinite(told.min_s) and told.min_s > 0)
                assert told.min_s is not None or told.by == ""
