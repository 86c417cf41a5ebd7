"""Shadows of boxes against plane geometry, and the table that tells them by cell."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.rig.model import Rig
from ohmwright.roof.boxes import Box, hidden
from ohmwright.roof.frame import Facing, cross, dot, toward
from ohmwright.roof.hit import hours_hit
from ohmwright.roof.layout import OnSurface, on_surface
from ohmwright.roof.outline import area_m2, hull, shadow_polygons
from ohmwright.roof.table import DIRECTIONS, direction, index_of, shade_table, sky_weights

Make = Callable[..., Rig]


def placed_of(rig: Rig, standing: str = "open") -> OnSurface:
    found = on_surface(rig, rig.parts["M"], "open" if standing == "open" else "closed")
    assert found is not None
    return found


def shaded_part(box: Box, sun: tuple[float, float, float], n: int) -> float:
    """Part of a 1 x 1 m patch at the origin in shadow, by n x n rays."""
    a = ((np.arange(n) + 0.5) / n).astype(np.float32)
    d = tuple(np.array([c], dtype=np.float32) for c in sun)
    hit = hidden(
        a[:, None, None], a[None, :, None], np.zeros((1, 1, 1), np.float32), (d[0], d[1], d[2]), (box,)
    )
    return float(hit.mean())


# Plane geometry: a wall of height h on the edge of a patch shades a strip h / tan(elevation) deep.  The tolerance is one
# row of the samples.
@pytest.mark.parametrize("elevation", [10.0, 20.0, 30.0, 45.0, 60.0])
def test_the_shadow_of_a_wall_is_as_long_as_plane_geometry_says(elevation: float) -> None:
    wall = Box("wall", (-0.1, -20.0, 0.0), (0.0, 20.0, 0.115))
    exact = min(0.115 / math.tan(math.radians(elevation)), 1.0)

    # The sun stands behind the wall: bearing 180 from x.
    assert shaded_part(wall, toward(180.0, elevation), 20) == pytest.approx(exact, abs=1 / 20)
    assert shaded_part(wall, toward(180.0, elevation), 400) == pytest.approx(exact, abs=1 / 400)


def test_a_box_behind_the_sun_throws_nothing() -> None:
    wall = Box("wall", (-0.1, -20.0, 0.0), (0.0, 20.0, 1.0))

    assert shaded_part(wall, toward(0.0, 20.0), 20) == 0.0


def test_a_boom_shades_only_where_its_ray_passes() -> None:
    boom = Box("boom", (-1.0, -20.0, 1.0), (-0.8, 20.0, 1.1))
    low = shaded_part(boom, toward(180.0, 20.0), 200)

    # Its shadow lies 1.0 / tan(20) = 2.7 m on: past the patch.
    assert low == 0.0
    assert shaded_part(boom, toward(180.0, 45.0), 200) == pytest.approx(0.3, abs=0.01)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 359), st.floats(15, 80), st.floats(0.05, 0.4), st.floats(-0.3, 0.8), st.floats(-0.3, 0.8)
)  # fmt: skip
def test_sampled_shadow_and_drawn_outline_are_the_same_shadow(
    bearing: float, elevation: float, height: float, x: float, y: float
) -> None:
    """Two methods: rays from points, and the hull of projected corners clipped to the patch by counting."""
    box = Box("box", (x, y, 0.0), (x + 0.3, y + 0.3, height))
    placed = OnSurface("M", "roof", Facing(0.0, 0.0), Facing(0.0, 0.0), (), (box,), None, 0.0)
    polygon = shadow_polygons(placed, bearing, elevation)["box"]
    n = 60
    grid = (np.arange(n) + 0.5) / n
    px, py = np.meshgrid(grid, grid, indexing="ij")
    inside = np.ones((n, n), dtype=bool)
    for a, b in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        inside &= (b[0] - a[0]) * (py - a[1]) - (b[1] - a[1]) * (px - a[0]) >= 0

    assert shaded_part(box, toward(bearing, elevation), n) == pytest.approx(
        inside.mean(), abs=0.02
    )  # a row of samples on an edge


def test_the_outline_of_a_shadow_has_the_area_of_a_sheared_box() -> None:
    box = Box("box", (0.0, 0.0, 0.0), (0.4, 0.4, 0.35))
    placed = OnSurface("M", "roof", Facing(0.0, 0.0), Facing(0.0, 0.0), (), (box,), None, 0.0)

    # Sun along an axis: base plus a strip 0.4 wide and h / tan(e) long.
    polygon = shadow_polygons(placed, 180.0, 30.0)["box"]
    assert area_m2(polygon) == pytest.approx(0.16 + 0.4 * 0.35 / math.tan(math.radians(30)), rel=1e-9)
    assert shadow_polygons(placed, 180.0, 0.0) == {}
    assert shadow_polygons(placed, 180.0, 30.0, height_m=0.4) == {}


def test_a_host_without_a_heading_needs_one_for_its_outline(rig_of: Make) -> None:
    placed = placed_of(rig_of())

    with pytest.raises(ValueError, match="heading"):
        shadow_polygons(placed, 180.0, 30.0)
    assert shadow_polygons(placed, 180.0, 30.0, heading_deg=0.0)


def test_a_hull_drops_what_lies_inside() -> None:
    assert hull([(0, 0), (1, 0), (1, 1), (0, 1), (0.5, 0.5), (0.5, 0)]) == ((0, 0), (1, 0), (1, 1), (0, 1))


@given(st.floats(1, 89), st.floats(0, 359))
def test_frames_are_square_and_right_handed(tilt: float, bearing: float) -> None:
    f = Facing(tilt, bearing).frame

    assert dot(f.right, f.up) == pytest.approx(0, abs=1e-12)
    assert cross(f.right, f.up) == pytest.approx(f.out)
    assert f.right[2] == pytest.approx(0, abs=1e-12)
    assert f.out[2] == pytest.approx(math.cos(math.radians(tilt)))
    # Seen from in front, a slope that faces the host's x has its right where the host's left is.
    assert dot(f.out, toward(bearing, 90 - tilt)) == pytest.approx(1.0)


def test_a_wall_to_the_south_has_east_at_its_right() -> None:
    f = Facing(90.0, 90.0).frame  # x is east: south is a quarter turn clockwise

    assert f.out == pytest.approx((0, -1, 0), abs=1e-12)
    assert f.right == pytest.approx((1, 0, 0), abs=1e-12)


def test_every_direction_is_found_where_it_stands() -> None:
    b, e = np.array([direction(k) for k in range(DIRECTIONS)]).T

    assert (index_of(b, e) == np.arange(DIRECTIONS)).all()
    assert (index_of(b + 360.0, e) == np.arange(DIRECTIONS)).all()


def test_the_sky_of_a_flat_plane_weighs_as_the_cosine() -> None:
    w = sky_weights((0.0, 0.0, 1.0))
    e = np.array([direction(k)[1] for k in range(DIRECTIONS)])

    assert w.sum() == pytest.approx(1.0)
    # Below elevation e an even sky gives sin^2(e) of a flat plane's light: the view factor of a ring.
    assert w[e < 30].sum() == pytest.approx(math.sin(math.radians(30)) ** 2, abs=0.002)


def test_a_long_wall_takes_half_the_sky_that_it_hides(rig_of: Make) -> None:
    """A wall without end beside a strip hides (1 - cos w) / 2 of an even sky, w its height seen from there (Hottel)."""
    wall = "outline: 6 x 3 m, plane: {tilt: 0 deg, faces: flat}, obstacles: {wall: {at: -200 -0.3 m, size: 400 x 0.01 m, height: 20.03 m}}"
    placed = placed_of(rig_of(wall, "1.1: 0.3 0.0 m", array="1s1p"))
    middle = 0.3 - 0.01 + 1.134 / 2
    hidden_part = (1 - math.cos(math.atan2(20.0, middle))) / 2

    assert shade_table(placed).seen_ratio[0] == pytest.approx(1 - hidden_part, abs=0.01)


def test_open_is_never_less_shade_than_closed(rig_of: Make) -> None:
    rig = rig_of()
    closed, opened = shade_table(placed_of(rig, "closed")), shade_table(placed_of(rig))

    for a, b in zip(closed.eighths, opened.eighths, strict=True):
        assert (b >= a).all()
    assert opened.seen_ratio[0] < closed.seen_ratio[0] < 1.0


def test_zones_of_a_module_are_hit_where_they_lie(rig_of: Make) -> None:
    """A low sun from behind a lid beside the lower edge: with zones side by side only the first is touched."""
    lid = "outline: 6 x 3 m, plane: {tilt: 0 deg, faces: flat}, obstacles: {lid: {at: 0.0 0.0 m, size: 2.0 x 0.29 m, height: 0.1 m}}"
    across = placed_of(rig_of(lid, "1.1: 0.0 0.3 m", array="1s1p", module="module-200w"))
    stacked = placed_of(rig_of(lid, "1.1: 0.0 0.3 m", array="1s1p", module="module-200w", part=", bypass-zones: long-side"))  # fmt: skip
    low = int(index_of(np.array([90.0]), np.array([20.0]))[0])  # from the right of x, along -y

    side = shade_table(across).eighths[0][low].reshape(2, -1).max(axis=1)
    behind = shade_table(stacked).eighths[0][low].reshape(2, -1).max(axis=1)

    assert side.tolist()[1] == 0
    assert side.tolist()[0] > 0
    assert (behind > 0).all()


# Solar geometry: on the equinox at 46.8 N the sun stands 30 deg high at about 9:00 and 43 deg at noon; a 0.23 m lid
# reaches 0.23 / tan(43 deg) = 0.25 m at noon.
def test_a_lid_shades_the_module_ahead_of_it_for_hours(rig_of: Make) -> None:
    front, beside, far = hours_hit(placed_of(rig_of()), 46.8, 9)

    assert front.worst_h > 2.0  # within the length of its shadow for part of the headings
    assert beside.worst_h > 2.0
    assert far.worst_h == 0.0
    assert front.morning_until_h is not None
    assert front.mean_h < front.worst_h


def test_a_closed_lid_shades_for_fewer_hours(rig_of: Make) -> None:
    rig = rig_of()

    for shut, wide in zip(hours_hit(placed_of(rig, "closed"), 46.8, 9), hours_hit(placed_of(rig), 46.8, 9), strict=True):  # fmt: skip
        assert shut.mean_h <= wide.mean_h


def test_a_roof_without_obstacles_has_no_hours(rig_of: Make) -> None:
    assert hours_hit(placed_of(rig_of("outline: 6.2 x 2.3 m, plane: {faces: flat}")), 46.8, 9) == ()
