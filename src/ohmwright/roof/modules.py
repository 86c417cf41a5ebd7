"""A module of the rig as cells on a rectangle: its zones, its pieces, and the one diode of its figures."""

import math
from dataclasses import dataclass

from ohmwright.rig.model import Part
from ohmwright.roof.curves import Build
from ohmwright.working import Figure

ZONES = ("short-side", "long-side", "halves")


@dataclass(frozen=True, slots=True)
class CellPlan:
    """Where the cells of a module are, by zone and piece, in a grid over its two sides.

    `along` cells stand behind each other on the long side of a piece, `across` beside each other on its short side.
    """

    build: Build
    direction: str
    along: int
    across: int

    @property
    def grid(self) -> tuple[int, int]:
        """Cells along the whole long side and across the whole short side."""
        b = self.build
        if self.direction == "long-side":
            return self.along * b.zones, self.across
        return self.along * b.pieces, self.across * b.zones

    def owner(self, k_along: int, k_across: int) -> tuple[int, int]:
        """Zone and piece of a cell of the grid."""
        if self.direction == "long-side":
            return k_along // self.along, 0
        return k_across // self.across, k_along // self.along


@dataclass(frozen=True, slots=True)
class Unknowns:
    """What of a module's figures is missing, and what was assumed instead."""

    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


def cell_plan(part: Part) -> tuple[CellPlan | None, Unknowns]:
    """The cells of a module from `cells`, `bypass_diodes`, `bypass_zones` and its sides."""
    cells, diodes = part.figure("cells"), part.figure("bypass_diodes")
    length, width = part.figure("length"), part.figure("width")
    missing = tuple(f"{part.id}.{n.replace('_', '-')}" for n, g in (("cells", cells), ("bypass_diodes", diodes), ("length", length), ("width", width)) if not isinstance(g, Figure))  # fmt: skip
    if not isinstance(cells, Figure) or not isinstance(length, Figure) or not isinstance(width, Figure):
        return None, Unknowns(missing)
    assumed: list[str] = []
    zones = round(diodes.value) if isinstance(diodes, Figure) else 0
    bypass = zones > 0
    if not isinstance(diodes, Figure):
        assumed.append(f"{part.id}: without bypass diodes, their number is not given")
    in_series = round(cells.value)
    zones = zones or 1
    if in_series % zones:
        assumed.append(
            f"{part.id}: {in_series} cells do not divide by {zones} bypass diodes, taken as {in_series // zones * zones}"
        )
    direction = part.word("bypass_zones")
    if direction not in ZONES:
        assumed.append(f"{part.id}: zones side by side across its short side, their direction is not given")
        direction = "short-side"
    each = max(in_series // zones, 1)
    pieces = 2 if direction == "halves" else 1
    long_m = length.value / (zones if direction == "long-side" else pieces)
    short_m = width.value / (1 if direction == "long-side" else zones)
    along = min(
        (n for n in range(1, each + 1) if each % n == 0),
        key=lambda n: abs(math.log(pieces * (long_m / n) / (short_m / (each // n)))),
    )
    return CellPlan(Build(zones, pieces, each, bypass), direction, along, each // along), Unknowns((), tuple(assumed))  # fmt: skip
