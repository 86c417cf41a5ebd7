"""Up to which current the nearer device opens alone: curves against each other, and on a rig."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import changed

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


def test_what_is_held_for_ever_is_held_at_that_current_however_a_share_is_rounded() -> None:
    assert Holding(110.0, 9_000.0).seconds(math.nextafter(110.0, math.inf)) == math.inf


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


UNTOLD = ("F1:   {is: fuse-class-t-400a,", "F1:   {is: fuse-class-t-400a, melting: unknown,")
#: A breaker in the place of the trailer's main fuse.
BREAKER = ("F1:   {is: fuse-class-t-400a,", "F1:   {is: breaker-150a-48v-1p,")


def test_without_the_melting_integral_the_limit_is_not_told() -> None:
    rig, _ = changed("trailer", UNTOLD)
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


# A breaker above: held to its rating, to its printed shortest times, and to the lower end of its instantaneous band.
#: 125 A that holds 200 % for 4 s and 600 % for 0.02 s at least, and may open at once from eight times its rating.
MAIN = Holding(125.0, None, ((250.0, 4.0), (750.0, 0.02)), 1000.0)
#: 5 A blade fuse by the gates of ISO 8820-3 (from memory): 90 A2s beyond six times its rating.
READING_LAMP = Curve(5.0, ((1.35, 600.0), (2.0, 5.0), (6.0, 0.1)), None, None)


def test_a_breaker_above_is_selective_up_to_the_lower_end_of_its_instantaneous_band() -> None:
    # 0.1 s x (6 x 5 A)^2 = 90 A2s: below 0.02 s from 67 A on, so its curve never decides.
    upper = Holding(125.0, None, ((250.0, 4.0), (1500.0, 0.02)), 1000.0)
    assert limit_A(READING_LAMP, upper, 1.0, 5_000.0) == pytest.approx(1000.0, rel=1e-3)


def test_beyond_its_last_printed_point_nothing_is_promised_of_a_breaker_above() -> None:
    assert limit_A(READING_LAMP, MAIN, 1.0, 5_000.0) == pytest.approx(750.0, rel=1e-3)


def test_a_breaker_above_that_may_open_at_once_where_it_stops_holding_gives_its_rating() -> None:
    assert limit_A(READING_LAMP, Holding(125.0, None, (), 125.0), 1.0, 5_000.0) == 125.0


def test_a_slower_device_below_is_selective_up_to_the_point_that_is_printed() -> None:
    # 30 A: at 125 A (4.17 times) about 1 s, in time before 4 s; at 250 A 0.08 x (6 / 8.33)^2 = 0.04 s, where 0.02 s are promised.
    smaller = Curve(30.0, SMALL.points, None, None)
    assert limit_A(smaller, MAIN, 1.0, 5_000.0) == pytest.approx(250.0, rel=1e-3)


def test_no_line_is_drawn_between_the_shortest_times() -> None:
    assert [MAIN.seconds(a) for a in (125.0, 126.0, 250.0, 251.0, 750.0, 751.0, 1000.0)] == [
        math.inf, 4.0, 4.0, 0.02, 0.02, 0.0, 0.0,
    ]  # fmt: skip


@given(st.floats(2.0, 40.0), st.floats(0.3, 1.0))
def test_a_breaker_above_is_never_selective_beyond_its_instant(instant: float, share: float) -> None:
    upper = Holding(125.0, None, ((250.0, 4.0), (750.0, 0.02)), instant * 125.0)

    assert limit_A(READING_LAMP, upper, share, 1e5) <= instant * 125.0 / share * (1 + 1e-9)


def test_a_breaker_in_a_rig_is_told_from_its_plate() -> None:
    rig, _ = changed("trailer", BREAKER)
    found = Study(rig).selective("F1", "F7")
    assert found.up_to_A is not None
    assert found.up_to_A <= 8 * 150.0
    assert not found.whole


@pytest.mark.parametrize("lost", ["instant-low", "holds-at"])
def test_a_breaker_without_both_edges_of_its_curve_cannot_be_told(lost: str) -> None:
    unknown = "instant-low: unknown," if lost == "instant-low" else "holds-at-135: unknown, holds-at-200: unknown, holds-at-600: unknown,"  # fmt: skip
    rig, _ = changed("trailer", (BREAKER[0], f"{BREAKER[1]} {unknown}"))
    found = Study(rig).selective("F1", "F4")

    assert found.up_to_A is None
    assert found.missing == (("F1.instant_low",) if lost == "instant-low" else ("F1.holds_at_200",))
