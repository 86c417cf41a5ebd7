"""A controller in a hot bay: the closed form by hand and by trial, the same numbers as rule A13, and a year that keeps its laws."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.chance import many_years
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.heating import Outdoors
from ohmwright.energy.hot_bay import charging_V
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.one_year import OneYear, work_out
from ohmwright.energy.plan import Bank, EnergyPlan, HotBay, StayPlan
from ohmwright.energy.series import array_power_W, hot_numbers, hours_of, tracker_numbers
from ohmwright.energy.skies import given_by_arrays, made_days, made_weather
from ohmwright.energy.warmth import left_in_heat_W, tracker_W
from ohmwright.physics.ampacity import derated_A
from ohmwright.physics.heat import bay_rise_K, hot_output_ratio
from ohmwright.physics.ventilation import draught_m3_per_h
from ohmwright.rig.bay_air import conductance_W_per_K, settled
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.sky.months import CLASS_WIND_m_per_s as CLASS_WIND
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.standards import find

FILE = """
ohmwright: 1
job: {{id: test}}
host:
  kind: trailer
  places:
    roof: {{regime: outside}}
    bay:  {{regime: sheltered, size: 0.9 x 0.5 x 0.6 m, {place}}}
parts:
  M:  {{is: module, array: 3s1p, at: roof, flat: true, gap: 30 mm, power: 620 W, max-power-voltage: 31.0 V, gamma: -0.35 %/K, beta: -0.27 %/K}}
  U1: {{is: pv-controller, at: bay, {page}, efficiency: 97.5 %}}
  B:  {{is: battery, at: bay, chemistry: lfp, bms: inside, capacity: 600 Ah, nominal-voltage: 12.8 V, resistance: 0.8 mohm,
       charge-max: 400 A, discharge-max: 400 A, usable: 90 %, self-discharge: 3 %/month, coulombic: 99 %, charge-min-temperature: 0 degC}}
use:
  loads:
    cooler: {{wired: dc, power: 450 W, hours: 24 h}}
  stays:
    - {{span: 01-01..12-31, place: anywhere, mode: occupied{stay}}}
runs:
  W1: {{from: M, to: U1.pv, cable: pv 10 AWG, length: 12 m}}
settings:
  U1: {{absorption: 14.2 V}}
"""
PAGE = "output-current: 70 A @ 40 degC, derate: -2.5 %/K"
HOT = "hottest: 60 degC (o), vents: 240 cm2 (m 2026-04-02)"
COOL = "hottest: 34 degC (o), vents: 240 cm2 (m 2026-04-02)"
STAY = ", hottest: 35 degC (o)"


def rig_of(place: str = HOT, page: str = PAGE, stay: str = STAY) -> Rig:
    return read_rig(FILE.format(place=place, page=page, stay=stay), "test.rig.yaml", Shelf())


def _same(weather: WeatherYear, _: StayPlan) -> WeatherYear:
    return weather


def hot_of(place: str = HOT, page: str = PAGE, stay: str = STAY) -> HotBay:
    return plan_of(rig_of(place, page, stay)).trackers[0].hot


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


@pytest.fixture(scope="module")
def hot_plan(plan: EnergyPlan, lfp: Bank) -> EnergyPlan:
    """The invented trailer with a small controller in a bay that the sun warms by 30 K and it itself by 9 K."""
    hot = HotBay(40.0 * charging_V(lfp), 40.0, 2.5, 30.0, 0.5, 5.0, 3.5)
    return replace(plan, trackers=(replace(plan.trackers[0], limit_A=40.0, hot=hot),))


def test_what_is_left_in_a_hot_bay_by_hand() -> None:
    # Worked by hand: 2.5 %/K from 40 degC, 35 degC outside and 12.5 K by 800 W/m2 of sun: 47.5 degC without its own heat.  With
    # 1 K idle, 5 K in proportion and 4 K by the square: f = 1 - 0.025 (8.5 + 5 f + 4 f2), so 0.1 f2 + 1.125 f - 0.7875 = 0,
    # f = (-1.125 + sqrt(1.265625 + 0.315)) / 0.2 = (-1.125 + 1.257229) / 0.2 = 0.66115; of 1000 W 661 W.
    left = left_in_heat_W(900.0, 1.0, 35.0, 800.0, 1000.0, 40.0, 2.5, 15.625, 1.0, 5.0, 4.0)
    assert left == pytest.approx(661.15, abs=0.01)
    # Under trees that let half through the same sun on the bay takes 1600 W/m2 above them, and 661 W below are 1322 W without them.
    shaded = left_in_heat_W(2000.0, 0.5, 35.0, 1600.0, 1000.0, 40.0, 2.5, 15.625, 1.0, 5.0, 4.0)
    assert shaded == pytest.approx(1322.3, abs=0.02)
    assert left_in_heat_W(600.0, 1.0, 35.0, 800.0, 1000.0, 40.0, 2.5, 15.625, 1.0, 5.0, 4.0) == 600.0


@given(st.floats(-40, 120), st.floats(0, 10))
def test_without_heat_of_its_own_it_gives_what_rule_a13_tells(air: float, loss: float) -> None:
    # The rule goes by `derated_A`, which knows no floor: below nothing is nothing.
    told = max(0.0, derated_A(70.0, loss, air, 40.0))
    assert 70.0 * hot_output_ratio(air, 40.0, loss, 0.0, 0.0, 0.0) == pytest.approx(told, abs=1e-9)


RISES = st.tuples(st.floats(0, 5), st.floats(0, 20), st.floats(0, 20))


@given(st.floats(-40, 90), st.floats(0, 10), RISES)
def test_the_ratio_is_the_one_at_which_output_and_air_agree(
    air: float, loss: float, rises: tuple[float, float, float]
) -> None:
    part = hot_output_ratio(air, 40.0, loss, *rises)
    own_K = rises[0] + rises[1] * part + rises[2] * part * part
    assert derated_A(1.0, loss, air + own_K, 40.0) == pytest.approx(part, abs=1e-9) or part == 0.0
    if air + sum(rises) <= 40.0:
        assert part == pytest.approx(1.0, abs=1e-12)


@given(
    st.floats(0, 2000), st.floats(0, 2000), st.floats(-20, 60), st.floats(0, 1100), st.floats(0.05, 1), RISES
)
def test_more_offered_is_never_less_and_a_warmer_hour_never_more(
    one_W: float, other_W: float, air: float, sun: float, light: float, rises: tuple[float, float, float]
) -> None:
    def left(watts: float, warm: float) -> float:
        return left_in_heat_W(watts, light, warm, sun, 900.0, 40.0, 2.5, 12.0, *rises)

    low, high = sorted((one_W, other_W))
    assert left(low, air) <= left(high, air) <= high
    assert left(high, air + 5.0) <= left(high, air) * (1 + 1e-12)


@pytest.mark.parametrize(
    ("place", "area_cm2", "within"),
    [("vents: 240 cm2", 120.0, 0.0025), ("UA: 0.5 W/K, vents: 60 cm2", 30.0, 0.035)],
)
def test_one_flow_through_the_vents_stands_for_the_draught_of_every_output(
    place: str, area_cm2: float, within: float
) -> None:
    # Against trial of the whole balance, walls and a draught that follows the rise at each output: in a bay as they are built within
    # 0.25 % of the rating, in one with no walls worth the name and small vents within 3.5 %.
    rig = rig_of(f"hottest: 45 degC (o), {place}")
    own, bay = plan_of(rig).trackers[0], rig.host.places["bay"]
    walls, hot = conductance_W_per_K(bay), own.hot
    assert walls is not None
    for air in np.arange(20.0, 72.5, 2.5).tolist():
        low, high = 0.0, 1.0
        for _ in range(50):
            part = 0.5 * (low + high)
            watts = part * hot.rated_W
            lost = own.idle_W + own.proportional_ratio * watts + own.square_per_W * watts * watts
            rise, flow = settled(rig, bay, 45.0, lost, walls)
            assert rise is not None
            settled_K = rise
            low, high = (part, high) if derated_A(1.0, 2.5, air + rise, 40.0) > part else (low, part)
        drawn = draught_m3_per_h(find("places/discharge").value, area_cm2, 0.6, settled_K, 45.0)
        assert bay_rise_K(lost, walls, drawn) == pytest.approx(settled_K, rel=1e-6)
        assert flow == pytest.approx(drawn)
        told = hot_output_ratio(air, 40.0, 2.5, hot.idle_rise_K, hot.linear_rise_K, hot.square_rise_K)
        assert told == pytest.approx(part, abs=within)


def test_the_bay_of_a_file_by_hand() -> None:
    # Worked by hand: 60 degC on the hottest day against 35 degC outside are 25 K of sun; UA 40 W/K without vents: each watt lost
    # warms it by 1/40 K.  70 A at the volts of a bank that charges.
    plan = plan_of(rig_of("hottest: 60 degC (o), UA: 40 W/K"))
    own, hot = plan.trackers[0], plan.trackers[0].hot
    full_W = 70.0 * charging_V(plan.bank)
    assert 13.2 < charging_V(plan.bank) < 13.6
    assert (hot.rated_at_degC, hot.loss_percent_per_K, hot.sun_rise_K) == (40.0, 2.5, 25.0)
    assert hot.rated_W == pytest.approx(full_W)
    assert hot.idle_rise_K == pytest.approx(own.idle_W / 40.0)
    assert hot.linear_rise_K == pytest.approx(own.proportional_ratio * full_W / 40.0)
    assert hot.square_rise_K == pytest.approx(own.square_per_W * full_W * full_W / 40.0)


def test_two_controllers_in_a_bay_warm_it_together() -> None:
    text = FILE.format(place="hottest: 60 degC (o), UA: 40 W/K", page=PAGE, stay=STAY)
    second = text.replace("  B:  {", "  M2: {is: module, at: roof, flat: true, gap: 30 mm, power: 500 W, max-power-voltage: 31.0 V}\n"
        f"  U2: {{is: pv-controller, at: bay, {PAGE}, efficiency: 97.5 %}}\n  B:  {{").replace(
        "settings:", "  W2: {from: M2, to: U2.pv, cable: pv 10 AWG, length: 12 m}\nsettings:")  # fmt: skip
    first, other = plan_of(read_rig(second, "test.rig.yaml", Shelf())).trackers
    alone = plan_of(read_rig(text, "test.rig.yaml", Shelf())).trackers[0].hot

    def own_K(hot: HotBay) -> float:
        return hot.idle_rise_K + hot.linear_rise_K + hot.square_rise_K

    assert own_K(first.hot) == pytest.approx(own_K(other.hot))
    assert own_K(first.hot) > own_K(alone) * 1.5


@pytest.mark.parametrize(
    ("place", "page", "stay", "missing"),
    [
        (HOT, "output-current: 70 A", STAY, "U1.output_current"),
        (HOT, "output-current: 70 A @ 40 degC", STAY, "U1.derate"),
        ("vents: 240 cm2", PAGE, STAY, "host.places.bay.hottest"),
        (HOT, PAGE, "", "hottest of the stays"),
    ],
)
def test_what_the_year_cannot_see_of_heat_is_told(place: str, page: str, stay: str, missing: str) -> None:
    plan = plan_of(rig_of(place, page, stay))
    assert plan.trackers[0].hot == HotBay()
    assert any(t.startswith("what heat takes of U1 is not counted") and missing in t for t in plan.unknown)


def test_without_hottest_air_of_a_stay_its_typical_year_tells_it(north: WeatherYear) -> None:
    plan = plan_of(rig_of(stay=""), outdoors=Outdoors((north.air_degC,)))
    assert plan.trackers[0].hot.sun_rise_K == pytest.approx(60.0 - max(north.air_degC))
    assert not any("heat takes" in t for t in plan.unknown)


def test_a_cool_bay_takes_nothing_to_the_last_bit_and_a_hot_one_does(north: WeatherYear) -> None:
    def year(plan: EnergyPlan) -> OneYear:
        return work_out(plan, (north,))

    bare = plan_of(rig_of(COOL))
    bare = replace(bare, trackers=(replace(bare.trackers[0], hot=HotBay()),))
    cool, hot, without = year(plan_of(rig_of(COOL))), year(plan_of(rig_of(HOT))), year(bare)
    assert cool.hours == without.hours
    assert cool.accounts == without.accounts
    assert sum(hot.accounts.columns["array_Wh"]) < sum(cool.accounts.columns["array_Wh"])
    offered = [(h[0], c[0]) for h, c in zip(hot.hours.rows, cool.hours.rows, strict=True)]
    assert all(h <= c for h, c in offered)
    assert any(h < 0.9 * c for h, c in offered)
    assert hot.accounts.balance_Wh < 1e-6


def test_more_array_on_a_controller_in_a_hot_bay_is_never_worse(
    hot_plan: EnergyPlan, north: WeatherYear
) -> None:
    own = hot_plan.trackers[0]

    def lacking(share: float) -> float:
        grown = replace(own.arrays[0], rated_W=share * own.arrays[0].rated_W)
        one = work_out(replace(hot_plan, trackers=(replace(own, arrays=(grown,)),)), (north,))
        return sum(one.accounts.columns["unserved_Wh"])

    worse = [lacking(s) for s in (0.5, 1.0, 1.5, 2.0)]
    assert worse == sorted(worse, reverse=True)
    assert worse[0] > worse[-1]


def test_a_hot_year_of_the_kernel_is_the_plain_loops_to_the_last_bit_in_any_batch(
    kernel: Kernel, hot_plan: EnergyPlan, north: WeatherYear, duluth: Spot
) -> None:
    shaded = replace(hot_plan, stays=(replace(hot_plan.stays[0], shade_ratio=0.8),))
    made = made_weather(made_days(shaded.stays, [duluth], 0, 3, 3), 0, 3)
    given, _ = given_by_arrays(kernel, shaded, made, None)
    _, sky = made.parts[0]
    own, hot = tracker_numbers(shaded.trackers[0], shaded.bank.set_V), hot_numbers(shaded.trackers[0].hot)
    capped = 0
    for k in range(3):
        weather = replace(
            north, spot=duluth, utc_offset_h=sky.utc_offset_h, air_degC=tuple(made.air_degC[k].tolist()),
            ghi_W_m2=tuple(sky.ghi_W_m2[k].astype(np.float64).tolist()), dhi_W_m2=tuple(sky.dhi_W_m2[k].astype(np.float64).tolist()),
            wind_m_per_s=(CLASS_WIND,) * 8760,
        )  # fmt: skip
        power, volts, _ = array_power_W(shaded.trackers[0].arrays[0], weather)
        cool = [tracker_W(p, v, *own) for p, v in zip(power, volts, strict=True)]
        plain = [
            left_in_heat_W(w, 0.8, a, g, *hot)
            for w, a, g in zip(cool, weather.air_degC, weather.ghi_W_m2, strict=True)
        ]
        assert given[k] == pytest.approx(plain, rel=1e-12, abs=1e-12)
        compiled = np.zeros((1, 8760))
        lit, air, sun = np.full(8760, 0.8), np.array([weather.air_degC]), np.array([weather.ghi_W_m2])
        kernel.trackers(np.array([power]), np.array([volts]), own, lit, air, sun, hot, compiled)
        assert compiled[0].tolist() == plain
        assert [row[0] for row in hours_of(shaded, partial(_same, weather)).rows] == [0.8 * w for w in plain]
        capped += sum(a < b for a, b in zip(plain, cool, strict=True))
    assert capped > 100
    one = given_by_arrays(
        kernel, shaded, made_weather(made_days(shaded.stays, [duluth], 2, 1, 3), 2, 1), None
    )[0]
    assert np.array_equal(one[0], given[2])


def test_candidates_in_a_hot_bay_abreast_are_each_alone(
    kernel: Kernel, hot_plan: EnergyPlan, duluth: Spot
) -> None:
    own = hot_plan.trackers[0]
    thirsty = {m: replace(d, dc_W=tuple(4.0 * w for w in d.dc_W)) for m, d in hot_plan.stays[0].days.items()}
    asks = replace(hot_plan, stays=(replace(hot_plan.stays[0], days=thirsty),))
    plans = [
        asks,
        replace(asks, stays=(replace(asks.stays[0], shade_ratio=0.7),)),
        replace(asks, trackers=(replace(own, hot=replace(own.hot, sun_rise_K=5.0)),)),
    ]
    base = many_years(kernel, asks, [duluth], 4, 3, workers=1)
    got = plans_abreast(SameYears(kernel, base, [duluth], workers=1), plans, 4)
    for k, one in enumerate(plans):
        alone = many_years(kernel, one, [duluth], 4, 3, workers=1)
        assert np.array_equal(got.lacking_Wh[k], alone.lacking_Wh().sum(axis=1))
    assert got.lacking_Wh[2].sum() < got.lacking_Wh[0].sum() < got.lacking_Wh[1].sum()
