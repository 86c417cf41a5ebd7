"""Curves of shaded modules and strings: cell by cell, exact at every point of a common grid of currents.

A piece is cells in series; a zone is one piece, or two halves in parallel, under one bypass diode; a module is its
zones in series.  All currents are the module's: half a cell at half the current stands at the voltage of the whole.
"""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.physics import shade
from ohmwright.physics.diode import Diode, ModuleDiode, Point, cell_of, diode_at

Reals: TypeAlias = NDArray[np.float64]
Counts: TypeAlias = NDArray[np.float64]
"""Modules x zones x pieces x lights: how many cells of a piece have each light."""

#: A cell never sees less than this: the sky is never quite black, and a dark cell has no parameters.
DARKEST_W_m2 = 0.5
_STEPS = 240
#: About the photocurrent of each light: so near each other in the shoulder of a cell, where maxima stand, that a parabola
#: through three meets the maximum within 0.01 % (tested against a grid sixteen times as fine).
_KNEE = np.concatenate([1.0 - np.geomspace(0.25, 1e-4, 60), 1.0 + np.geomspace(1e-3, 0.02, 4)])


@dataclass(frozen=True, slots=True)
class Build:
    """How a module is made of cells."""

    zones: int
    pieces: int
    """1, or 2 where each zone is two halves in parallel."""
    cells: int
    """In series in each piece."""
    bypass: bool = True

    @property
    def in_series(self) -> int:
        """Cells in series in the module."""
        return self.zones * self.cells


@dataclass(frozen=True, slots=True)
class Peaks:
    """Maxima of a curve of power, from the lowest voltage to the highest."""

    maxima: tuple[Point, ...]

    @property
    def best(self) -> Point:
        """The global maximum."""
        return max(self.maxima, key=lambda p: p.power_W)

    @property
    def worst(self) -> Point:
        """The poorest maximum that a controller may rest on."""
        return min(self.maxima, key=lambda p: p.power_W)

    @property
    def first_from_open(self) -> Point:
        """The maximum that a controller meets first when it comes down from open circuit."""
        return self.maxima[-1]


def current_grid(diodes: tuple[ModuleDiode, ...], lights_W_m2: Reals, cell_degC: float) -> Reals:
    """Currents at which all curves of a string are told: even steps, and more at the knee of every light."""
    photo = np.array(
        [
            diode_at(d, max(float(e), DARKEST_W_m2), cell_degC).photo_A
            for d in diodes
            for e in np.unique(lights_W_m2)
        ]
    )
    most = photo.max()
    points = np.concatenate(
        [np.linspace(-0.05 * most, 0.0, 12), np.linspace(0.0, most, _STEPS), np.outer(photo, _KNEE).ravel()]
    )
    return np.asarray(np.unique(np.round(points / most, 5)) * most)


def cell_curves(module: ModuleDiode, in_series: int, lights_W_m2: Reals, cell_degC: float, grid_A: Reals) -> Reals:  # fmt: skip
    """Terminal voltage of one cell at each light (rows) and current (columns), reverse branch included."""
    return np.array(
        [
            _cell_V(cell_of(diode_at(module, max(float(e), DARKEST_W_m2), cell_degC), in_series), grid_A)
            for e in lights_W_m2
        ]
    )


def _current(cell: Diode, x: Reals) -> tuple[Reals, Reals]:
    """Current at junction voltages, and how it falls with them: `shade.cell_current_A`, many at a time."""
    grown = cell.saturation_A * np.exp(x / cell.ideality_V)
    left = 1.0 - x / shade.BREAKDOWN_V
    avalanche = shade.BREAKDOWN_factor * left**-shade.BREAKDOWN_exponent
    current = cell.photo_A - grown + cell.saturation_A - x / cell.shunt_ohm * (1.0 + avalanche)
    steep = shade.BREAKDOWN_exponent * avalanche / left / shade.BREAKDOWN_V
    return current, -grown / cell.ideality_V - (1.0 + avalanche + x * steep) / cell.shunt_ohm


_REVERSE_V = shade.BREAKDOWN_V * (1.0 - np.geomspace(1e-5, 1.0, 160))


def _cell_V(cell: Diode, grid_A: Reals) -> Reals:
    open_V = cell.ideality_V * np.log1p(cell.photo_A / cell.saturation_A)
    x_table = np.concatenate([_REVERSE_V[:-1], np.linspace(0.0, open_V + 4.0 * cell.ideality_V, 160)])
    i_table, _ = _current(cell, x_table)
    k = np.clip(np.searchsorted(-i_table, -grid_A), 1, x_table.size - 1)
    low, high = x_table[k - 1], x_table[k]
    span = i_table[k - 1] - i_table[k]
    x = np.clip(low + (i_table[k - 1] - grid_A) / span * (high - low), low, high)
    for _ in range(4):
        here, slope = _current(cell, x)
        x = np.clip(x - (here - grid_A) / slope, low, high)
    return np.asarray(x - grid_A * cell.series_ohm)


@dataclass(frozen=True, slots=True)
class Shapes:
    """Different pieces and zones among many modules, each kept once."""

    pieces: Reals
    """How many cells have each light, by different piece."""
    zones: NDArray[np.intp]
    """The pieces of each different zone."""
    zone_of: NDArray[np.intp]
    """Modules x zones: which zone it is."""


def shapes_of(counts: Counts) -> Shapes:
    """The different pieces and zones among the modules."""
    modules, zones, pieces, lights = counts.shape
    rows, which = np.unique(counts.reshape(-1, lights), axis=0, return_inverse=True)
    sets, zone_of = np.unique(np.sort(which.reshape(-1, pieces), axis=1), axis=0, return_inverse=True)
    return Shapes(rows, sets, zone_of.reshape(modules, zones))


def module_curves(build: Build, cells_V: Reals, shapes: Shapes, grid_A: Reals) -> Reals:
    """Voltage of each module (rows) over the grid."""
    pieces_V, sets = shapes.pieces @ cells_V, shapes.zones
    zones_V = pieces_V[sets[:, 0]] if sets.shape[1] == 1 else _joined(pieces_V, sets, grid_A)
    if build.bypass:
        zones_V = np.maximum(zones_V, -(shade.BYPASS_V + shade.BYPASS_ohm * np.maximum(grid_A, 0.0)))
    return np.asarray(sum(zones_V[z] for z in shapes.zone_of.T))


def _joined(pieces_V: Reals, sets: NDArray[np.intp], grid_A: Reals) -> Reals:
    """Pairs of pieces in parallel, each carrying its part of the current; two equal pieces are as one.

    Deeper than 2 V in reverse nothing is told apart: a bypass diode has long taken over there.
    """
    volts = np.linspace(-2.0, float(pieces_V.max()), 600)
    currents = np.array([np.interp(volts, p[::-1], grid_A[::-1]) for p in pieces_V])
    out = pieces_V[sets[:, 0]].copy()
    for row in np.flatnonzero(sets[:, 0] != sets[:, 1]):
        summed = currents[sets[row]].mean(axis=0)
        out[row] = np.interp(-grid_A, -summed, volts, right=-2.0)
    return out


def peaks_of(grid_A: Reals, volts: Reals) -> Peaks:
    """All maxima of power of one curve V(I) in the first quadrant; a curve that gives nothing has one of 0 W."""
    usable = (grid_A >= 0.0) & (volts > -1.0)
    i, v = grid_A[usable], volts[usable]
    p = i * v
    found = [k for k in range(1, p.size - 1) if p[k] > 0.0 and p[k] >= p[k - 1] and p[k] > p[k + 1]]
    points = [_crest(i, v, k) for k in found]
    return Peaks(tuple(sorted(points, key=lambda q: q.voltage_V)) or (Point(0.0, 0.0),))


def _crest(i: Reals, v: Reals, k: int) -> Point:
    """The top of the parabola of power through three neighbours."""
    a, b, c = (float(x) for x in i[k - 1 : k + 2])
    pa, pb, pc = (float(x) for x in (i * v)[k - 1 : k + 2])
    below = (b - a) * (pb - pc) - (b - c) * (pb - pa)
    top = b if below == 0.0 else b - 0.5 * ((b - a) ** 2 * (pb - pc) - (b - c) ** 2 * (pb - pa)) / below
    top = min(max(top, a), c)
    power = (
        pa * (top - b) * (top - c) / ((a - b) * (a - c))
        + pb * (top - a) * (top - c) / ((b - a) * (b - c))
        + pc * (top - a) * (top - b) / ((c - a) * (c - b))
    )
    return Point(power / top, top)


def best_W(grid_A: Reals, volts: Reals) -> Reals:
    """The largest power of each of many curves (rows): the global maximum at the grid, its top by a parabola."""
    power = np.where(grid_A >= 0.0, grid_A * volts, 0.0)
    k = np.clip(power.argmax(axis=1), 1, grid_A.size - 2)
    row = np.arange(len(power))
    a, b, c = grid_A[k - 1], grid_A[k], grid_A[k + 1]
    pa, pb, pc = power[row, k - 1], power[row, k], power[row, k + 1]
    below = (b - a) * (pb - pc) - (b - c) * (pb - pa)
    safe = np.where(below == 0.0, 1.0, below)
    top = np.where(below == 0.0, b, b - 0.5 * ((b - a) ** 2 * (pb - pc) - (b - c) ** 2 * (pb - pa)) / safe)
    top = np.clip(top, a, c)
    crest = (
        pa * (top - b) * (top - c) / ((a - b) * (a - c))
        + pb * (top - a) * (top - c) / ((b - a) * (b - c))
        + pc * (top - a) * (top - b) / ((c - a) * (c - b))
    )
    return np.asarray(np.maximum(crest, np.maximum(pb, 0.0)))


def poorest_W(grid_A: Reals, volts: Reals) -> Reals:
    """The smallest local maximum of power of each of many curves: where a controller rests that never looks about."""
    power = np.where(grid_A >= 0.0, grid_A * volts, 0.0)
    inner = power[:, 1:-1]
    top = (inner > 1e-9) & (inner >= power[:, :-2]) & (inner > power[:, 2:])
    lowest = np.where(top, inner, np.inf).min(axis=1)
    return np.asarray(np.minimum(lowest, best_W(grid_A, volts)))


def in_parallel(grid_A: Reals, strings_V: Reals) -> tuple[Reals, Reals]:
    """Voltage steps from 0 up, and the summed current there; no string takes current back (blocked or small)."""
    volts: Reals = np.unique(np.round(np.clip(strings_V, 0.0, None), 4)).astype(np.float64)
    if volts.size > 1500:
        volts = volts[np.unique(np.linspace(0, volts.size - 1, 1500).astype(int))]
    current = np.zeros_like(volts)
    for v in strings_V:
        current += np.maximum(np.interp(volts, v[::-1], grid_A[::-1], right=0.0), 0.0)
    return volts, current


def parallel_peaks(grid_A: Reals, strings_V: Reals) -> Peaks:
    """All maxima of power of strings in parallel."""
    volts, current = in_parallel(grid_A, strings_V)
    p = volts * current
    found = [k for k in range(1, p.size - 1) if p[k] > 0.0 and p[k] >= p[k - 1] and p[k] > p[k + 1]]
    swapped = [_crest(volts, current, k) for k in found]
    return Peaks(tuple(Point(q.current_A, q.voltage_V) for q in swapped) or (Point(0.0, 0.0),))


def current_at(grid_A: Reals, volts: Reals, voltage_V: float) -> float:
    """Current of a curve at a given voltage: what a plain switching controller takes at its battery's voltage."""
    return max(float(np.interp(voltage_V, volts[::-1], grid_A[::-1], right=0.0)), 0.0)
