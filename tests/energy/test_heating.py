"""A furnace runs as long as its place loses heat: degree-hours worked by hand, and what is said where a figure is missing."""

import pytest

from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.heating import Heater, Outdoors
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.promises import Named
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.working import FileError

RIG = """
ohmwright: 1
job: {id: test}
host:
  kind: trailer
  places:
    roof:   {regime: outside}
    locker: {regime: heated WALLS}
parts:
  M:  {is: module, array: 3s1p, at: roof, flat: true, gap: 30 mm, power: 410 W, max-power-voltage: 31.0 V}
  U1: {is: pv-controller, at: locker, output-current: 85 A, efficiency: 97.5 %}
  B:  {is: battery, at: locker, chemistry: lfp, bms: inside, capacity: 200 Ah, nominal-voltage: 12.8 V, resistance: 2.5 mohm,
       charge-max: 100 A, discharge-max: 100 A, usable: 90 %, self-discharge: 3 %/month, coulombic: 99 %, bms-draw: 0 W}
  PD: {is: panel-dc, at: locker, way-count: 2, ways: {1: 15 A, 2: 15 A}}
use:
  loads:
    furnace: {fed: PD.1, power: 85 W, LOAD}
  stays:
    - {span: 04-20..10-20, place: Duluth MN, mode: occupied, nights: 60, away: 6}
    - {span: 10-21..04-19, place: Duluth MN, mode: laid-up, shore: none}
runs:
  W1: {from: M, to: U1.pv, cable: pv 10 AWG, length: 12 m}
"""
HEAT = "hours: 5 h, heat: 6.2 kW, warms: locker, burns: 0.9 L/h"
#: By day of an invented month: 8 degC from 8 to 20 h, -2 degC in the other twelve hours.
COLD_DAY = tuple(8.0 if 8 <= h < 20 else -2.0 for h in range(24))


def rig_of(walls: str = "80 W/K", load: str = HEAT) -> Rig:
    told = RIG.replace(" WALLS", f", UA: {walls}" if walls else "").replace("LOAD", load)
    return read_rig(told, "test.rig.yaml", Shelf())


def furnace_Wh(plan: EnergyPlan, month: int) -> float:
    return sum(plan.stays[0].days[month].warmed_W)


def outside(air_degC: float | tuple[float, ...]) -> Outdoors:
    day = (air_degC,) * 24 if isinstance(air_degC, float) else air_degC
    return Outdoors((day * 365, day * 365))


# Worked by hand, 18 degC inside: 12 h of 10 K and 12 h of 20 K are 360 kelvin-hours; times 80 W/K 28.8 kWh of heat; over 6.2 kW
# 4.645 h; times 85 W 394.8 Wh.
def test_the_blower_takes_what_the_degree_hours_ask() -> None:
    plan = plan_of(rig_of(), outdoors=outside(COLD_DAY))

    assert furnace_Wh(plan, 4) == pytest.approx(394.8, abs=0.1)
    night, noon = plan.stays[0].days[4].warmed_W[2], plan.stays[0].days[4].warmed_W[12]
    assert night == pytest.approx(2 * noon)
    assert night == pytest.approx(80 * 20 / 6200 * 85, abs=0.01)


def test_half_the_insulation_burns_twice_as_long_and_a_warm_month_nothing() -> None:
    thin, thick = (plan_of(rig_of(ua), outdoors=outside(COLD_DAY)) for ua in ("160 W/K", "80 W/K"))

    assert furnace_Wh(thin, 4) == pytest.approx(2 * furnace_Wh(thick, 4))
    assert furnace_Wh(plan_of(rig_of(), outdoors=outside(21.0)), 6) == 0.0


def test_a_heater_that_is_too_small_runs_all_the_time_and_no_longer() -> None:
    plan = plan_of(rig_of("400 W/K"), outdoors=outside(-30.0))

    assert furnace_Wh(plan, 4) == pytest.approx(24 * 85)


# 4.645 h at 0.9 L/h, worked by hand: 4.18 L.
def test_the_year_says_how_long_it_runs_and_what_it_burns() -> None:
    plan = plan_of(rig_of(), outdoors=outside(COLD_DAY))
    said = next(a for a in plan.assumptions if a.startswith("furnace runs"))

    assert "80 W/K against 6.2 kW" in said
    assert "4.6 h a day" in said
    assert "4.2 L a day" in said
    assert "not taken off" in said


def test_without_the_walls_the_written_hours_stand_and_what_to_write_is_said() -> None:
    plan = plan_of(rig_of(""), outdoors=outside(COLD_DAY))

    assert furnace_Wh(plan, 4) == pytest.approx(5 * 85)
    assert any("UA: 80 W/K of that place" in a for a in plan.assumptions)


def test_without_written_hours_and_walls_it_is_not_counted_and_said() -> None:
    plan = plan_of(rig_of("", HEAT.replace("hours: 5 h, ", "")), outdoors=outside(COLD_DAY))

    assert furnace_Wh(plan, 4) == 0.0
    assert any(text.startswith("furnace is not counted") for text in plan.unknown)


def test_a_heater_warms_a_place_that_is_there() -> None:
    with pytest.raises(FileError, match="sauna"):
        rig_of(load=HEAT.replace("locker", "sauna"))


def test_nobody_heats_while_nobody_is_there() -> None:
    plan = plan_of(rig_of(), outdoors=outside(COLD_DAY))

    assert sum(plan.stays[0].between[4].warmed_W) == 0.0


def test_duty_is_by_hour_and_the_mean_of_the_days() -> None:
    heater = Heater(heat_W=2000.0, conductance_W_per_K=100.0, fuel_L_per_h=None)

    assert heater.duty(((8.0,) * 24, (18.0,) * 24), 18.0) == pytest.approx((0.25,) * 24)


# The degree-hours of above: 394.8 Wh a day where five written hours would be 425.
def test_a_promise_that_names_the_furnace_asks_for_the_hours_that_it_runs() -> None:
    def asked_Wh(rig: Rig) -> tuple[float, float]:
        plan = plan_of(rig, outdoors=outside(COLD_DAY))
        stay, named = plan.stays[0], Named(rig, plan, ("furnace",))
        lived, between = (
            next(d for d in range(120, 151) if stay.lived(d) is there) for there in (True, False)
        )
        return sum(named.watts(stay, lived)), sum(named.watts(stay, between))

    assert asked_Wh(rig_of()) == pytest.approx((394.8, 0.0), abs=0.1)
    assert asked_Wh(rig_of(walls="")) == (425.0, 0.0)
