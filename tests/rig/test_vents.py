"""Vents as the file has them and what air goes through them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics.heat import bay_rise_K
from ohmwright.physics.ventilation import draught_m3_per_h, equal_vents_cm2, through_one_m3_per_h
from ohmwright.rig.bay_air import holes_of, settled, way_of_air
from ohmwright.rig.edit import set_value
from ohmwright.rig.model import Place, Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.working import FileError

SHELF = Shelf()


def rig_of(vents: str, more: str = "") -> Rig:
    text = f"""ohmwright: 1
job: {{id: bay, rules: eu-vehicle 2023}}
host:
  kind: van
  places:
    bay: {{regime: cabin, size: 0.9 x 0.5 x 0.6 m{f", {vents}" if vents else ""}}}
metal: {{body: {{}}}}
parts:
  F1: {{is: fuse-class-t-100a, at: bay}}
{more}"""
    return read_rig(text, "bay.yaml", SHELF)


def bay(vents: str) -> Place:
    return rig_of(vents).host.places["bay"]


def flow(vents: str, rise_K: float = 15.0, outside_degC: float = 30.0) -> float:
    way = way_of_air(bay(vents))
    return draught_m3_per_h(0.6 / math.sqrt(2), way.area_cm2, way.height_m, rise_K, outside_degC)


def by_levels(holes: list[tuple[float, float]], rise_K: float, outside_degC: float) -> float:
    """Bernoulli at each opening, worked apart from the program: in below the level at which as much goes in as out."""
    drive = 2 * 9.81 * rise_K / (outside_degC + 273.15)

    def through(level: float, sign: int) -> float:
        return sum(0.6 * a / 1e4 * math.sqrt(drive * sign * (y - level)) for a, y in holes if sign * (y - level) > 0)  # fmt: skip

    low, high = min(y for _, y in holes), max(y for _, y in holes)
    for _ in range(200):
        level = (low + high) / 2
        low, high = (level, high) if through(level, 1) > through(level, -1) else (low, level)
    return 3600 * through(level, 1)


areas = st.floats(5, 800)


@given(areas, areas, st.floats(0.05, 1.5), st.floats(1, 40))
def test_two_unlike_vents_draw_what_bernoulli_at_each_says(a: float, b: float, height: float, rise: float) -> None:  # fmt: skip
    ours = draught_m3_per_h(0.6 / math.sqrt(2), equal_vents_cm2(a, b), height, rise, 25.0)
    assert ours == pytest.approx(by_levels([(a, 0.0), (b, height)], rise, 25.0), rel=1e-6)


@given(areas, areas)
def test_of_two_unlike_vents_the_smaller_one_rules(a: float, b: float) -> None:
    """1/A^2 adds up (ASHRAE Fundamentals; CIBSE AM10, from memory): never more than 1.41 times the smaller one."""
    each = equal_vents_cm2(a, b)
    assert min(a, b) <= each * (1 + 1e-9)
    assert each <= math.sqrt(2) * min(a, b) * (1 + 1e-9)
    assert 2 / each**2 == pytest.approx(1 / a**2 + 1 / b**2)


def test_one_vent_exchanges_a_third_of_the_root_of_its_own_height() -> None:
    """The speed under the level at half height is sqrt(2 g z dT/T): summed over the lower half it is A/3 sqrt(g h dT/T)."""
    area_cm2, h, rise, outside = 240.0, 0.2, 12.0, 20.0
    n = 20000
    wide = area_cm2 / 1e4 / h
    speeds = (math.sqrt(2 * 9.81 * (k + 0.5) * h / 2 / n * rise / (outside + 273.15)) for k in range(n))
    by_hand = 3600 * 0.6 * wide * sum(speeds) * h / 2 / n
    assert through_one_m3_per_h(0.6, area_cm2, h, rise, outside) == pytest.approx(by_hand, rel=1e-4)
    one = flow("vents: {door: {area: 240 cm2, at: 0.4 0.3 m, size: 0.12 x 0.2 m}}", rise, outside)
    assert one == pytest.approx(by_hand, rel=1e-4)


def test_one_vent_lets_much_less_through_than_two_of_half_its_area() -> None:
    assert flow("vents: 240 cm2, vent-high: none") < 0.5 * flow("vents: 240 cm2")


def test_three_vents_draw_what_bernoulli_at_each_says() -> None:
    told = "vents: {a: {area: 90 cm2, at: 0.1 0.05 m}, b: {area: 60 cm2, at: 0.1 0.3 m}, c: {area: 140 cm2, at: 0.8 0.55 m}}"
    wanted = by_levels([(90, 0.05), (60, 0.3), (140, 0.55)], 15.0, 30.0)
    assert flow(told) == pytest.approx(wanted, rel=1e-6)


def test_files_of_before_mean_the_same() -> None:
    """Half of the area each, over the height of the place or that between the two; a pair upside down draws nothing."""
    way = way_of_air(bay("vents: 240 cm2"))
    assert (way.area_cm2, way.height_m, way.through_cm2) == (120.0, 0.6, 120.0)
    way = way_of_air(bay("vents: 240 cm2, vent-low: 0.1 0.1 m, vent-high: 0.8 0.5 m"))
    assert (way.area_cm2, way.height_m) == pytest.approx((120.0, 0.4))
    assert way_of_air(bay("vents: 240 cm2, vent-low: 0.1 0.5 m, vent-high: 0.8 0.1 m")).height_m == 0.0
    assert holes_of(bay("")) is None
    assert holes_of(bay("vents: none")) == ()


def test_alike_vents_by_name_are_the_pair_of_before() -> None:
    by_name = way_of_air(bay("vents: {a: {area: 120 cm2, at: 0.1 0 m}, b: {area: 120 cm2, at: 0.1 0.6 m}}"))
    assert by_name.area_cm2 == pytest.approx(120.0)
    assert (by_name.height_m, by_name.through_cm2) == (0.6, 120.0)


def test_a_vent_of_which_nobody_knows_where_it_sits_counts_by_itself() -> None:
    apart = flow("vents: {a: {area: 120 cm2}, b: {area: 120 cm2}}")
    assert apart == pytest.approx(2 * flow("vents: {a: {area: 120 cm2}}"))
    assert holes_of(bay("vents: {a: {area: unknown (asked 2026-05-01)}}")) is None


def test_a_fan_finds_nothing_to_blow_through_where_there_is_one_vent() -> None:
    fan = "  EF: {is: enclosure-louvre-fan-60, at: bay}\n"
    two, one = (rig_of(v, fan) for v in ("vents: 400 cm2", "vents: 400 cm2, vent-low: none"))
    for rig in (two, one):
        rise, moved = settled(rig, rig.host.places["bay"], 30.0, 50.0, 5.0)
        assert rise == pytest.approx(bay_rise_K(50.0, 5.0, moved), rel=1e-6)
    assert settled(two, two.host.places["bay"], 30.0, 50.0, 5.0)[1] >= 60.0
    assert settled(one, one.host.places["bay"], 30.0, 50.0, 5.0)[1] < 20.0


def test_mistakes_are_told_with_what_to_write() -> None:
    for words, says in (
        ("vents: {a: {at: 0.1 0 m}}", "has no 'area'"),
        ("vents: {a: {area: 3 kg}}", "kg"),
        ("vents: {a: {area: 90 cm2, place: low}}", "no key of a vent"),
        ("vents: {a: {area: 90 cm2}}, vent-low: 0.1 0 m", "beside vents by name"),
    ):
        with pytest.raises(FileError, match=says):
            rig_of(words)


def test_a_vent_is_set_by_its_address() -> None:
    text = rig_of("vents: {a: {area: 120 cm2, at: 0.1 0 m}}").text
    wider = set_value(text, "bay.yaml", "host.places.bay.vents.a.area", "90 cm2", SHELF)
    more = set_value(wider, "bay.yaml", "host.places.bay.vents.b.area", "60 cm2", SHELF)
    place = read_rig(more, "bay.yaml", SHELF).host.places["bay"]
    assert [round(h.area_cm2) for h in holes_of(place) or ()] == [90, 60]
    whole = set_value(more, "bay.yaml", "host.places.bay.vents", "{c: {area: 40 cm2, at: 0.1 0.1 m}}", SHELF)
    assert list(read_rig(whole, "bay.yaml", SHELF).host.places["bay"].vents) == ["c"]
