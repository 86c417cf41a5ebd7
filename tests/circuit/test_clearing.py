"""How long devices take, and how long faults last."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import demo

from ohmwright.circuit.clearing import Curve, INSTANT_s, curve_of
from ohmwright.circuit.faults import faults_of

FUSE = Curve(100.0, ((1.35, 1800.0), (2.0, 60.0), (3.0, 5.0), (6.0, 0.1)), 20_000.0, None)


@pytest.mark.parametrize(("amps", "seconds"), [(135.0, 1800.0), (200.0, 60.0), (300.0, 5.0), (600.0, 0.1)])
def test_a_curve_passes_through_its_printed_points(amps: float, seconds: float) -> None:
    assert FUSE.seconds(amps) == pytest.approx(seconds)


def test_nothing_is_promised_below_the_first_point() -> None:
    assert FUSE.seconds(134.0) is None


def test_far_beyond_the_last_point_the_clearing_integral_rules() -> None:
    # 20,000 A2s at 10 kA: 0.2 ms; the last point alone would promise 0.36 ms.
    assert FUSE.seconds(10_000.0) == pytest.approx(20_000 / 10_000**2)
    assert Curve(100.0, FUSE.points, None, None).seconds(10_000.0) == pytest.approx(0.1 * (6 / 100) ** 2)


def test_halfway_on_logarithmic_paper() -> None:
    # Between (2, 60) and (3, 5): at the geometric mean of the multiples, the geometric mean of the times.
    assert FUSE.seconds(100 * 6**0.5) == pytest.approx((60 * 5) ** 0.5)


@given(st.floats(135, 1e5), st.floats(1.0, 10.0))
def test_more_current_never_clears_later(amps: float, more: float) -> None:
    first, second = FUSE.seconds(amps), FUSE.seconds(amps * more)
    assert first is not None
    assert second is not None
    assert second <= first * (1 + 1e-9)


def test_an_instant_trip_is_a_tenth_of_a_second() -> None:
    breaker = Curve(20.0, ((1.35, 3600.0), (2.0, 100.0)), None, 10.0)
    assert breaker.seconds(250.0) == INSTANT_s


def test_a_device_without_points_promises_nothing() -> None:
    rig, _ = demo("trailer")
    assert curve_of(rig.parts["F1"], None) is None
    assert curve_of(rig.parts["Q1"], 500.0) is None


def test_a_fault_beyond_its_own_fuse_clears_by_that_fuse() -> None:
    rig, graph = demo("trailer")
    fault = faults_of(rig, graph)["detectors.+"]
    assert fault.clears_s is not None
    curve = curve_of(rig.parts["F7"], 5.0)
    assert curve is not None
    alone = curve.seconds(fault.through_A["F7"])
    assert alone is not None
    assert fault.clears_s["max"] <= alone


def test_the_least_fault_never_clears_sooner_than_the_greatest() -> None:
    for name in ("trailer", "boat", "cabin"):
        for fault in faults_of(*demo(name)).values():
            if fault.clears_s and {"max", "min"} <= fault.clears_s.keys():
                assert fault.clears_s["min"] >= fault.clears_s["max"] * (1 - 1e-9)


def test_a_fault_before_every_device_never_clears() -> None:
    fault = faults_of(*demo("van"))["blower.+"]
    assert fault.clears_s is None
