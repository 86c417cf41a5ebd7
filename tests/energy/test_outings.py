"""Nights lived in and days between: which days they are, what they ask, and that nobody's day is a night lost."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.energy.test_from_rig import TRAILER, asked_Wh, rig_of

from ohmwright.energy.asks import asks_of
from ohmwright.energy.chance import ManyYears, many_years, sunniest_day
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.one_year import work_out
from ohmwright.energy.outings import outing_days
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import between_days, lived_days
from ohmwright.energy.spread import Spread
from ohmwright.energy.verdict import verdict_of
from ohmwright.energy.year import year_of
from ohmwright.rig.model import Rig
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot, WeatherYear

SPAN_days = 184
NIGHTS = "nights: 60, away: 6"


def trailer(words: str) -> Rig:
    return rig_of(TRAILER.replace(f", {NIGHTS}", words))


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


@given(
    st.integers(1, 365).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))),
    st.integers(1, 30),
)
def test_outings_never_overlap_and_add_up_to_the_nights(
    span_and_nights: tuple[int, int], length: int
) -> None:
    span, nights = span_and_nights
    outings = outing_days(range(100, 100 + span), nights, length)
    days = [d for outing in outings for d in outing]
    assert len(days) == nights
    assert days == sorted(set(days))
    assert all(100 <= d < 100 + span for d in days)
    assert all(len(o) == length for o in outings[:-1])
    gaps = [b[0] - a[-1] - 1 for a, b in pairwise(outings)]
    assert max(gaps, default=0) - min(gaps, default=0) <= 1


def test_the_lived_days_of_the_trailer_are_its_nights_and_all_others_lie_between() -> None:
    plan = plan_of(trailer(f", {NIGHTS}"))
    assert lived_days(plan.stays).sum() == 60
    assert between_days(plan.stays).sum() == SPAN_days - 60
    assert any("60 of 184 days are lived in, in outings of 6 nights" in text for text in plan.assumptions)


def test_without_away_an_outing_of_three_nights_is_an_assumption() -> None:
    plan = plan_of(trailer(", nights: 60"))
    assert any("outings of 3 nights (common practice, no source)" in text for text in plan.assumptions)
    days = np.flatnonzero(lived_days(plan.stays))
    assert len(days) == 60
    assert np.flatnonzero(np.diff(days) > 1).tolist() == list(range(2, 59, 3))


def test_a_day_between_asks_only_what_is_always_on() -> None:
    # Worked by hand: the detectors' 3 W for 24 h are 72 Wh; nothing on the inverter, so it is off. A lived day is as ever.
    plan = plan_of(trailer(f", {NIGHTS}"))
    between = plan.stays[0].between[6]
    assert sum(between.dc_W) == pytest.approx(72.0)
    assert sum(between.ac_W) == sum(between.idle_W) == 0.0
    assert asked_Wh(plan, 0, 6) == asked_Wh(plan_of(trailer("")), 0, 6)


@pytest.mark.parametrize("nights", [SPAN_days, SPAN_days - 1])
def test_nights_that_fill_the_span_change_nothing(nights: int, north: WeatherYear) -> None:
    # A span of 184 days holds 183 nights.
    whole, plain = (year_of(trailer(w), lambda _: north) for w in (f", nights: {nights}", ""))
    assert whole == plain


def test_the_stay_tells_lived_days_and_days_between(north: WeatherYear) -> None:
    stay = year_of(trailer(f", {NIGHTS}"), lambda _: north).stays[0]
    whole = year_of(trailer(""), lambda _: north).stays[0]
    assert stay.lived_days == 60
    assert stay.lived_load_Wh_per_day is not None
    assert stay.between_load_Wh_per_day == pytest.approx(72.0)
    # Spring and autumn days have more furnace than a summer day: the mean of days spread evenly is that of all within 2 %.
    assert stay.lived_load_Wh_per_day == pytest.approx(whole.load_Wh_per_day, rel=0.02)
    assert stay.load_Wh_per_day * 184 == pytest.approx(stay.lived_load_Wh_per_day * 60 + 72.0 * 124)
    assert (whole.lived_days, whole.lived_load_Wh_per_day, whole.between_load_Wh_per_day) == (
        None,
        None,
        None,
    )


def lost(plan: EnergyPlan, sky: WeatherYear) -> int:
    return sum(work_out(plan, [sky] * len(plan.stays)).nights_lost())


def test_more_lived_nights_never_lose_fewer(north: WeatherYear) -> None:
    plans = [plan_of(trailer(f", nights: {n}, away: 6")) for n in (0, 6, 30, 60, 120, 184)]
    counts = [lost(p, north) for p in plans]
    assert counts == sorted(counts)
    assert counts[0] == 0 < counts[-1]


def test_days_added_to_an_outing_never_save_a_night(north: WeatherYear) -> None:
    plan = plan_of(trailer(f", {NIGHTS}"))
    counts = [
        lost(replace(plan, stays=(replace(plan.stays[0], lived_days=days), plan.stays[1])), north)
        for days in _growing(np.random.default_rng(1).permutation(np.arange(109, 293)).tolist())
    ]
    assert counts == sorted(counts)


def _growing(days: Sequence[int]) -> list[frozenset[int]]:
    return [frozenset(days[:n]) for n in range(0, SPAN_days + 1, 23)]


@pytest.fixture(scope="module")
def made(kernel: Kernel, duluth: Spot) -> ManyYears:
    rig = trailer(f", {NIGHTS}")
    plan = plan_of(rig)
    return many_years(kernel, plan, [duluth] * 2, 8, 3, spread=Spread(), asks=asks_of(rig, plan), workers=1)


def test_the_compiled_year_with_outings_is_the_plain_loop_to_the_last_bit(
    kernel: Kernel, duluth: Spot, plain_charge: Callable[..., np.ndarray]
) -> None:
    spots = [duluth] * 2
    many = many_years(kernel, plan_of(trailer(f", {NIGHTS}")), spots, 4, 3, workers=1)
    for number in (0, 3):
        soc = plain_charge(many, spots, number)
        before = np.roll(soc, 1)[::24]
        before[sunniest_day(spots)] = 1.0
        expected = np.minimum(before, soc.reshape(365, 24).min(axis=1))
        assert many.column("soc_min")[number].tolist() == expected.tolist()


def test_a_night_is_lost_only_where_somebody_is_there(made: ManyYears) -> None:
    lived = lived_days(made.plan.stays)
    assert not made.lost()[:, ~lived].any()
    assert (made.nights_lost() <= 60).all()
    assert made.nights_lost().tolist() == made.short()[:, lived].sum(axis=1).tolist()


def test_the_verdict_tells_of_how_many_nights(made: ManyYears) -> None:
    assert "of the 60 nights" in verdict_of(made)[0]


def test_nights_away_begin_on_days_of_outings_and_are_asked_of_lived_days(
    kernel: Kernel, made: ManyYears, duluth: Spot
) -> None:
    name = next(iter(made.asks.nights))
    starts, nights = made.asks.nights[name]
    assert nights == 6
    assert set(starts) == set(np.flatnonzero(lived_days(made.plan.stays)).tolist())
    # The same starts in a file in which every day is lived in: the same nights, to the last one.
    rig = trailer(", away: 6")
    plan = plan_of(rig)
    all_in = many_years(kernel, plan, [duluth] * 2, 8, 3, spread=Spread(), asks=asks_of(rig, plan), workers=1)
    other_starts, _ = all_in.asks.nights[name]
    same = [other_starts.index(d) for d in starts]
    assert np.array_equal(made.lasting[name], all_in.lasting[name][:, same])
    assert (made.lasting[name] < nights).any()
