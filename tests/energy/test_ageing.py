"""Cycle counting against the standard's own example, ageing laws worked by hand, and what they make of a year."""

from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.energy.ageing import ageing_of
from ohmwright.energy.one_year import work_out
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.energy.rainflow import cycles_of, turning_points
from ohmwright.physics.ageing import (
    YEAR_s,
    calendar_lost_ratio,
    cycle_lost_ratio,
    first_cycle_lost_ratio,
    first_year_lost_ratio,
    virtual_age_ratio,
    wang_lost_ratio,
)
from ohmwright.sky.types import WeatherYear


def test_the_example_of_the_standard_is_counted_as_printed() -> None:
    # ASTM E1049-85, 5.4.4 and figure 6: history and counts (read second-hand).
    counts: defaultdict[float, float] = defaultdict(float)
    for size, _, count in cycles_of([-2, 1, -3, 5, -1, 3, -4, 4, -2]):
        counts[size] += count
    assert counts == {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}


def test_means_of_the_example_are_as_printed() -> None:
    got = {(size, mean, count) for size, mean, count in cycles_of([-2, 1, -3, 5, -1, 3, -4, 4, -2])}
    assert got == {
        (3, -0.5, 0.5),
        (4, -1, 0.5),
        (4, 1, 1),
        (8, 1, 0.5),
        (9, 0.5, 0.5),
        (8, 0, 0.5),
        (6, 1, 0.5),
    }


@given(st.lists(st.integers(0, 20), min_size=2, max_size=60))
def test_counted_ranges_add_up_to_half_the_way_travelled(history: list[int]) -> None:
    # Every half cycle is one stretch of the way, every whole one two: nothing is lost or counted twice.
    points = turning_points(history)
    way = sum(abs(b - a) for a, b in pairwise(points))
    assert sum(2 * size * count for size, _, count in cycles_of(history)) == pytest.approx(way)


def test_ten_years_of_standing_by_hand() -> None:
    # Worked by hand from the published coefficients: 1.2571e-5 * 0.60225 * sqrt(3.156e8 s) = 13.4 % at 25 degC and half charge;
    # at full charge 2.8575 * 0.125 more in the bracket: 21.4 %; at 45 degC and 90 % charge 27 %.
    def ten(warm: float, soc: float) -> float:
        return calendar_lost_ratio(first_year_lost_ratio(warm, soc), 10 * YEAR_s)

    assert ten(25, 0.5) == pytest.approx(0.1345, abs=0.0005)
    assert ten(25, 1.0) == pytest.approx(0.214, abs=0.001)
    assert ten(25, 0.9) == pytest.approx(0.175, abs=0.001)
    assert ten(45, 0.9) == pytest.approx(0.270, abs=0.002)


def test_cycles_by_hand() -> None:
    # 3650 cycles of 80 % at a fifth of the capacity an hour: (0.0126 + 0.0971) * 1.1129 % * sqrt(2920) = 6.6 %;
    # 3650 of 30 % at a tenth: 3.4 %.
    assert cycle_lost_ratio(first_cycle_lost_ratio(0.2, 0.8), 3650 * 0.8) == pytest.approx(0.067, abs=0.001)
    assert cycle_lost_ratio(first_cycle_lost_ratio(0.1, 0.3), 3650 * 0.3) == pytest.approx(0.034, abs=0.001)
    # Wang: 2000 cycles of 90 % of a 2 Ah cell at half the capacity an hour.
    assert wang_lost_ratio(0.5, 25.0, 2000 * 0.9 * 2.0) == pytest.approx(0.086, abs=0.001)
    assert wang_lost_ratio(0.5, 45.0, 2000 * 0.9 * 2.0) == pytest.approx(0.19, abs=0.003)


def test_two_stresses_in_turn_go_on_from_the_virtual_age() -> None:
    # A year at one pace, then a year at another from the age at which that pace would have lost as much: the squares add up.
    warm, cool = first_year_lost_ratio(35, 0.9), first_year_lost_ratio(15, 0.5)
    lost = calendar_lost_ratio(warm, YEAR_s)
    lost = calendar_lost_ratio(cool, (virtual_age_ratio(lost, cool) + 1.0) * YEAR_s)
    assert lost == pytest.approx((warm**2 + cool**2) ** 0.5, rel=1e-12)


def test_a_warm_bank_ages_faster_and_the_range_has_both_studies(plan: EnergyPlan, north: WeatherYear) -> None:
    one = work_out(plan, [north])
    cool = ageing_of(one)
    hot = ageing_of(replace(one, hours=replace(one.hours, bank_degC=(40.0,) * 8760)))
    assert all(a < b for (a, _), (b, _) in zip(hot.capacity_ratio, cool.capacity_ratio, strict=True))
    assert all(low < high for low, high in cool.capacity_ratio)
    assert hot.shortest_years is not None
    assert cool.shortest_years is None or hot.shortest_years < cool.shortest_years
    assert any("not a warranty" in w for w in cool.words)


def test_lead_acid_gets_no_figure_of_life(plan: EnergyPlan, lead: Bank, north: WeatherYear) -> None:
    told = ageing_of(work_out(replace(plan, bank=lead), [north]))
    assert told.capacity_ratio == ()
    assert told.shortest_years is None
    assert any("rank" in w for w in told.words)
