"""Outlines of shadows on a surface for a given sun: polygons for drawings, in metres on the outline."""

from typing import TypeAlias

from ohmwright.roof.boxes import Box
from ohmwright.roof.frame import toward
from ohmwright.roof.layout import OnSurface

Spot: TypeAlias = tuple[float, float]
Polygon: TypeAlias = tuple[Spot, ...]


def shadow_polygons(
    placed: OnSurface, compass_deg: float, elevation_deg: float, *, height_m: float = 0.0, heading_deg: float | None = None
) -> dict[str, Polygon]:  # fmt: skip
    """The shadow of each obstacle on the plane `height_m` above the surface, by obstacle, anticlockwise.

    `compass_deg` is the sun's bearing; `heading_deg` the bearing of the host's x where it has none of its own (then
    needed).  Empty when the sun is down or behind the surface.
    """
    x_deg = placed.bearing_of_x_deg if placed.bearing_of_x_deg is not None else heading_deg
    if x_deg is None:
        raise ValueError("the heading is not fixed, so it must be given")
    sun = placed.surface.frame.inside(toward(compass_deg - x_deg, elevation_deg))
    if elevation_deg <= 0.0 or sun[2] <= 1e-6:
        return {}
    out = {}
    for box in placed.boxes:
        shadow = _shadow(box, sun, height_m)
        if shadow:
            out[box.id] = shadow
    return out


def _shadow(box: Box, sun: tuple[float, float, float], height_m: float) -> Polygon:
    """Every corner above the plane slides down the ray; a box that begins below the plane is cut there."""
    low, high = max(box.low[2], height_m), box.high[2]
    if high <= height_m:
        return ()
    points = []
    for z in (low, high):
        slide = (z - height_m) / sun[2]
        points += [
            (x - slide * sun[0], y - slide * sun[1])
            for x in (box.low[0], box.high[0])
            for y in (box.low[1], box.high[1])
        ]
    return hull(points)


def hull(points: list[Spot]) -> Polygon:
    """Convex hull, anticlockwise from the lowest left point (Andrew 1979, monotone chain)."""
    row = sorted(set(points))
    if len(row) < 3:
        return tuple(row)

    def half(one: list[Spot]) -> list[Spot]:
        out: list[Spot] = []
        for p in one:
            while len(out) > 1 and _turn(out[-2], out[-1], p) <= 1e-12:
                out.pop()
            out.append(p)
        return out[:-1]

    return (*half(row), *half(row[::-1]))


def _turn(a: Spot, b: Spot, c: Spot) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def area_m2(polygon: Polygon) -> float:
    """Area of a polygon."""
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(polygon, (*polygon[1:], polygon[0]), strict=True))) / 2.0  # fmt: skip
