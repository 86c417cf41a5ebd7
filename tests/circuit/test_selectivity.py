"""Up to which current the nearer device opens alone: curves against each other, and on a rig."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import changed, demo

from ohmwright.circuit.clearing import Curve
from ohmwright.circuit.selectivity import Holding, limit_A
from ohmwright.physics.fault import melts_at_least_s
from ohmwright.study import Study

#: 60 A: 2.6 times 3600 x 0.08 x 36 = 10,368 A2s beyond its last point.
SMALL = Curve(60.0, ((2.0, 120.0), (3.0, 6.0), (6.0, 0.08)), None, None)
LARGE = Holding(400.0, 96_000.0)


def test_a_smaller_let_through_than_the_melting_integral_is_selective_at_every_current() -> None:
    # IEC 60269: the clearing integral of the smaller below the melting integral of the larger (from memory).
    assert limit_A(SMALL, LARGE, 1.0, 20_000.0) == 20_000.0


def test_a_larger_let_through_is_selective_until_the_two_curves_cross() -> None:
    # Beyond 360 A the smaller lets 10,368 A2s through; the larger holds 500 A and melts at 9000 A2s.
    # By hand: 10,368 / I^2 = -9000 / 500^2 ln(1 - (500 / I)^2); with x = (500 / I)^2: 1.152 x = -ln(1 - x), x = 0.2508...
    upper = Holding(500.0, 9_000.0)
    low, high = 0.01, 0.9
    for _ in range(80):
        x = 0.5 * (low + high)
        low, high = (x, high) if -math.log(1 - x) < 10_368 / 9_000 * x else (low, x)

    assert limit_A(SMALL, upper, 1.0, 20_000.0) == pytest.approx(500.0 / math.sqrt(low), rel=1e-3)


def test_a_share_of_the_current_melts_the_upper_later() -> None:
    upper = Holding(100.0, 9_000.0)

    assert limit_A(SMALL, upper, 0.25, 20_000.0) > 1.5 * limit_A(SMALL, upper, 1.0, 20_000.0)


def test_nothing_is_told_above_what_the_upper_holds_when_the_lower_never_promises_to_open() -> None:
    assert limit_A(SMALL, Holding(90.0, 1e6), 1.0, 115.0) == 90.0


def test_equal_devices_are_not_selective_for_long() -> None:
    assert limit_A(SMALL, Holding(60.0, 2_000.0), 1.0, 5_000.0) == 60.0


@given(st.floats(1e3, 1e6), st.floats(1.0, 5.0), st.floats(0.2, 1.0))
def test_more_melting_integral_never_lowers_the_limit(melting: float, more: float, share: float) -> None:
    first = limit_A(SMALL, Holding(150.0, melting), share, 10_000.0)

    assert limit_A(SMALL, Holding(150.0, melting * more), share, 10_000.0) >= first * (1 - 1e-3)


@given(
    st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(1e-3, 100.0)), min_size=1, max_size=5),
    st.floats(1.05, 50.0),
)
def test_no_body_of_many_time_constants_melts_before_the_bound(
    parts: list[tuple[float, float]], over: float
) -> None:
    # A fuse as a chain of thermal masses warms as a sum of exponentials; it holds 100 A when that sum comes to 1.
    weights = np.array([w for w, _ in parts])
    weights /= weights.sum()
    taus = np.array([t for _, t in parts])
    melting = 100.0**2 / float((weights / taus).sum())  # what melts it without any loss
    bound = melts_at_least_s(melting, 100.0, 100.0 * over)

    warmth = over**2 * float((weights * (1 - np.exp(-bound / taus))).sum())
    assert warmth <= 1 + 1e-9


def test_without_the_melting_integral_the_limit_is_not_told() -> None:
    rig, _ = demo("trailer")
    found = Study(rig).selective("F1", "F4")

    assert found.up_to_A is None
    assert "F1.melting" in found.missing


def test_a_rig_tells_the_limit_and_what_can_flow() -> None:
    rig, _ = changed(
        "trailer", ("F1:   {is: fuse-class-t-400a,", "F1:   {is: fuse-class-t-400a, melting: 300000 A2s,")
    )
    study = Study(rig)
    found = study.selective("F1", "F4")

    assert found.whole
    behind = max(study.faults[t].through_A.get("F4", 0.0) for t in ("F4.line", "F4.load"))
    assert found.prospective_A == pytest.approx(behind)
    assert found.share == pytest.approx(1.0)
