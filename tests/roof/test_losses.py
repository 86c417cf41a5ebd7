"""What shade takes by hour and month: laws that must hold, and results that can be worked by hand."""

from collections.abc import Callable

import numpy as np
import pytest
from tests.roof.conftest import FLAT, VENT

from ohmwright.rig.model import Rig
from ohmwright.roof.array import array_light, hour_table, scenes_of, shade_losses
from ohmwright.roof.fit import roof_fit
from ohmwright.roof.horizon import Around, Crown, horizon_deg, in_leaf, through_ratio
from ohmwright.roof.layout import on_surface
from ohmwright.roof.modules import cell_plan
from ohmwright.roof.patterns import WIRINGS
from ohmwright.roof.season import dirt_kept_ratio, snow_kept_ratio
from ohmwright.sky.types import WeatherYear

Make = Callable[..., Rig]
MAST = "obstacles: {mast: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: 2 m}}"


def test_nothing_in_the_way_takes_nothing(rig_of: Make, duluth: WeatherYear) -> None:
    light = array_light(rig := rig_of(FLAT), rig.parts["M"], duluth)
    assert light is not None

    assert (light.factor == 1.0).all()
    assert (light.string_ratio == 1.0).all()
    assert light.light_W_m2.sum() == pytest.approx(
        sum(duluth.ghi_W_m2), rel=1e-7
    )  # flat: the global light itself


def test_an_open_lid_costs_a_string_more_than_separate_controllers(rig_of: Make, duluth: WeatherYear) -> None:
    shade = shade_losses(rig_of(), duluth)[0]

    for m in (*shade.months, shade.year):
        assert 0.0 < m.kept["poorest"] <= m.kept["as wired"] + 1e-9
        assert m.kept["as wired"] == m.kept["series"]
        assert m.kept["separate"] >= max(m.kept["series"], m.kept["parallel"]) - 5e-4
        assert m.kept["as wired"] <= 1.0
    assert shade.year.lost_ratio > 0.005
    assert shade.suffers_least in ("parallel", "series")


def test_power_lost_is_more_than_light_lost_in_series(rig_of: Make, duluth: WeatherYear) -> None:
    year = shade_losses(rig_of(f"{FLAT}, {MAST}"), duluth)[0].year

    assert 1 - year.kept["series"] > 2 * (1 - year.string_ratio[0])


def test_closing_the_lid_never_costs(rig_of: Make, duluth: WeatherYear) -> None:
    rig = rig_of()

    shut, wide = shade_losses(rig, duluth, standing="closed")[0], shade_losses(rig, duluth)[0]

    for a, b in zip(shut.months, wide.months, strict=True):
        assert a.kept["as wired"] >= b.kept["as wired"] - 1e-9


def test_a_taller_mast_never_costs_less(rig_of: Make, duluth: WeatherYear) -> None:
    kept = [
        shade_losses(rig_of(f"{FLAT}, {MAST.replace('2 m', f'{h} m')}"), duluth)[0].year.kept["separate"]
        for h in (0.1, 0.5, 1, 2, 4)
    ]

    assert kept == sorted(kept, reverse=True)


def test_the_order_of_obstacles_does_not_matter(rig_of: Make, duluth: WeatherYear) -> None:
    one = "obstacles: {a: {at: 2.05 0.5 m, size: 0.4 x 0.4 m, height: 0.3 m}, b: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: 2 m}}"
    two = "obstacles: {b: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: 2 m}, a: {at: 2.05 0.5 m, size: 0.4 x 0.4 m, height: 0.3 m}}"

    first, second = (
        shade_losses(rig_of(f"{FLAT}, {text}", "1.1: 0.3 0.2 m", array="1s1p"), duluth)[0].year
        for text in (one, two)
    )
    assert first == second
    assert first.lost_ratio > 0.0


def test_strings_are_told_apart(rig_of: Make, duluth: WeatherYear) -> None:
    rig = rig_of(laid="1.1: 0.3 0.2 m, 2.1: 2.5 0.2 m, 3.1: 4.3 0.2 m", array="1s3p")

    light = array_light(rig, rig.parts["M"], duluth)
    assert light is not None

    assert light.string_ratio.shape == (3, 8760)
    near, _, far = light.string_ratio.mean(axis=1)
    assert near < far
    assert light.power_ratio["as wired"] == pytest.approx(light.power_ratio["parallel"], abs=1e-6)


def test_a_heading_of_the_stay_is_taken_at_its_word(rig_of: Make, duluth: WeatherYear) -> None:
    """With the bow to the south a lid behind the front module shades nothing of it at noon, the other way about it does."""
    lid = "obstacles: {lid: {at: -0.6 0.2 m, size: 0.4 x 1.2 m, height: 0.6 m}}"
    kept = {}
    for heading in (0, 180):
        rig = rig_of(f"{FLAT}, {lid}", stay=f", heading: {heading} deg")
        kept[heading] = shade_losses(rig, duluth, rig.use.stays[0])[0].year.kept["as wired"]

    assert kept[180] > kept[0]
    anyhow = shade_losses(rig_of(f"{FLAT}, {lid}"), duluth)[0].year.kept["as wired"]
    assert kept[0] < anyhow < kept[180]


def test_trees_all_around_to_the_zenith_leave_what_comes_through(rig_of: Make, duluth: WeatherYear) -> None:
    """By hand: every ray passes the crown, so exactly the told part of the light is left, in any wiring."""
    rig = rig_of(
        FLAT, stay=", trees: {wood: {from: 0 deg, to: 360 deg, up-to: 90 deg, leaf-on: 0.2, leaf-off: 0.6}}"
    )

    free, under = shade_losses(rig, duluth, rig.use.stays[0])

    assert (free.scene, under.scene) == ("in the open", "under the trees")
    assert (free.days_ratio, under.days_ratio) == (0.0, 1.0)  # no part of the days is told: all
    assert free.year.kept["as wired"] == pytest.approx(1.0)
    for w in WIRINGS:
        assert under.months[6].kept[w] == pytest.approx(0.2, rel=1e-9)
        assert under.months[0].kept[w] == pytest.approx(0.6, rel=1e-9)


def test_a_horizon_takes_its_ring_of_the_sky_and_the_sun_behind_it(rig_of: Make, duluth: WeatherYear) -> None:
    """By hand: of an even sky a level horizon of 30 degrees takes sin^2(30) = a quarter; the sun below it is gone."""
    ring = "horizon: {" + ", ".join(f"{b}: 30 deg" for b in range(0, 360, 20)) + "}"
    rig = rig_of(f"{FLAT}, {ring}")
    light = array_light(rig, rig.parts["M"], duluth)
    assert light is not None

    dark = np.array(duluth.ghi_W_m2) - np.array(duluth.dhi_W_m2) < 1e-9
    day = np.array(duluth.ghi_W_m2) > 1.0
    if (dark & day).any():
        assert light.beyond_ratio[dark & day] == pytest.approx(0.75, abs=0.01)
    december, june = light.beyond_ratio[-744:], light.beyond_ratio[3624:4344]
    assert december[day[-744:]].max() < 0.76  # at 46.8 N the December sun stays below 20 degrees
    assert june[day[3624:4344]].max() > 0.9


def test_horizons_are_straight_between_bearings() -> None:
    points = ((225.0, 12.0), (250.0, 18.0))

    assert horizon_deg(points, np.array([225.0, 237.5, 250.0, 251.0, 40.0])).tolist() == [12.0, 15.0, 18.0, 0.0, 0.0]  # fmt: skip
    assert horizon_deg((), np.array([5.0])).tolist() == [0.0]
    around = tuple((float(b), 10.0) for b in range(0, 360, 30))
    assert horizon_deg(around, np.array([345.0, 359.0])).tolist() == [10.0, 10.0]


def test_a_sector_may_run_over_north() -> None:
    seen = Around(crowns=(Crown(300.0, 60.0, 40.0, 0.2, 0.6),))

    through = through_ratio(seen, np.array([10.0, 200.0, 10.0]), np.array([20.0, 20.0, 50.0]), leaves=True)

    assert through.tolist() == [0.2, 1.0, 1.0]


def test_leaves_come_half_a_year_later_in_the_south() -> None:
    assert [m for m in range(12) if in_leaf(m, southern=False)] == [4, 5, 6, 7, 8, 9]
    assert [m for m in range(12) if in_leaf(m, southern=True)] == [0, 1, 2, 3, 10, 11]


def test_what_is_not_told_is_told_as_unknown(rig_of: Make, duluth: WeatherYear) -> None:
    rig = rig_of(f"{FLAT}, obstacles: {{mast: {{at: 0 0 m, size: 0.1 x 0.1 m, height: unknown (asked 2026-05-02)}}}}", "1.1: 0.3 0.2 m")  # fmt: skip

    shade = shade_losses(rig, duluth)[0]

    assert any("mast" in u for u in shade.unknown)
    assert any("M.1.2" in u and "laid" in u for u in shade.unknown)


def test_modules_that_lie_nowhere_are_taken_as_unshaded(rig_of: Make, duluth: WeatherYear) -> None:
    whole = rig_of(laid="1.1: 0.3 0.2 m", array="1s1p")
    third = rig_of(laid="1.1: 0.3 0.2 m")

    alone = shade_losses(whole, duluth)[0].year.lost_ratio
    among = shade_losses(third, duluth)[0].year.lost_ratio

    assert among == pytest.approx(alone / 3, rel=1e-6)


def test_an_array_whose_bearing_nobody_said_has_no_answer(rig_of: Make, duluth: WeatherYear) -> None:
    rig = rig_of("plane: {tilt: 30 deg}")

    assert array_light(rig, rig.parts["M"], duluth) is None
    assert shade_losses(rig, duluth) == ()


def test_a_rack_on_a_flat_roof_leans_from_where_it_is_laid(rig_of: Make) -> None:
    rig = rig_of(f"{FLAT}", part=", plane: {tilt: 30 deg, faces: stern}")
    placed = on_surface(rig, rig.parts["M"])
    assert placed is not None

    heights = sorted(c[2] for c in placed.modules[0].corners)
    assert heights[0] == heights[1]
    assert heights[3] - heights[0] == pytest.approx(1.134 / 2, rel=1e-6)  # width x sin 30


@pytest.mark.parametrize(
    ("module", "zones", "pieces", "cells", "grid"),
    [
        ("module-410w", 3, 2, 18, (18, 6)),
        ("module-200w", 2, 1, 18, (9, 4)),
        ("module-110w-flexible", 2, 1, 18, (9, 4)),
        ("module-430w", 3, 2, 18, (18, 6)),
    ],
)
def test_cells_stand_as_in_modules_of_the_trade(
    rig_of: Make, module: str, zones: int, pieces: int, cells: int, grid: tuple[int, int]
) -> None:
    plan, unknown = cell_plan(rig_of(module=module).parts["M.1.1"])
    assert plan is not None

    assert (plan.build.zones, plan.build.pieces, plan.build.cells, plan.grid) == (zones, pieces, cells, grid)
    assert unknown.missing == ()


def test_a_module_without_its_number_of_cells_is_not_guessed(rig_of: Make) -> None:
    plan, unknown = cell_plan(rig_of(part=", cells: unknown (asked 2026-05-02)").parts["M.1.1"])

    assert plan is None
    assert unknown.missing == ("M.1.1.cells",)


def test_fit_tells_overhang_overlap_and_clearance(rig_of: Make) -> None:
    modules, surfaces = roof_fit(rig_of(laid="1.1: 0.3 0.2 m, 1.2: 1.9 0.2 m, 1.3: 4.8 0.2 m"))
    one, two, three = modules

    assert one.overhang_m == 0.0
    assert three.overhang_m == pytest.approx(4.8 + 1.722 - 6.2)
    assert one.overlaps == ("M.1.2",)
    assert two.overlaps == ("M.1.1",)
    assert (two.nearest, three.nearest) == ("vent", "vent")
    assert two.clear_m is not None
    assert two.clear_m < 0  # it lies on the vent
    assert three.clear_m == pytest.approx(4.8 - 2.45)
    assert one.mass_kg_per_m2 == pytest.approx(21.5 / (1.722 * 1.134))
    assert surfaces[0].outline_m2 == pytest.approx(6.2 * 2.3)
    assert surfaces[0].mass_kg == pytest.approx(64.5)


def test_a_surface_without_outline_cannot_tell_overhang(rig_of: Make) -> None:
    modules, surfaces = roof_fit(rig_of(f"plane: {{faces: flat}}, {VENT}"))

    assert {m.overhang_m for m in modules} == {None}
    assert surfaces[0].outline_m2 is None


def test_snow_and_dirt_move_the_way_everybody_knows() -> None:
    assert snow_kept_ratio(-10, 0, cleared=False) < snow_kept_ratio(-10, 0, cleared=True) < 1.0
    assert snow_kept_ratio(-10, 0, cleared=False) < snow_kept_ratio(-10, 50, cleared=False) < snow_kept_ratio(-10, 80, cleared=False)  # fmt: skip
    assert snow_kept_ratio(12, 0, cleared=False) == 1.0
    assert dirt_kept_ratio(9, 0, under_trees=True) < dirt_kept_ratio(6, 0, under_trees=True) < dirt_kept_ratio(6, 0, under_trees=False)  # fmt: skip
    assert dirt_kept_ratio(3, 0, under_trees=True, southern=True) == dirt_kept_ratio(9, 0, under_trees=True)


def test_days_are_split_between_open_and_trees_as_told(rig_of: Make) -> None:
    stay = rig_of(FLAT, stay=", under-trees: 40 %, trees: {wood: {from: 0 deg, to: 360 deg, up-to: 60 deg}}").use.stays[0]  # fmt: skip

    assert [(s.name, s.days_ratio) for s in scenes_of(stay)] == [
        ("in the open", 0.6),
        ("under the trees", 0.4),
    ]
    assert [s.days_ratio for s in scenes_of(None)] == [1.0]


def test_the_table_by_month_and_hour_gives_the_months_back(rig_of: Make, duluth: WeatherYear) -> None:
    rig = rig_of()
    light = array_light(rig, rig.parts["M"], duluth)
    assert light is not None

    table = hour_table(light)
    spread = np.concatenate([np.tile(table[m], d) for m, d in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))])  # fmt: skip

    assert (spread * light.light_W_m2).sum() == pytest.approx(
        (light.factor * light.light_W_m2).sum(), rel=1e-9
    )
    assert (table <= 1.0).all()
    assert table[8, 12] < 1.0
