"""Nights lost with a bank that has aged."""

from dataclasses import replace

import numpy as np
import pytest

from ohmwright.energy.ageing import ageing_of
from ohmwright.energy.ages import aged, ages_of
from ohmwright.energy.chance import many_years
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.one_year import work_out
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.spread import Spread
from ohmwright.energy.types import Ageing
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
    fresh = ages_of(kernel, many, told(1.0, 1.0, 0.0), [duluth], workers=1)
    old = ages_of(kernel, many, told(0.6, 0.8, 0.5), [duluth], workers=1)
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


# How much is missed by not following that a smaller bank is cycled deeper: the ageing of the tenth year on, worked out
# anew with the bank of that year, moves the capacity left after 15 years by less than two points.
def test_ageing_on_from_an_aged_bank_hardly_moves_its_life(plan: EnergyPlan, duluth: Spot) -> None:
    sky = [normal_year(duluth)]
    new = ageing_of(work_out(plan, sky))
    ends, grown = new.capacity_ratio[9], new.resistance_grown_ratio[9]
    old = ageing_of(work_out(replace(plan, bank=aged(plan.bank, float(np.mean(ends)), grown)), sky))

    lost_new, lost_old = 1.0 - np.mean(new.capacity_ratio[14]), 1.0 - np.mean(old.capacity_ratio[14])
    assert lost_old == pytest.approx(lost_new, abs=0.02)


def test_a_bank_whose_ageing_is_not_told_has_no_ages(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    many = many_years(kernel, plan, [duluth], 4, 3, plugged=False, workers=1)

    assert ages_of(kernel, many, Ageing((), (), None, None, 10.0, 15.0, ()), [duluth], workers=1) is None
