"""A trip has one weather: near places share their dull spells, far ones do not, a place that is never left is itself."""

import math

import numpy as np
import pytest

from ohmwright.energy.chance import many_years
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.plan import EnergyPlan
from ohmwright.sky.spots import spot_at
from ohmwright.sky.trips import TIE_km, distance_km, tie_ratio, weights_of
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import synthetic_years

PLACES = ((46.8, -92.1), (44.9, -93.2), (41.9, -87.6), (36.1, -112.1), (-33.9, 151.2))


@pytest.fixture(scope="module")
def spots() -> list[Spot]:
    return [spot_at(*p) for p in PLACES]


def test_paris_and_london_are_344_km_apart() -> None:
    # Great-circle distance between the two city centres, any atlas: 344 km.
    paris, london = spot_at(48.8566, 2.3522), spot_at(51.5074, -0.1278)
    assert distance_km(paris, london) == pytest.approx(344, abs=1)


def test_drivers_give_every_pair_the_tie_of_its_distance(spots: list[Spot]) -> None:
    weights = weights_of(spots)
    for i, a in enumerate(spots):
        assert sum(x * x for x in weights[i]) == pytest.approx(1.0, abs=1e-12)
        for j, b in enumerate(spots):
            shared = sum(x * y for x, y in zip(weights[i], weights[j], strict=False))
            assert shared == pytest.approx(math.exp(-distance_km(a, b) / TIE_km) if i != j else 1.0, abs=1e-9)


def test_made_days_are_tied_as_their_distance_says(spots: list[Spot]) -> None:
    weights = weights_of(spots[:3])
    made = [
        synthetic_years(s, 120, 5, weights=w).clearness[:, 150:240]
        for s, w in zip(spots[:3], weights, strict=True)
    ]
    for i in range(3):
        for j in range(i):
            got = np.corrcoef(made[i].ravel(), made[j].ravel())[0, 1]
            # Clearness is bent from the drivers, which costs a few hundredths of their correlation.
            assert got == pytest.approx(tie_ratio(spots[i], spots[j]), abs=0.06)


def test_a_trip_that_stays_where_it_is_is_the_single_place_to_the_last_bit(
    kernel: Kernel, plan: EnergyPlan, spots: list[Spot]
) -> None:
    from dataclasses import replace

    whole = plan.stays[0]
    halves = replace(plan, stays=(replace(whole, last_day=180), replace(whole, first_day=181)))
    one = many_years(kernel, plan, spots[:1], 6, 3, workers=1)
    two = many_years(kernel, halves, [spots[0], spots[0]], 6, 3, workers=1)
    away = many_years(kernel, halves, [spots[0], spots[3]], 6, 3, workers=1)
    assert np.array_equal(one.daily, two.daily)
    assert np.array_equal(one.onto_Wh_m2[:, :181], away.onto_Wh_m2[:, :181])
    assert not np.array_equal(one.onto_Wh_m2[:, 181:], away.onto_Wh_m2[:, 181:])


def test_the_first_place_has_the_first_driver_alone(spots: list[Spot]) -> None:
    alone = synthetic_years(spots[0], 3, 9)
    first = synthetic_years(spots[0], 3, 9, weights=weights_of(spots)[0])
    assert np.array_equal(alone.clearness, first.clearness)


def test_some_days_of_a_made_year_are_those_of_the_whole_year(spots: list[Spot]) -> None:
    from ohmwright.sky.weather import hours_of

    made = synthetic_years(spots[0], 3, 2)
    days = np.arange(100, 130)
    whole, some = hours_of(made), hours_of(made, days)
    for name in ("ghi_W_m2", "dhi_W_m2", "air_degC"):
        assert np.array_equal(getattr(whole, name)[:, 2400:3120], getattr(some, name)), name
