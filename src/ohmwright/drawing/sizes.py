"""Sizes and free space as records word them, and boxes put beside each other on a floor."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ohmwright.rig.model import Part
from ohmwright.rig.standing import Extent, clearance_mm

_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0}
_OPENING = re.compile(r"([\d.]+)\s*x\s*([\d.]+)\s*(mm|cm|m)\b")


_FIXING = re.compile(r"(\d+)\s*holes?\s*([\d.]+)\s*mm(?:,\s*([\d.]+)(?:\s*x\s*([\d.]+))?\s*mm\s*apart)?")


@dataclass(frozen=True, slots=True)
class Fixing:
    """The holes of a part's foot: their diameter, and where they stand from the middle of its outline, up and right."""

    hole_mm: float
    at_mm: tuple[tuple[float, float], ...]


def fixing_of(part: Part) -> Fixing | None:
    """The holes as the record words them; None when nobody wrote them down, or in a way that is not understood."""
    found = _FIXING.search(part.word("fixing"))
    if found is None:
        return None
    count, hole = int(found[1]), float(found[2])
    wide, high = float(found[3] or 0.0) / 2, float(found[4] or 0.0) / 2
    spots = {
        1: ((0.0, 0.0),),
        2: ((-wide, 0.0), (wide, 0.0)) if not high else ((-wide, -high), (wide, high)),
        4: ((-wide, -high), (wide, -high), (wide, high), (-wide, high)),
    }.get(count)
    return Fixing(hole, spots) if spots is not None and (count == 1 or wide) else None


def opening_mm(words: str) -> tuple[float, float] | None:
    """An opening as a place words it."""
    found = _OPENING.search(words)
    return (float(found[1]) * _UNIT[found[3]], float(found[2]) * _UNIT[found[3]]) if found else None


def passes(extent: Extent, opening: tuple[float, float]) -> bool:
    """Whether a box goes through an opening on its smallest face, turned as it likes."""
    small, middle, _ = sorted((extent.width_mm, extent.height_mm, extent.depth_mm))
    return small <= min(opening) and middle <= max(opening)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a box stands on a floor: its corner, and its sides as it stands, free space not counted."""

    part: str
    x_mm: float
    y_mm: float
    width_mm: float
    depth_mm: float


def arranged(
    parts: Sequence[tuple[Part, Extent]], width_mm: float, depth_mm: float | None
) -> tuple[list[Spot], list[Part]]:
    """Boxes in rows on a floor, deepest first, with the free space they ask for around; and those left over.

    One arrangement, not the best: a box left over may still fit when somebody thinks.
    """

    def reach(item: tuple[Part, Extent]) -> tuple[float, float]:
        free = _around(item[0])
        return item[1].depth_mm + 2 * free, item[1].width_mm + 2 * free

    spots: list[Spot] = []
    left_over: list[Part] = []
    x = y = row = 0.0
    for part, extent in sorted(parts, key=reach, reverse=True):
        free = _around(part)
        wide, deep = extent.width_mm, extent.depth_mm
        if wide + 2 * free > width_mm and deep + 2 * free <= width_mm:
            wide, deep = deep, wide
        if x + wide + 2 * free > width_mm + 1e-6:
            if wide + 2 * free > width_mm + 1e-6:
                left_over.append(part)
                continue
            x, y, row = 0.0, y + row, 0.0
        if depth_mm is not None and y + deep + 2 * free > depth_mm + 1e-6:
            left_over.append(part)
            continue
        spots.append(Spot(part.id, x + free, y + free, wide, deep))
        x += wide + 2 * free
        row = max(row, deep + 2 * free)
    return spots, left_over


def _around(part: Part) -> float:
    free, where = clearance_mm(part)
    return free if "around" in where or not where else 0.0
