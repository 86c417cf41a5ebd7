"""The storage card: days worked by hand, what the main switch does not cut off found in the wiring."""

from dataclasses import replace

import pytest

from ohmwright.energy.live import ahead_of_main
from ohmwright.energy.plan import Bank, StayPlan
from ohmwright.energy.storage import storage_of
from ohmwright.energy.types import Drain
from ohmwright.energy.year import year_of
from ohmwright.physics.storage import days_to_floor_days
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.sky.types import WeatherYear

DRAINS = (
    Drain("detectors", 3.0, True, "load"),
    Drain("B", 1.6, True, "battery management"),
    Drain("U1", 0.3, False, "pv controller"),
    Drain("R1", 0.05, False, "shunt"),
)


def laid_up(first: int = 304, last: int = 108) -> StayPlan:
    return StayPlan("the yard", "laid-up", first, last, {})


def test_a_bank_left_full_on_the_first_of_november_is_flat_on_the_eleventh_of_january(lfp: Bank) -> None:
    # Worked by hand: 3 + 0.3 + 1.6 + 0.05 W are 9.28 Ah a day at 12.8 V; 3 % of 800 Ah in 30 days are 0.8 Ah a day;
    # 720 Ah / 10.08 Ah = 71 days, from 1 November to 11 January.
    card = storage_of(lfp, laid_up(), DRAINS, -34.0, "B")
    assert card.draw_Ah_per_day + card.leak_Ah_per_day == pytest.approx(10.08, abs=0.005)
    assert card.days_to_floor[1] == pytest.approx(71.4, abs=0.1)
    assert card.left_on == "1 November"
    assert card.floor_on[1] == "11 January"
    assert card.days_to_floor[0] < card.days_to_floor[1] < card.days_to_floor[2]
    assert not card.lasts_the_stay


def test_the_formula_alone_gives_71_days() -> None:
    assert days_to_floor_days(1.0, 0.1, 800.0, 4.95, 12.8, 3.0) == pytest.approx(720 / 10.08, rel=1e-3)


def test_without_draws_only_self_discharge_is_left_and_the_winter_is_nothing(lfp: Bank) -> None:
    # 90 % at 3 % in 30 days: 900 days.
    card = storage_of(lfp, laid_up(), (), 5.0, "B")
    assert card.days_to_floor[1] == pytest.approx(900.0)
    assert card.lasts_the_stay


def test_an_empty_lead_bank_is_told_that_it_freezes(lead: Bank) -> None:
    card = storage_of(lead, laid_up(), DRAINS, -30.0, "B")
    assert any("freezes" in n for n in card.notes)
    warm = storage_of(lead, laid_up(), DRAINS, 0.0, "B")
    assert not any("freezes" in n for n in warm.notes)


RIG = """
ohmwright: 1
job: {id: test}
host:
  kind: trailer
  places: {locker: {regime: unheated}}
parts:
  B:  {is: battery, at: locker, chemistry: lfp, bms: inside, capacity: 200 Ah, nominal-voltage: 12.8 V, resistance: 2.5 mohm,
       charge-max: 100 A, discharge-max: 100 A, usable: 90 %, self-discharge: 3 %/month, coulombic: 99 %, bms-draw: 0.4 W, mass: 21 kg}
  Q1: {is: battery-switch, at: locker, rated: 300 A}
  F7: {is: fuse, at: locker, rated: 5 A}
  XP: {is: busbar, at: locker, stud-count: 6}
  XN: {is: busbar, at: locker, stud-count: 6}
  PD: {is: panel-dc, at: locker, way-count: 12, ways: {1: 15 A}}
use:
  loads:
    alarm:  {wired: dc, power: 3 W, hours: 24 h, priority: always}
    router: {fed: PD.1, power: 9 W, hours: 24 h, priority: always}
  stays:
    - {span: 05-01..09-30, place: Duluth MN, mode: occupied}
    - {span: 10-01..04-30, place: Duluth MN, mode: laid-up, shore: none, set: {Q1: open}}
runs:
  W1: {from: B.+, to: Q1.line, cable: 2/0 AWG, length: 1 m}
  W2: {from: Q1.load, to: XP.1, cable: 2/0 AWG, length: 1 m}
  W3: {from: B.-, to: XN.1, cable: 2/0 AWG, length: 1 m}
  W4: {from: XP.2, to: PD.feed.+, cable: 6 AWG, length: 1 m}
  W5: {from: PD.feed.-, to: XN.2, cable: 6 AWG, length: 1 m}
  W6: {from: B.+, to: F7.line, cable: 14 AWG, length: 1 m}
  W7: {from: F7.load, to: alarm.+, cable: 14 AWG, length: 1 m}
  W8: {from: alarm.-, to: XN.3, cable: 14 AWG, length: 1 m}
"""


def test_what_hangs_ahead_of_the_main_switch_stays_live_and_goes_on_drawing(north: WeatherYear) -> None:
    rig = read_rig(RIG, "test.rig.yaml", Shelf())
    live = ahead_of_main(rig, rig.parts["B"])
    assert "alarm" in live
    assert "PD" not in live
    year = year_of(rig, lambda _: north)
    card = year.storage[0]
    assert {d.subject for d in card.drains} == {"alarm", "B"}
    assert card.disconnect[0].startswith("alarm")
    # The year counts the same draws for the same stay: 3.4 W.
    assert year.stays[1].load_Wh_per_day == pytest.approx(24 * 3.4, rel=0.01)


def test_with_the_main_switch_closed_all_that_is_always_on_draws(north: WeatherYear) -> None:
    rig = read_rig(RIG.replace(", set: {Q1: open}", ""), "test.rig.yaml", Shelf())
    card = year_of(rig, lambda _: north).storage[0]
    assert {d.subject: d.stays_live for d in card.drains} == {"alarm": True, "B": True, "router": False}


def test_a_longer_list_of_draws_never_lasts_longer(lfp: Bank) -> None:
    for k in range(len(DRAINS)):
        less, more = (
            storage_of(lfp, laid_up(), DRAINS[:k], 0, "B"),
            storage_of(lfp, laid_up(), DRAINS[: k + 1], 0, "B"),
        )
        assert more.days_to_floor <= less.days_to_floor
    bigger = replace(lfp, capacity_Ah=2 * lfp.capacity_Ah)
    assert storage_of(bigger, laid_up(), DRAINS, 0, "B").days_to_floor[1] > storage_of(lfp, laid_up(), DRAINS, 0, "B").days_to_floor[1]  # fmt: skip
