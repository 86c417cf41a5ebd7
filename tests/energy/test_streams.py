"""Hydrogenerators and wind generators of a rig in the energy year: by the tables of their pages; what is not told is said."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ohmwright.energy.batch import years_of_rig
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.kernel import DAILY, Kernel
from ohmwright.energy.loop import by_rig, run, start_hour
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import hours_of
from ohmwright.physics.stream import mean_power_W
from ohmwright.rig.read import read_rig
from ohmwright.services.opening import open_rig
from ohmwright.services.year import kernel_folder
from ohmwright.sky.types import WeatherYear

DEMOS = Path(kernel_folder.__code__.co_filename).parent / "demos"
FITTED = """  WG: {is: wind-generator-400w-12v, at: stern, run-by: wind-turns}
  U8: {is: wind-controller-40a-with-dump, at: chart-table, efficiency: 80 %}
  F29: {is: fuse-dc-power-63a-80v, at: battery-bay}
"""
WIRED = """  W190: {from: WG, to: U8.in, cable: 2 x 16 mm2 tinned 105C, length: 6.0 m}
  W191: {from: U8.out.+, to: F29.load, cable: 16 mm2 tinned 105C red, via: chart-table - battery-bay}
  W192: {from: F29.line, to: XP.12, cable: 95 mm2 tinned 105C red, length: 0.1 m}
  W193: {from: U8.out.-, to: XN.8, cable: 16 mm2 tinned 105C black, via: chart-table - battery-bay}
"""
#: Of the shelf's wind generator, typed once more.
PAGE = ((3.0, 0.0), (5.0, 20.0), (7.0, 75.0), (9.0, 170.0), (11.0, 300.0), (13.0, 400.0), (15.0, 420.0))


def boat(anchor: str = "", passage: str = "", wind_generator: str = FITTED, hydro: str = "") -> EnergyPlan:
    """The demo boat with a wind generator on its bars, and keys added to its stays."""
    demo = open_rig(str(DEMOS / "boat"))
    text = demo.rig.text
    for old, new in (
        ("  F19: {", f"{wind_generator}  F19: {{"),
        ("  W66: {", f"{WIRED if wind_generator else ''}  W66: {{"),
        ("mode: anchor, nights", f"mode: anchor, {anchor}nights"),
        ("under-way: 20 h,", f"under-way: 20 h, {passage}"),
        ("at: stern, run-by: under-way", f"at: stern, {hydro}run-by: under-way"),
    ):
        assert old in text
        text = text.replace(old, new)
    return plan_of(read_rig(text, "boat", demo.shelf))


def test_a_wind_generator_gives_the_mean_of_its_table_in_every_hour_day_and_night() -> None:
    plan = boat("wind: 12 kn, ")
    bus = plan.stays[1].days[6].bus_W
    mean_W = mean_power_W(PAGE, 12 * 1852 / 3600, 20.0)
    assert bus == pytest.approx([0.8 * mean_W] * 24)
    assert plan.stays[1].between[6].bus_W == bus
    assert any("WG gives" in a and "calms and gales are not followed" in a for a in plan.assumptions)


def test_a_stay_without_a_wind_and_a_page_without_a_table_are_told() -> None:
    plan = boat("wind: 12 kn, ")
    lacking = [n for n in plan.unknown if "the wind is not given, so WG is not counted" in n]
    assert len(lacking) == 3
    bare = "  WG: {is: wind-generator, power: 400 W @ 13 m/s, at: stern}\n" + FITTED.split("\n", 1)[1]
    plan = boat("wind: 12 kn, ", wind_generator=bare)
    assert any(n.startswith("WG is not counted: the power of its page by wind speed") for n in plan.unknown)
    assert not any(plan.stays[1].days[6].bus_W)


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ("power-at-speed: 20 W @ 5 m/s, power-at-speed-2: 30 W @ 5 m/s", "two powers at 5 m/s"),
        ("power-at-speed: 20 W @ 5 m/s", "one point is no table"),
        ("power-at-speed: 20 W @ 5 m/s, power-at-speed-2: 30 W", "power-at-speed-2 tells no speed"),
    ],
)
def test_a_table_that_cannot_be_read_is_told_and_not_used(points: str, told: str) -> None:
    bare = f"  WG: {{is: wind-generator, {points}, at: stern}}\n" + FITTED.split("\n", 1)[1]
    plan = boat("wind: 12 kn, ", wind_generator=bare)
    assert any(told in n for n in plan.unknown)
    assert not any(plan.stays[1].days[6].bus_W)


def test_a_point_nobody_knows_is_left_out_and_told() -> None:
    bare = "  WG: {is: wind-generator, power-at-speed: 0 W @ 3 m/s, power-at-speed-2: unknown (asked 2026-02-18), power-at-speed-3: 100 W @ 8 m/s, at: stern}\n"
    plan = boat("wind: 6 m/s, ", wind_generator=bare + FITTED.split("\n", 1)[1])
    mean_W = mean_power_W(((3.0, 0.0), (8.0, 100.0)), 6.0)
    assert plan.stays[1].days[6].bus_W[3] == pytest.approx(0.8 * mean_W)
    assert any("power-at-speed-2 is not known" in a for a in plan.assumptions)


# By hand: between 40 W at 4 kn and 100 W at 6 kn lie 70 W at 5 kn; below 4 kn nothing; above 8 kn 260 W, nothing past 12 kn.
@pytest.mark.parametrize(
    ("speed", "watts"), [("3.9 kn", 0.0), ("5 kn", 70.0), ("8 kn", 260.0), ("11 kn", 260.0), ("13 kn", 0.0)]
)
def test_a_hydrogenerator_goes_by_the_table_of_its_page(speed: str, watts: float) -> None:
    table = "power-at-speed: 100 W @ 6 kn, power-at-speed-2: 40 W @ 4 kn, power-at-speed-3: 260 W @ 8 kn, cut-out: 12 kn, "
    plan = boat(passage=f"speed: {speed}, ", wind_generator="", hydro=table)
    assert plan.stays[0].days[5].bus_W[0] == pytest.approx(0.92 * watts)
    assert not any("cube" in a for a in plan.assumptions)


def test_without_a_table_the_cube_is_said() -> None:
    plan = boat(passage="speed: 3 kn, ", wind_generator="")
    assert any("HG: from 80 W 6 kn by the cube of the speed" in a for a in plan.assumptions), plan.assumptions


# By hand: a controller of 10 A at 12.8 V and 80 % takes 160 W; the page's line from 75 W at 7 m/s to 170 W at 9 m/s passes 160 W at 8.789 m/s.
def test_a_controller_takes_no_more_than_its_output_current_lets_it() -> None:
    small = FITTED.replace("efficiency: 80 %", "efficiency: 80 %, output-current: 10 A @ 40 degC")
    plan = boat("wind: 9 m/s, ", wind_generator=small)
    held = (*PAGE[:3], (7.0 + 2.0 * 85.0 / 95.0, 160.0), (15.0, 160.0))
    assert plan.stays[1].days[6].bus_W[0] == pytest.approx(0.8 * mean_power_W(held, 9.0, 20.0))
    assert any("U8 takes 160 W of its 420 W" in a for a in plan.assumptions)


def test_no_wind_generator_changes_no_bit() -> None:
    assert boat("wind: 12 kn, ", wind_generator="").stays[1].days == boat(wind_generator="").stays[1].days


def test_a_year_with_wind_is_the_same_in_plain_loop_and_kernel_to_the_last_bit(
    plan: EnergyPlan, north: WeatherYear, kernel: Kernel
) -> None:
    first_day = start_hour(north.ghi_W_m2) // 24
    unserved = []
    for mean in (0.5, 4.0, 6.0, 8.0):
        watts = 0.92 * mean_power_W(PAGE, mean)
        day = plan.stays[0].days[0]
        stay = replace(
            plan.stays[0],
            days=dict.fromkeys(range(12), replace(day, bus_W=tuple(w + watts for w in day.bus_W))),
        )
        windy = replace(plan, stays=(stay,))
        hours = hours_of(windy, lambda _: north)
        loop = run(hours, by_rig(windy), 24 * first_day)
        sky = np.array([[row[0], row[7], row[8], row[9], 0.0] for row in hours.rows]).T[None]
        daily = years_of_rig(kernel, np.array(hours.rows), by_rig(windy), sky, [1.0], first_day)[0]
        for k, name in enumerate(DAILY[:5]):
            assert daily[:, k].tolist() == [
                _sum(loop.columns[name][24 * d : 24 * d + 24]) for d in range(365)
            ]
        unserved.append(math.fsum(loop.columns["unserved_Wh"]))
    assert unserved == sorted(unserved, reverse=True)
    assert unserved[-1] < unserved[0]


def _sum(values: tuple[float, ...]) -> float:
    out = 0.0
    for v in values:
        out += v
    return out
