"""A year by the plain loop."""

from dataclasses import replace

import pytest

from ohmwright.energy.loop import by_rig, run, start_hour
from ohmwright.energy.one_year import OneYear, work_out
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.energy.series import bank_temperature, charge_limits, hours_of
from ohmwright.physics.bank import rest_V
from ohmwright.sky.types import WeatherYear


def worked(plan: EnergyPlan, sky: WeatherYear) -> OneYear:
    return work_out(plan, [sky] * len(plan.stays))


def total(one: OneYear, name: str) -> float:
    return sum(one.accounts.columns[name])


def test_a_years_energy_balances_to_a_billionth(
    plan: EnergyPlan, with_generator: EnergyPlan, north: WeatherYear
) -> None:
    for each in (plan, with_generator):
        one = worked(each, north)
        assert one.accounts.balance_Wh < 1e-9 * total(one, "array_Wh")
        came = sum(total(one, n) for n in ("array_Wh", "bus_Wh", "source_Wh"))
        went = (
            total(one, "load_Wh")
            - total(one, "unserved_Wh")
            + sum(total(one, n) for n in ("charger_loss_Wh", "bank_loss_Wh", "stored_Wh"))
        )
        assert came == pytest.approx(went, rel=1e-9)


def test_what_is_stored_is_the_integral_of_the_rest_voltage(plan: EnergyPlan, north: WeatherYear) -> None:
    # The step takes the rest voltage in the middle of the hour; over a year that must be the area under the
    # curve between first and last state of charge, to a thousandth of what went through the bank.
    one = worked(plan, north)
    rig = by_rig(plan)
    start = start_hour(north.ghi_W_m2)
    first, last = 1.0, one.accounts.soc[start - 1]
    steps = 20000
    width = (last - first) / steps
    area = sum(rest_V(first + (i + 0.5) * width, *plan.bank.rest) for i in range(steps)) * width * rig[0]
    through = sum(abs(x) for x in one.accounts.columns["stored_Wh"])
    assert total(one, "stored_Wh") == pytest.approx(area, abs=1e-3 * through)


def test_an_lfp_bank_gives_back_about_ninety_five_per_cent(plan: EnergyPlan, north: WeatherYear) -> None:
    # Round trip of LFP batteries at a fifth of their capacity an hour: 93-97 % (common practice, no source).
    one = worked(plan, north)
    stored = one.accounts.columns["stored_Wh"]
    put_in = sum(s for s in stored if s > 0)
    assert 0.03 < total(one, "bank_loss_Wh") / put_in < 0.08


def test_a_lead_bank_loses_more_and_fills_slower(plan: EnergyPlan, lead: Bank, north: WeatherYear) -> None:
    def lost_of_charged(one: OneYear) -> float:
        return total(one, "bank_loss_Wh") / sum(s for s in one.accounts.columns["stored_Wh"] if s > 0)

    light = replace(
        plan,
        stays=(
            replace(
                plan.stays[0],
                days=dict.fromkeys(
                    range(12), replace(plan.stays[0].days[0], ac_W=(0.0,) * 24, idle_W=(0.0,) * 24)
                ),
            ),
        ),
    )
    lfp, old = worked(light, north), worked(replace(light, bank=lead), north)
    assert lost_of_charged(old) > 2 * lost_of_charged(lfp)
    assert max(old.accounts.soc) <= 1.0
    assert min(old.accounts.soc) > 0.45


def test_an_hour_of_generator_never_fills_a_lead_bank(
    lead: Bank, with_generator: EnergyPlan, north: WeatherYear
) -> None:
    # The last 15 per cent of a lead-acid charge takes hours, whatever the charger: trade knowledge, and why the
    # two wells and gassing are there.
    one = worked(replace(with_generator, bank=lead, trackers=(), charger_A=400.0), north)
    steps = [b - a for a, b in zip(one.accounts.soc, one.accounts.soc[1:], strict=False) if a > 0.85]
    assert max(steps) < 0.06


def test_a_frozen_bank_is_locked_until_three_degrees_above_the_limit(lfp: Bank) -> None:
    temperatures = [5.0, 1.0, -0.5, 1.0, 2.9, 3.1, 1.0, -0.1, 2.0]
    assert [x > 0 for x in charge_limits(lfp, temperatures)] == [
        True,
        True,
        False,
        False,
        False,
        True,
        True,
        False,
        False,
    ]


def test_a_bank_in_a_living_space_stays_warm_and_one_outside_follows_the_air(lfp: Bank) -> None:
    air = [-10.0] * 400
    inside, _ = bank_temperature(lfp, air, [18.0] * 400)
    outside, _ = bank_temperature(replace(lfp, regime="outside"), air, [18.0] * 400)
    box = replace(lfp, regime="box", kept_above_degC=-5.0, heater_W=60.0)
    kept, heat = bank_temperature(box, air, [None] * 400)
    weak, _ = bank_temperature(replace(box, heater_W=4.0), air, [None] * 400)
    assert inside[-1] == pytest.approx(18, abs=0.1)
    assert outside[-1] == pytest.approx(-10, abs=0.1)
    # By hand: 2 W/K times 5 K is 10 W; 4 W hold 2 K.
    assert kept[-1] == pytest.approx(-5.0, abs=1e-9)
    assert heat[-1] == pytest.approx(10.0, rel=1e-6)
    assert weak[-1] == pytest.approx(-8.0, abs=0.1)


def test_the_year_does_not_depend_on_where_it_starts_when_it_starts_full(
    plan: EnergyPlan, north: WeatherYear
) -> None:
    hours = hours_of(plan, lambda _: north)
    start = start_hour(north.ghi_W_m2)
    first, later = run(hours, by_rig(plan), start), run(hours, by_rig(plan), start + 24 * 20)
    assert sum(later.columns["unserved_Wh"]) == pytest.approx(sum(first.columns["unserved_Wh"]), rel=0.01)


def test_a_mid_june_noon_of_a_flat_array_by_hand(plan: EnergyPlan, north: WeatherYear) -> None:
    # By hand: the loop's array power before its controller is P_stc * E_through / 1000 * (1 - 0.0035 (Tc - 25)) * f * kept.
    hours = hours_of(plan, lambda _: north)
    noon = max(range(8760), key=lambda t: north.ghi_W_m2[t])
    sun, air = north.ghi_W_m2[noon], north.air_degC[noon]
    cell = air + sun * (2.718281828 ** (-2.98 - 0.0471 * 2) + 1 / 1000)
    by_hand = 1230 * sun / 1000 * (1 - 0.0035 * (cell - 25)) * 0.95 * 0.95
    assert hours.array_in_W[noon] == pytest.approx(by_hand, rel=0.03)


def test_a_generators_litres_follow_its_hours_and_kilowatt_hours(
    with_generator: EnergyPlan, north: WeatherYear
) -> None:
    # By hand: 0.40 L a kWh given and 0.10 L an hour a kW of its 2 kW.
    from ohmwright.energy.year import ledger

    book = ledger(worked(with_generator, north))
    assert book["generator_hours"] > 0
    assert book["generator_fuel_L"] == pytest.approx(
        0.40 * book["generator"] + 0.20 * book["generator_hours"], rel=1e-9
    )


# A generator held to a least time runs each spell at least so long, within its hours; the energy of each hour balances all the same
# (`run` keeps the largest difference), and the year forgets nothing: the same rig without it has the shorter spells.
def test_a_generator_keeps_its_least_run_through_the_year(
    with_generator: EnergyPlan, north: WeatherYear
) -> None:
    def spells(least_h: float) -> list[int]:
        own = replace(with_generator.generator, stop_ratio=0.30, least_run_h=least_h)
        plan = replace(with_generator, generator=own)
        told = run(hours_of(plan, lambda _: north), by_rig(plan), 0)
        assert told.balance_Wh < 1e-6
        running = [h > 0.0 for h in told.columns["running_h"]]
        out, length = [], 0
        for t, now in enumerate(running):
            length = length + 1 if now else 0
            ends = t + 1 == len(running) or not running[t + 1]
            if now and ends and (t % 24) != 20:  # 20 h is the last hour in which it may run
                out.append(length)
        return out

    assert min(spells(0.0)) < 5
    assert min(spells(5.0)) >= 5
