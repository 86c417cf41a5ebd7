"""Steps shorter than an hour: the same model, converging; and loads that run hard and short."""

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from tests.energy.test_lead import TEN_HOUR, class_charge

from ohmwright.cli.year import year_command
from ohmwright.energy.abreast import SameYears
from ohmwright.energy.batch import years_of_rig
from ohmwright.energy.chance import many_years
from ohmwright.energy.curves import well_numbers
from ohmwright.energy.kernel import DAILY, Kernel
from ohmwright.energy.loop import Hours, by_rig, run
from ohmwright.energy.plan import Bank, Day, EnergyPlan, Inverter, ShortRun
from ohmwright.energy.series import hours_of, row_array
from ohmwright.energy.skies import by_step
from ohmwright.energy.spread import Spread
from ohmwright.energy.step import ANSWERS, BY_HOUR, hour
from ohmwright.energy.steps import as_they_run, more_W, steps_of
from ohmwright.physics.bank import at_hand_after_Ah
from ohmwright.services.year import kernel_folder
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import WeatherYear

CABIN = str(Path(kernel_folder.__code__.co_filename).parent / "demos" / "cabin" / "rig.yaml")
NOTHING = (0.0,) * 24


# Manwell and McGowan's closed form (1993) holds for any step: an hour at one current is twelve steps at it.
@given(
    st.floats(0.05, 0.95), st.floats(0.05, 5.0), st.floats(0.0, 400.0), st.floats(-50.0, 50.0),
    st.sampled_from([12, 60]),
)  # fmt: skip
def test_two_wells_flow_in_an_hour_as_in_its_parts(
    share: float, rate: float, total_Ah: float, amps: float, parts: int
) -> None:
    at_hand_Ah = 0.3 * total_Ah
    whole = at_hand_after_Ah(at_hand_Ah, total_Ah, amps, *well_numbers(share, rate))
    hand, total = parts * at_hand_Ah, parts * total_Ah
    for _ in range(parts):
        hand = at_hand_after_Ah(hand, total, amps, *well_numbers(share, rate, parts))
        total += amps

    assert hand / parts == pytest.approx(whole, rel=1e-9, abs=1e-9)
    assert total / parts == pytest.approx(total_Ah + amps, rel=1e-9, abs=1e-9)


# Copetti, Lorenzo and Chenlo (1993) in hundredths of an hour, as in test_lead: five minutes follow them as the hour does.
def test_a_charge_goes_in_as_the_class_takes_it_in_five_minutes_too(plan: EnergyPlan, lead: Bank) -> None:
    rig = by_rig(replace(plan, bank=lead), 12)
    row = [
        {"bus_W": 1e5, "resistance_ohm": lead.resistance_ohm, "charge_A": 80.0}.get(n, 0.0) for n in BY_HOUR
    ]
    more = class_charge(2.4, 80.0, 400.0 * TEN_HOUR, lead.capacity_Ah)
    hand, total, theirs = 0.85 * rig[1], 0.85 * rig[0], 0.85
    for k in range(15):
        for _ in range(12):
            answer = dict(zip(ANSWERS, hour(hand, total, 0.0, 0.0, 0.0, *row, *rig), strict=True))
            hand, total = answer["at_hand_Ah"], answer["total_Ah"]
        for _ in range(100):
            theirs += more(theirs)
        assert total / rig[0] == pytest.approx(theirs, abs=0.0015), k


@pytest.mark.parametrize("which", ["plan", "with_generator", "lead"])
def test_a_lane_in_five_minutes_is_the_plain_loop_in_five_minutes(
    which: str, plan: EnergyPlan, with_generator: EnergyPlan, lead: Bank, north: WeatherYear, kernel: Kernel
) -> None:
    each = {"plan": plan, "with_generator": with_generator, "lead": replace(plan, bank=lead)}[which]
    rows = np.array(hours_of(each, lambda _: north).rows)
    loop = run(
        Hours(tuple(map(tuple, by_step(rows, 12).tolist())), (), (), ()), by_rig(each, 12), 24 * 181, parts=12
    )
    sky = np.stack([rows[:, 0], rows[:, 7], rows[:, 8], rows[:, 9], np.zeros(8760)])[None]
    daily = years_of_rig(kernel, by_step(rows, 12), by_rig(each, 12), sky, [1.0], 181)[0]
    for name in ("unserved_Wh", "array_Wh", "source_Wh", "load_Wh", "running_h", "stored_Wh"):
        expected = np.array(loop.columns[name]).reshape(365, 24).sum(axis=1)
        assert daily[:, DAILY.index(name)] == pytest.approx(expected, rel=1e-9, abs=1e-6), name
    # Energy in = served + lost + stored, whatever the step.
    assert loop.balance_Wh < 1e-6
    assert loop.columns["running_h"] == tuple(min(h, 1.0) for h in loop.columns["running_h"])


def test_shorter_steps_converge_and_move_the_year_by_little(
    kernel: Kernel, plan: EnergyPlan, lead: Bank
) -> None:
    # Loads and sun stay those of the hour, so what is seen is the freezing of charge acceptance and voltage within an hour.
    spots = [spot_at(46.8, -92.1, 200.0)]
    for each in (plan, replace(plan, bank=lead)):
        many = many_years(kernel, each, spots, 32, 3, spread=Spread(), parts=12, plugged=False, workers=1)
        told = steps_of(SameYears(kernel, many, spots, workers=1))
        by = {(r.step_min, r.loads): r for r in told.rows}
        hour_, five, one = (by[m, "held"] for m in (60, 5, 1))
        asked_kWh = float(many.column("load_Wh").sum(axis=1).mean()) / 1000.0

        assert five.unserved_kWh == pytest.approx(hour_.unserved_kWh, abs=0.002 * asked_kWh)
        assert abs(one.unserved_kWh - five.unserved_kWh) <= abs(five.unserved_kWh - hour_.unserved_kWh) + 0.1
        assert (
            abs(one.curtailed_kWh - five.curtailed_kWh) <= abs(five.curtailed_kWh - hour_.curtailed_kWh) + 0.5
        )
        # The years themselves are in those steps.
        assert five.nights_lost == many.nights_lost().mean()


def _with(plan: EnergyPlan, *runs: ShortRun) -> EnergyPlan:
    """The plan with loads that run short in every hour, and nothing else."""
    ac = tuple(sum(r.by_hour_Wh[h] for r in runs) for h in range(24))
    day = Day(NOTHING, ac, NOTHING, NOTHING, NOTHING, NOTHING, short_runs=runs)
    return replace(plan, stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), day)),))


def test_a_kettle_of_twelve_hundred_watts_runs_five_minutes_for_a_hundred_watt_hours(
    plan: EnergyPlan,
) -> None:
    kettle = ShortRun(True, 1200.0, (100.0,) * 24)
    hob = ShortRun(True, 1800.0, (225.0,) * 24)
    plan = _with(plan, kettle, hob)
    rows = by_step(row_array(plan), 12)
    ac = BY_HOUR.index("ac_W")

    at_once = as_they_run(plan, rows, in_turn=False)[:12, ac]
    in_turn = as_they_run(plan, rows, in_turn=True)[:12, ac]
    assert at_once.tolist() == pytest.approx([3000.0, 900.0] + [0.0] * 10)
    assert in_turn.tolist() == pytest.approx([1200.0, 1800.0, 900.0] + [0.0] * 9)


@given(
    st.lists(st.tuples(st.booleans(), st.floats(5.0, 3000.0), st.floats(0.0, 1.0)), max_size=6),
    st.sampled_from([12, 60]),
    st.booleans(),
)
def test_an_hour_of_loads_as_they_run_holds_the_energy_of_the_hour(
    loads: list[tuple[bool, float, float]], parts: int, in_turn: bool
) -> None:
    runs = tuple(ShortRun(ac, watts, (watts * share,) * 24) for ac, watts, share in loads)
    day = Day(NOTHING, NOTHING, NOTHING, NOTHING, NOTHING, NOTHING, short_runs=runs)
    more = more_W(day, parts, in_turn).reshape(24, parts, 2)
    mean = [sum(r.by_hour_Wh[0] for r in runs if r.ac is ac) for ac in (False, True)]
    watts = [sum(r.running_W for r in runs if r.ac is ac) for ac in (False, True)]

    assert np.abs(more.mean(axis=1)).max(initial=0.0) < 1e-6
    assert (more + mean >= -1e-6).all()
    assert (more + mean <= np.array(watts) + 1e-6).all()


def test_an_inverter_that_carries_the_hours_mean_lets_go_of_what_runs_hard(
    kernel: Kernel, plan: EnergyPlan
) -> None:
    # 12.9 V at rest less 0.034 x 4 V and 2 kW through 10 mohm: below 11.5 V; 400 W on the mean of the hour does not see it.
    hob = ShortRun(True, 2000.0, tuple(400.0 if h in (12, 18) else 0.0 for h in range(24)))
    hard = replace(
        _with(plan, hob), inverter=Inverter(0.0, 0.0, 0.0, 2400.0, cut_V=11.5, back_V=12.5),
        bank=replace(plan.bank, resistance_ohm=0.010),
    )  # fmt: skip
    spots = [spot_at(46.8, -92.1, 200.0)]
    many = many_years(kernel, hard, spots, 32, 3, plugged=False, workers=1)
    told = {
        (r.step_min, r.loads): r.nights_lost for r in steps_of(SameYears(kernel, many, spots, workers=1)).rows
    }

    assert told[60, "held"] < 60
    assert told[5, "together"] > 300


def test_a_shorter_step_is_asked_for_by_name_and_tells_how_far_it_moves_the_year() -> None:
    def ask(*arguments: str) -> str:
        done = CliRunner().invoke(year_command, [CABIN, "--years", "32", *arguments], standalone_mode=False)
        assert done.exception is None, done.output
        return done.output

    told = json.loads(ask("--step", "5min", "--json"))
    assert told["step_min"] == 5
    assert [(r["step_min"], r["loads"]) for r in told["steps"]["rows"]] == [
        (60, "held"), (5, "held"), (5, "in turn"), (5, "together"), (1, "held"), (1, "in turn"), (1, "together"),
    ]  # fmt: skip
    assert told["steps"]["years"] == 32
    by_hour = json.loads(ask("--json"))
    assert by_hour["step_min"] == 60
    assert len(by_hour["steps"]["rows"]) == 4
    assert told["months"][11]["curtailed_kWh"] == pytest.approx(
        by_hour["months"][11]["curtailed_kWh"], rel=0.02
    )
    said = re.sub(r"\s+", " ", ask())
    assert "By step, means of 32 made years: a step of five minutes" in said
    assert "all at the hour's beginning" in said
