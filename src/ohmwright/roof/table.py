"""How much of each cell lies in shadow for every direction of the sun: a table in steps of 5 by 2 degrees."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ohmwright.roof.boxes import Singles, hidden
from ohmwright.roof.curves import Reals
from ohmwright.roof.frame import Frame, dot, toward
from ohmwright.roof.layout import Laid, OnSurface

AZIMUTHS, ELEVATIONS = 72, 45
STEP_AZIMUTH_deg, STEP_ELEVATION_deg = 360.0 / AZIMUTHS, 90.0 / ELEVATIONS
DIRECTIONS = AZIMUTHS * ELEVATIONS
#: A cell is told to be shaded in so many eighths.
EIGHTHS = 8
#: At least so many samples along each side of a module.
SAMPLES = 20


@dataclass(frozen=True, slots=True)
class ShadeTable:
    """Of each module: eighths in shadow of every cell, directions x zones x pieces x cells.

    Direction k stands for bearing (on the host, clockwise from x) and elevation of `direction(k)`.  `seen_ratio` is
    the part of an even sky that each module still sees past the obstacles.
    """

    eighths: tuple[NDArray[np.uint8], ...]
    seen_ratio: tuple[float, ...]

    def mean_shaded(self, module: int) -> Reals:
        """Part of a module's area in shadow, by direction."""
        e = self.eighths[module]
        return np.asarray(e.reshape(DIRECTIONS, -1).mean(axis=1) / EIGHTHS)


def direction(k: int) -> tuple[float, float]:
    """Middle of cell k of the table: bearing on the host and elevation, degrees."""
    return (k // ELEVATIONS + 0.5) * STEP_AZIMUTH_deg, (k % ELEVATIONS + 0.5) * STEP_ELEVATION_deg


def index_of(on_host_deg: Reals, elevation_deg: Reals) -> NDArray[np.intp]:
    """Cell of the table for bearings on the host and elevations of 0 to 90 degrees."""
    a = (np.mod(on_host_deg, 360.0) / STEP_AZIMUTH_deg).astype(np.intp) % AZIMUTHS
    e = np.clip(elevation_deg / STEP_ELEVATION_deg, 0, ELEVATIONS - 1).astype(np.intp)
    return np.asarray(a * ELEVATIONS + e)


def all_directions(frame: Frame) -> Reals:
    """Unit vectors of all cells of the table in a frame (DIRECTIONS, 3)."""
    return np.array([frame.inside(toward(*direction(k))) for k in range(DIRECTIONS)])


def sky_weights(normal_on_host: tuple[float, float, float]) -> Reals:
    """Share of an even sky's light on a plane that comes from each cell of the table; they sum to 1."""
    out = np.zeros(DIRECTIONS)
    for k in range(DIRECTIONS):
        on_host, elevation = direction(k)
        onto = max(dot(normal_on_host, toward(on_host, elevation)), 0.0)
        out[k] = onto * math.cos(math.radians(elevation))
    return np.asarray(out / out.sum())


def _samples(module: Laid) -> tuple[int, int]:
    """Sample points along and across each cell: a whole number, at least 20 on each side of the module."""
    along, across = module.cells.grid
    return math.ceil(SAMPLES / along), math.ceil(SAMPLES / across)


@lru_cache(maxsize=16)
def shade_table(placed: OnSurface) -> ShadeTable:
    """The table of an array on its surface."""
    directions = all_directions(placed.surface.frame)
    weights = sky_weights(placed.facing.frame.out)
    eighths, seen = [], []
    for module in placed.modules:
        shares = _shares(module, placed, directions)
        eighths.append(np.rint(shares * EIGHTHS).astype(np.uint8))
        hit = shares.reshape(DIRECTIONS, -1).mean(axis=1)
        seen.append(1.0 - float(weights @ hit))
    return ShadeTable(tuple(eighths), tuple(seen))


def _shares(module: Laid, placed: OnSurface, directions: Reals) -> NDArray[np.float32]:
    """Part of every cell in shadow: directions x zones x pieces x cells."""
    plan = module.cells
    n_along, n_across = plan.grid
    s_along, s_across = _samples(module)
    out = np.zeros((DIRECTIONS, n_along, n_across), dtype=np.float32)
    if placed.boxes:
        right, up, high = _points(module, n_along * s_along, n_across * s_across)
        per = ELEVATIONS
        for a in range(0, DIRECTIONS, per):
            d = directions[a : a + per].astype(np.float32)
            hit = hidden(right, up, high, (d[:, 0], d[:, 1], d[:, 2]), placed.boxes)
            hit = np.broadcast_to(hit, (n_along * s_along, n_across * s_across, per))
            cells = hit.reshape(n_along, s_along, n_across, s_across, per).mean(axis=(1, 3), dtype=np.float32)
            out[a : a + per] = cells.transpose(2, 0, 1)
    return by_piece(plan.grid, module, out)


def by_piece(grid: tuple[int, int], module: Laid, cells: NDArray[np.float32]) -> NDArray[np.float32]:
    """A grid of cells (directions x along x across) sorted into zones and pieces."""
    plan = module.cells
    places: dict[tuple[int, int], list[int]] = {}
    for i in range(grid[0]):
        for j in range(grid[1]):
            places.setdefault(plan.owner(i, j), []).append(i * grid[1] + j)
    order = [places[z, p] for z in range(plan.build.zones) for p in range(plan.build.pieces)]
    flat = cells.reshape(len(cells), -1)[:, np.array(order).ravel()]
    return flat.reshape(len(cells), plan.build.zones, plan.build.pieces, plan.build.cells)


def _points(module: Laid, along: int, across: int) -> tuple[Singles, Singles, Singles]:
    """Sample points of a module, broadcast over (along, across, 1): in a flat case a row, a column and one height."""
    a = ((np.arange(along) + 0.5) * module.length_m / along)[:, None, None]
    b = ((np.arange(across) + 0.5) * module.width_m / across)[None, :, None]
    parts = []
    for k in range(3):
        x = np.full((1, 1, 1), module.corner[k])
        if module.long[k] != 0.0:
            x = x + a * module.long[k]
        if module.short[k] != 0.0:
            x = x + b * module.short[k]
        parts.append(x.astype(np.float32))
    return parts[0], parts[1], parts[2]
