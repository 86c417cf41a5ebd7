"""Loads that scatter about what is written, what the weather adds, and what is given up first."""

from dataclasses import replace

import numpy as np
import pytest

from ohmwright.energy.chance import ManyYears, many_years
from ohmwright.energy.kernel import DAILY, Kernel
from ohmwright.energy.ladder import ladder_W, steady_W
from ohmwright.energy.loads import Asked
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.spread import FRIDGE_per_K, Spread, factors_of, weather_load_W
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot

EVEN = (1 / 24,) * 24


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


def some(kernel: Kernel, plan: EnergyPlan, spot: Spot, years: int = 32, **more: object) -> ManyYears:
    return many_years(kernel, plan, [spot] * len(plan.stays), years, 3, spread=Spread(), workers=1, **more)  # type: ignore[arg-type]


def test_factors_have_the_mean_and_spread_asked_for() -> None:
    # Lognormal with mean 1: users scatter by 20 %, days of one user by 20 % about his own mean.
    got = factors_of(Spread(0.2, 0.2), 1, 0, 3000)
    assert got.mean() == pytest.approx(1.0, abs=0.012)
    assert np.log(got).mean(axis=1).std() == pytest.approx(0.2, rel=0.05)
    assert np.log(got).std(axis=1).mean() == pytest.approx(0.2, rel=0.02)


def test_two_plans_meet_the_same_users_and_days(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    bigger = replace(plan, bank=replace(plan.bank, capacity_Ah=2 * plan.bank.capacity_Ah))
    a, b = some(kernel, plan, duluth), some(kernel, bigger, duluth)
    assert np.array_equal(a.column("load_Wh"), b.column("load_Wh"))
    assert np.all(b.lacking_Wh().sum(axis=1) <= a.lacking_Wh().sum(axis=1) + 1.0)
    assert np.array_equal(factors_of(Spread(), 7, 3, 2), factors_of(Spread(), 7, 0, 5)[3:])


def test_scatter_keeps_the_mean_load_and_makes_bad_years_worse(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    plain = many_years(kernel, plan, [duluth], 128, 3, workers=1)
    spread = some(kernel, plan, duluth, 128)
    assert spread.column("load_Wh").mean() == pytest.approx(plain.column("load_Wh").mean(), rel=0.05)
    assert spread.nights_lost().std() > plain.nights_lost().std()


def test_every_made_year_balances(
    kernel: Kernel, plan: EnergyPlan, with_generator: EnergyPlan, duluth: Spot
) -> None:
    for each in (plan, with_generator):
        assert some(kernel, each, duluth).balance_error() < 1e-9


def test_a_warm_room_makes_a_fridge_work_four_and_a_half_per_cent_harder_for_each_kelvin(
    plan: EnergyPlan, duluth: Spot
) -> None:
    day = replace(plan.stays[0].days[0], chilled_W=(20.0,) * 24)
    fridge = replace(plan, stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), day)),))
    hot = weather_load_W(fridge, (duluth,), np.full((1, 8760), 30.0))
    hotter = weather_load_W(fridge, (duluth,), np.full((1, 8760), 32.0))
    assert hot is not None
    assert hotter is not None
    assert hotter[0, 5000] - hot[0, 5000] == pytest.approx(20.0 * FRIDGE_per_K * 2)
    # A heated room stands at 18: in January, whatever the frost, nothing is added or taken.
    cold = weather_load_W(fridge, (duluth,), np.full((1, 8760), -30.0))
    assert cold is not None
    assert cold[0, 100] == pytest.approx(0.0, abs=0.3)
    assert weather_load_W(plan, (duluth,), np.full((1, 8760), 30.0)) is None


def test_a_cold_day_asks_for_more_heating_in_proportion_to_its_degrees(
    plan: EnergyPlan, duluth: Spot
) -> None:
    day = replace(plan.stays[0].days[0], warmed_W=(30.0,) * 24)
    heated = replace(plan, stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), day)),))
    at_8 = weather_load_W(heated, (duluth,), np.full((1, 8760), 8.0))
    at_m2 = weather_load_W(heated, (duluth,), np.full((1, 8760), -2.0))
    assert at_8 is not None
    assert at_m2 is not None
    assert (at_m2[0, 0] + 30.0) / (at_8[0, 0] + 30.0) == pytest.approx(2.0)  # 20 degrees below 18 against 10


def test_what_can_go_is_lost_before_what_is_normal_and_that_before_what_must_never_fail(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    # By hand: 40 W can go, 60 more are normal, the rest of 145 W and the inverter is always on.
    steps = ((40.0,) * 24, (100.0,) * 24, (100.0,) * 24)
    day = replace(plan.stays[0].days[0], ladder_W=steps)
    laddered = replace(plan, stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), day)),))
    many = many_years(kernel, laddered, [duluth], 8, 3, workers=1)
    lost = {k: w.sum() for k, w in many.lacking_by_priority_Wh().items()}
    assert sum(lost.values()) == pytest.approx(many.lacking_Wh().sum(), rel=1e-12)
    assert lost["can-go"] > lost["normal"] * 40 / 60 > 0
    assert lost["first"] == pytest.approx(0.0, abs=1e-6)
    assert lost["always"] > 0
    by_day = many.lacking_by_priority_Wh()
    assert np.all(by_day["can-go"] <= 24 * 40 + 1e-6)
    assert np.all(by_day["normal"] <= 24 * 60 + 1e-6)


def test_the_steps_of_a_day_by_hand() -> None:
    day = (
        Asked("tv", True, 240.0, 80.0, EVEN, 24.0, "can-go"),
        Asked("lights", False, 120.0, 20.0, EVEN, 0.0, ""),
        Asked("radio", False, 48.0, 2.0, EVEN, 0.0, "first"),
        Asked("alarm", False, 72.0, 3.0, EVEN, 0.0, "always"),
    )
    go, normal, first = ladder_W(day, True, 0.1, (20.0,) * 24)
    assert go[0] == pytest.approx(11.0)  # 10 W at 10 % loss
    assert normal[0] == pytest.approx(11.0 + 5.0 + 20.0)
    assert first[0] == pytest.approx(36.0 + 2.0)
    # Own use 1 W, the alarm 3 W; the standby of an AC load does not stand on the DC side.
    assert steady_W(day, 1.0)[0] == pytest.approx(4.0)


def test_daily_accounts_have_their_names() -> None:
    assert DAILY[0] == "unserved_Wh"
    assert DAILY[-1] == "soc_min"
