"""Many made years: the same for the same seed, sure in figures, and never worse for more."""

from dataclasses import replace

import numpy as np
import pytest

from ohmwright.energy.chance import ManyYears, by_month, many_years, quantile, quantile_error
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.likely import chances
from ohmwright.energy.loop import Hours, by_rig, run
from ohmwright.energy.plan import Array, EnergyPlan
from ohmwright.energy.series import array_power_W, rows_of
from ohmwright.energy.skies import ready, skies_of
from ohmwright.sky.months import CLASS_WIND_m_per_s
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.sky.weather import hours_of, synthetic_years


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


def some(kernel: Kernel, plan: EnergyPlan, spot: Spot, years: int, seed: int = 3) -> ManyYears:
    return many_years(kernel, plan, [spot] * len(plan.stays), years, seed, workers=1)


def test_the_same_seed_gives_the_same_years_however_many_are_asked_for(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    few, more = some(kernel, plan, duluth, 5), some(kernel, plan, duluth, 40)
    assert np.array_equal(few.daily, more.daily[:5])
    assert np.array_equal(few.plug_in, more.plug_in[:5])
    assert not np.array_equal(few.daily, some(kernel, plan, duluth, 5, seed=4).daily)


def test_a_made_year_in_the_kernel_is_the_plain_loops_year(
    kernel: Kernel, plan: EnergyPlan, array: Array, duluth: Spot
) -> None:
    # The compiled weather leaves against the plain ones, hour by hour of one made year; then the whole year.
    skies = skies_of(kernel, ready(plan, [duluth], varied=False), [duluth], 7, 1, 3)
    made = hours_of(synthetic_years(duluth, 1, 3, first=7))
    ghi, dhi, air = (
        tuple(x[0].astype(np.float64).tolist()) for x in (made.ghi_W_m2, made.dhi_W_m2, made.air_degC)
    )
    sky = WeatherYear(
        duluth, made.utc_offset_h, ghi, dhi, ghi, air, (CLASS_WIND_m_per_s,) * 8760, "made", False
    )
    power, volts, _ = array_power_W(array, sky)
    from ohmwright.energy.series import bank_temperature, charge_limits, indoors_of, tracker_numbers
    from ohmwright.energy.warmth import tracker_W
    from ohmwright.physics.bank import cold_resistance_factor

    own = tracker_numbers(plan.trackers[0], plan.bank.set_V)
    given = [tracker_W(p, v, *own) for p, v in zip(power, volts, strict=True)]
    assert skies[0, 0] == pytest.approx(given, rel=1e-9, abs=1e-9)
    bank_degC, heat = bank_temperature(plan.bank, air, indoors_of(plan))
    ohm = [
        plan.bank.resistance_ohm * cold_resistance_factor(x, plan.bank.activation_kJ_per_mol)
        for x in bank_degC
    ]
    limits = charge_limits(plan.bank, bank_degC)
    give = [plan.bank.discharge_A if x >= plan.bank.discharge_min_degC else 0.0 for x in bank_degC]
    assert skies[0, 1] == pytest.approx(ohm, rel=1e-9)
    assert skies[0, 2].tolist() == limits
    assert skies[0, 3].tolist() == give
    rows = rows_of(plan, (given, ohm, limits, give, heat))
    many = some(kernel, plan, duluth, 8)
    first_day = max(range(12), key=lambda m: duluth.ghi_kWh_m2_day[m])
    start = 24 * sum((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[:first_day])
    loop = run(Hours(rows, (), (), ()), by_rig(plan), start)
    assert many.column("unserved_Wh")[7].sum() == pytest.approx(sum(loop.columns["unserved_Wh"]), rel=1e-9)


def test_more_array_more_bank_and_less_load_never_lose_more_nights(
    kernel: Kernel, plan: EnergyPlan, array: Array, duluth: Spot
) -> None:
    # Common random numbers: every plan meets the same years, so this holds year by year, not on average.  No generator.
    base = some(kernel, plan, duluth, 32)
    more = replace(
        plan, trackers=(replace(plan.trackers[0], arrays=(replace(array, rated_W=1.3 * array.rated_W),)),)
    )
    bigger = replace(
        plan,
        bank=replace(
            plan.bank,
            capacity_Ah=1.5 * plan.bank.capacity_Ah,
            resistance_ohm=plan.bank.resistance_ohm / 1.5,
            leak_percent_per_month=0.0,
        ),
    )
    stay = plan.stays[0]
    less = replace(
        plan,
        stays=(
            replace(
                stay, days={m: replace(d, dc_W=tuple(0.7 * w for w in d.dc_W)) for m, d in stay.days.items()}
            ),
        ),
    )
    for better in (more, bigger, less):
        many = some(kernel, better, duluth, 32)
        assert np.all(many.lacking_Wh().sum(axis=1) <= base.lacking_Wh().sum(axis=1) + 1.0)


def test_the_mean_of_many_years_is_the_spots_own_sun(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    many = some(kernel, plan, duluth, 64)
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    got = by_month(many.onto_Wh_m2).mean(axis=0) / 1000 / days
    assert got == pytest.approx(np.array(duluth.ghi_kWh_m2_day), rel=0.05)


def test_an_isolated_stay_loses_no_nights(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    nothing = (0.0,) * 24
    stay = plan.stays[0]
    day = replace(stay.days[0], dc_W=(50.0,) * 24, ac_W=nothing, idle_W=nothing)
    shut = replace(plan, stays=(replace(stay, isolated=True, days=dict.fromkeys(range(12), day)),))
    many = some(kernel, shut, duluth, 4)
    assert many.column("unserved_Wh").sum() > 0
    assert many.nights_lost().tolist() == [0, 0, 0, 0]
    assert many.column("array_Wh").sum() == 0


def test_a_quantile_is_a_value_that_came_and_its_error_that_of_order_statistics() -> None:
    # The 90th of 1,000 uniform numbers: standard error sqrt(0.9 * 0.1 / 1000) = 0.0095 (order statistics, any textbook).
    values = np.random.default_rng(1).uniform(size=1000)
    assert quantile(values, 0.9) in values
    assert quantile(values, 0.9) == pytest.approx(0.9, abs=0.03)
    assert quantile_error(values, 0.9) == pytest.approx(0.0095, rel=0.35)


def test_the_printed_error_is_the_scatter_between_batches(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    many = some(kernel, plan, duluth, 640)
    unserved = many.lacking_Wh().sum(axis=1)
    batches = [quantile(part, 0.9) for part in np.split(unserved, 10)]
    errors = [quantile_error(part, 0.9) for part in np.split(unserved, 10)]
    assert float(np.mean(errors)) == pytest.approx(float(np.std(batches, ddof=1)), rel=0.6)


def test_chances_are_plain_numbers(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:
    told = chances(some(kernel, plan, duluth, 32))
    assert isinstance(told["any_shortage_probability"], float)
    assert isinstance(told["plug_in_every_days"], list)
    assert len(told["plug_in_every_days"]) == 12
    assert all(x is None or isinstance(x, float) for x in told["plug_in_every_days"])


def test_plugging_in_when_low_keeps_the_lights_on(
    kernel: Kernel, with_generator: EnergyPlan, duluth: Spot
) -> None:
    # The rig with a charger: the days it would be plugged in are fewer than the nights it loses without.
    unplugged = replace(with_generator, generator=type(with_generator.generator)())
    many = some(kernel, unplugged, duluth, 16)
    assert 0 < many.plug_in.sum() < many.short().sum()
