"""How warm cables and bays get, against a published table and worked anchors."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import changed, demo, read

from ohmwright.circuit.bays import bay_heat
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.heat import conductor_heat
from ohmwright.circuit.solve import solve
from ohmwright.circuit.solved import solutions_of
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.heat_cable import (
    MODEL_share,
    after_degC,
    conductor_degC,
    cylinder_nusselt_ratio,
    rippled_A,
    unshed_degC,
    warming_s,
)

# NFPA 70 Table 310.17 (2017 and later), copper, 90 degC, single conductor in free air at 30 degC: from memory.
FREE_AIR_A = {
    "14": (2.08, 35), "12": (3.31, 40), "10": (5.26, 55), "8": (8.37, 80), "6": (13.3, 105), "4": (21.2, 140), "2": (33.6, 190),
    "1": (42.4, 220), "1/0": (53.5, 260), "2/0": (67.4, 300), "3/0": (85.0, 350), "4/0": (107.2, 405),
}  # fmt: skip


def ohm(size: str, area: float) -> float:
    return cable_ohm_per_m(area, size, "AWG", 20.0, "high")


@pytest.mark.parametrize("size", FREE_AIR_A)
def test_a_cable_at_its_free_air_current_is_shown_no_cooler_than_the_table_says(size: str) -> None:
    area, amps = FREE_AIR_A[size]
    assert conductor_degC(amps / MODEL_share, ohm(size, area), area, 30.0) >= 90.0


@pytest.mark.parametrize("size", FREE_AIR_A)
def test_the_model_is_90_degrees_warm_within_16_percent_of_the_table(size: str) -> None:
    area, amps = FREE_AIR_A[size]
    assert conductor_degC(0.98 * amps, ohm(size, area), area, 30.0) <= 90.0
    assert conductor_degC(1.16 * amps, ohm(size, area), area, 30.0) >= 90.0


@pytest.mark.parametrize(
    ("amps", "expected"),
    # An independent reckoning of the same balance: 67 mm2 in air of 40 degC; 22.5 % more rms; two in parallel.
    [(280.0, 82.0), (280.0 * 1.225, 102.0), (140.0, 51.0)],
)
def test_a_67_mm2_cable_in_air_of_40_degrees(amps: float, expected: float) -> None:
    assert conductor_degC(amps, ohm("2/0", 67.4), 67.4, 40.0) == pytest.approx(expected, abs=1.0)


@pytest.mark.parametrize(("area", "minutes"), [(5.26, 2.0), (13.3, 4.0), (67.4, 10.0)])
def test_cables_take_minutes_to_warm(area: float, minutes: float) -> None:
    # Independent reckoning: 5, 13 and 67 mm2 take 2, 4 and 10 minutes; a third either way for what their jackets are.
    assert warming_s(area, 40.0, 80.0) / 60 == pytest.approx(minutes, rel=0.33)


def test_free_convection_around_a_cylinder_follows_the_printed_equation() -> None:
    # Churchill and Chu 1975, limit of small Rayleigh numbers: Nu = 0.36 (equation 10 with Ra = 0).
    assert cylinder_nusselt_ratio(0.0, 0.71) == pytest.approx(0.36)
    # Incropera, Fundamentals of Heat and Mass Transfer, example 9.4 (from memory): Ra = 5.073e6, Pr = 0.697 gives 23.3,
    # worked there with rounded steps.
    assert cylinder_nusselt_ratio(5.073e6, 0.697) == pytest.approx(23.3, rel=0.01)


@pytest.mark.parametrize(
    ("start", "end", "k"),
    # IEC 60364-5-54 Table A.54.2, copper: from memory.
    [(70.0, 160.0, 115.0), (30.0, 160.0, 143.0), (90.0, 250.0, 143.0), (30.0, 250.0, 176.0)],
)
def test_a_second_at_the_withstand_factor_ends_at_the_final_temperature(
    start: float, end: float, k: float
) -> None:
    assert unshed_degC(start, k * 16.0, 1.0, 16.0) == pytest.approx(end, rel=0.01)


def test_ripple_heats_by_its_square() -> None:
    # sqrt(1 + r^2): 0.30 -> 1.044, 0.50 -> 1.118, full ripple of twice the frequency (r = 1/sqrt 2) -> 1.225.
    assert rippled_A(100, 0.30) == pytest.approx(104.4, abs=0.05)
    assert rippled_A(100, 0.50) == pytest.approx(111.8, abs=0.05)
    assert rippled_A(100, 1 / math.sqrt(2)) == pytest.approx(122.5, abs=0.05)


def test_after_one_time_constant_63_percent_of_the_way_is_gone() -> None:
    assert after_degC(20.0, 120.0, 300.0, 300.0) == pytest.approx(20 + 100 * 0.632, abs=0.1)


@given(st.floats(1, 300), st.floats(1.0, 1.5), st.floats(2.5, 120), st.floats(-20, 60))
def test_more_current_is_never_cooler_and_thicker_cable_never_warmer(
    amps: float, more: float, area: float, air: float
) -> None:
    def at(i: float, a: float) -> float:
        return conductor_degC(i, 0.018 / a, a, air)

    assert at(amps * more, area) >= at(amps, area) - 1e-6
    assert at(amps, area * more) <= at(amps, area) + 1e-6
    assert at(amps, area) >= air - 1e-6


def test_a_conductor_whose_air_nobody_told_has_no_temperature() -> None:
    rig, graph = demo("trailer")
    heat = conductor_heat(rig, graph, solutions_of(rig, graph))
    unknown = [h for h in heat.values() if h.temp_degC is None]
    assert unknown
    assert all(h.missing for h in unknown)


def test_inverter_ripple_lies_on_the_inverter_cable_and_not_on_the_light() -> None:
    rig, graph = demo("trailer")
    solutions = solutions_of(rig, graph)
    heat = conductor_heat(rig, graph, solutions)
    full = solutions["U2-full"].conductors
    cable = next(c.id for c in graph.conductors.values() if "U2.dc.+" in (c.a, c.b))
    assert heat[cable].lasting_A == pytest.approx(
        abs(full[cable].current_A) * math.sqrt(1 + 0.3**2), rel=0.02
    )
    lights = [k for k in heat if k.startswith("lights.branch")]
    assert lights
    for k in lights:
        most = max(abs(a.conductors[k].current_A) for a in solutions.values() if not a.overloaded)
        assert heat[k].lasting_A == pytest.approx(most, rel=1e-6)


def test_a_short_start_hardly_warms_what_takes_minutes() -> None:
    rig, graph = changed("cabin", ("  plant-room:   {", "  plant-room:   {hottest: 30 degC, "))
    solutions = solutions_of(rig, graph)
    whole = conductor_heat(rig, graph, solutions)
    lasting = conductor_heat(rig, graph, {k: s for k, s in solutions.items() if s.case.seconds is None})
    known = [k for k in whole if whole[k].temp_degC is not None]
    assert known
    for k in known:
        before, after = lasting[k].temp_degC, whole[k].temp_degC
        assert before is not None
        assert after is not None
        assert before - 1e-9 <= after < before + 5.0


BAY = """\
ohmwright: 1
host: {kind: cabin, places: {bay: {regime: sheltered, AIR}}, ways: {}}
parts:
  B: {is: battery-lfp-200ah-12v, count: 2, at: bay, resistance: 2.5 mohm, join: {as: chain, link: 70 mm2, link-length: 0.2 m, takeoff: diagonal}}
  U2: {is: inverter-charger-3kva-12v-120v, at: bay, fitted: {ac-out-bond: relay}}
runs:
  W1: {from: B.+, to: U2.dc.+, cable: 70 mm2, length: 1 m}
  W2: {from: U2.dc.-, to: B.-, cable: 70 mm2, length: 1 m}
settings: {U2: {ground-relay: enabled}}
"""


def bay(air: str) -> "tuple[float | None, float, tuple[str, ...]]":
    rig, graph = read(BAY.replace("AIR", air), {})
    answer = solve(rig, graph, replace(cases_of(rig, graph)["U2-full"], converters_W={"U2": 1500.0}))
    b = bay_heat(rig, graph, answer)["bay"]
    return b.temp_degC, b.losses_W, b.missing


def test_a_sealed_bay_stands_at_its_losses_over_its_conductance() -> None:
    air, losses, missing = bay("hottest: 35 degC, UA: 5 W/K")
    assert air == pytest.approx(35 + losses / 5)
    assert not missing
    # An inverter of 1.5 kW at about 90 % and two batteries at 70 A each: 150 to 250 W.
    assert 120 < losses < 300


def test_vents_cool_a_bay_and_larger_ones_cool_it_more() -> None:
    sealed, small, large = (
        bay(f"hottest: 35 degC, UA: 5 W/K{v}")[0] for v in ("", ", vents: 100 cm2", ", vents: 400 cm2")
    )
    assert sealed is not None
    assert small is not None
    assert large is not None
    assert sealed > small > large > 35.0


def test_a_bay_without_walls_or_vents_told_is_not_guessed() -> None:
    air, _, missing = bay("hottest: 35 degC")
    assert air is None
    assert set(missing) == {"host.places.bay.UA", "host.places.bay.vents"}
    air, _, missing = bay("UA: 5 W/K")
    assert air is None
    assert missing == ("host.places.bay.hottest",)


def test_vents_close_together_draw_less_than_vents_on_the_floor_and_under_the_top() -> None:
    """By the equation of the draught, which grows with the root of the height between; at one height only the fan of the inverter is left."""
    size = "hottest: 35 degC, size: 0.9 x 0.5 x 0.6 m, UA: 5 W/K, vents: 4000 cm2"
    whole, near, level = (
        bay(air)[0]
        for air in (
            size,
            f"{size}, vent-low: 0.1 0.1 m, vent-high: 0.8 0.4 m",
            f"{size}, vent-low: 0.1 0.3 m, vent-high: 0.8 0.3 m",
        )
    )
    assert whole is not None
    assert near is not None
    assert level is not None
    assert whole < near < level
    assert bay(f"{size}, vent-low: 0.1 0 m, vent-high: 0.8 0.6 m")[0] == whole
