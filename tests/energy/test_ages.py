"""Nights lost with a bank that has aged."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from ohmwright.energy.abreast import SameYears
from ohmwright.energy.ageing import RERUN, aged, capacity_left, wear_of
from ohmwright.energy.ages import ages_of
from ohmwright.energy.chance import many_years
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.one_year import OneYear, work_out
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.spread import Spread
from ohmwright.energy.types import Ageing
from ohmwright.physics.ageing import YEAR_s, calendar_lost_ratio, resistance_grown_ratio
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import normal_year


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


def told(least: float, most: float, grown: float) -> Ageing:
    return Ageing(((least, most),) * 15, (grown,) * 15, None, None, 10.0, 15.0, ())


def test_an_older_bank_loses_no_fewer_nights_and_one_that_has_not_aged_loses_the_same(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    many = many_years(kernel, plan, [duluth], 32, 3, spread=Spread(), plugged=False, workers=1)
    fresh = ages_of(SameYears(kernel, many, [duluth], workers=1), told(1.0, 1.0, 0.0))
    old = ages_of(SameYears(kernel, many, [duluth], workers=1), told(0.6, 0.8, 0.5))
    assert fresh is not None
    assert old is not None
    for row in fresh["rows"]:
        assert row["nights_mean_least"] == row["nights_mean_most"] == many.nights_lost().mean()
    for row in old["rows"]:
        assert row["nights_mean_most"] >= row["nights_mean_least"] >= many.nights_lost().mean()
    assert old["rows"][0]["nights_mean_most"] > many.nights_lost().mean()
    assert "10th year" in old["words"]


# The energy of every hour of an aged bank balances as that of a new one: `work_out` refuses what does not.
def test_energy_is_conserved_with_an_aged_bank(plan: EnergyPlan, duluth: Spot) -> None:
    one = work_out(replace(plan, bank=aged(plan.bank, 0.7, 0.6)), [normal_year(duluth)])

    assert one.accounts.balance_Wh < 1e-6
    assert max(one.accounts.soc) <= 1.0 + 1e-9


def left(one: OneYear, rerun: Sequence[int]) -> list[float]:
    """What is left by year of life at the larger of the two studies, the year run again at the ages of `rerun`."""
    grown = sum(resistance_grown_ratio(t, YEAR_s / 8760) for t in one.hours.bank_degC)
    return capacity_left(one, wear_of(one.accounts.soc, one.hours.bank_degC), grown, max, rerun)


# The bank's age feeds its own ageing: the same year with a smaller bank goes deeper. Two steps stand for one a year.
def test_a_smaller_bank_ages_faster_and_two_steps_stand_for_every_year(
    plan: EnergyPlan, duluth: Spot
) -> None:
    one = work_out(plan, [normal_year(duluth)])
    never, twice, yearly = left(one, ()), left(one, RERUN), left(one, range(1, 25))

    assert never[:5] == twice[:5]
    assert all(a < b for a, b in zip(twice[5:], never[5:], strict=True))
    assert twice[14] == pytest.approx(yearly[14], abs=0.003)
    assert never[14] - yearly[14] < 0.02


# Without another run the two laws are what they are on paper: by hand from a year's wear, the squares of Naumann's losses added
# up, and Wang's 0.55 power of all that went through.
def test_a_bank_that_is_cycled_alike_every_year_follows_the_laws_as_printed(
    plan: EnergyPlan, duluth: Spot
) -> None:
    one = work_out(plan, [normal_year(duluth)])
    wear = wear_of(one.accounts.soc, one.hours.bank_degC)
    standing = calendar_lost_ratio(wear.calendar_square**0.5, 10 * YEAR_s)
    first = standing + (10 * wear.cycle_square) ** 0.5
    second = standing + wear.wang_power**0.55 * 10**0.55

    assert 1.0 - left(one, ())[9] == pytest.approx(max(first, second), rel=1e-9)


def test_a_bank_whose_ageing_is_not_told_has_no_ages(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    many = many_years(kernel, plan, [duluth], 4, 3, plugged=False, workers=1)

    assert (
        ages_of(SameYears(kernel, many, [duluth], workers=1), Ageing((), (), None, None, 10.0, 15.0, ()))
        is None
    )
