"""What is left of an array's power for every pattern of shade and every share of diffuse light, in several wirings.

Power is taken as proportional to light within an hour: a pattern is worked at one light and one temperature, and its
share of the unshaded power is used at all.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.roof.curves import (
    Reals,
    Shapes,
    best_W,
    cell_curves,
    current_grid,
    module_curves,
    poorest_W,
    shapes_of,
)
from ohmwright.roof.layout import Laid, OnSurface
from ohmwright.roof.table import DIRECTIONS, EIGHTHS, shade_table

Wiring: TypeAlias = Literal["as wired", "series", "parallel", "separate", "poorest"]
WIRINGS: tuple[Wiring, ...] = ("as wired", "series", "parallel", "separate", "poorest")
#: Light and cell temperature at which patterns are worked.
WORKED_W_m2, WORKED_degC = 600.0, 45.0
#: Diffuse shares of the light at which patterns are worked; straight lines between.
SHARES = np.linspace(0.0, 1.0, 6)


@dataclass(frozen=True, slots=True)
class Kept:
    """By wiring: share of the unshaded power, patterns x diffuse shares; and the pattern of each direction.

    `string_light` is the mean light of each string's cells, patterns x shares x strings.
    """

    pattern_of: NDArray[np.intp]
    by_wiring: dict[Wiring, Reals]
    string_light: Reals


@lru_cache(maxsize=16)
def kept_by_pattern(placed: OnSurface) -> Kept:
    """All patterns of an array's table, worked once."""
    table = shade_table(placed)
    flat = np.concatenate([e.reshape(DIRECTIONS, -1) for e in table.eighths], axis=1)
    patterns, pattern_of = np.unique(flat, axis=0, return_inverse=True)
    counts = _counts(placed.modules, patterns)
    out: dict[Wiring, Reals] = {w: np.ones((len(patterns), SHARES.size)) for w in WIRINGS}
    light = np.ones((len(patterns), SHARES.size, len(set(placed.strings))))
    clear = _powers(placed, [_Module.of(_all_lit(c)) for c in counts], 0.0, (1.0,) * len(counts))
    modules = [_Module.of(c) for c in counts]
    for k, share in enumerate(SHARES):
        made = _powers(placed, modules, float(share), table.seen_ratio)
        for w in WIRINGS:
            out[w][:, k] = np.minimum(made[w] / clear[w][0], 1.0)
        light[:, k] = _string_light(placed, counts, float(share), table.seen_ratio)
    return Kept(pattern_of.reshape(-1), out, light)


@dataclass(frozen=True, slots=True)
class _Module:
    """The different ways in which one module is shaded, and which of them each pattern has."""

    shapes: Shapes
    which: NDArray[np.intp]

    @classmethod
    def of(cls, counts: Reals) -> "_Module":
        different, which = np.unique(counts.reshape(len(counts), -1), axis=0, return_inverse=True)
        return cls(shapes_of(different.reshape(-1, *counts.shape[1:])), which.reshape(-1))


def _counts(modules: tuple[Laid, ...], patterns: NDArray[np.uint8]) -> list[Reals]:
    """For each module: patterns x zones x pieces x eighths, how many cells have so many eighths in shadow."""
    out, start = [], 0
    for m in modules:
        b = m.cells.build
        size = b.zones * b.pieces * b.cells
        e = patterns[:, start : start + size].reshape(-1, b.zones, b.pieces, b.cells)
        out.append(np.stack([(e == k).sum(axis=-1) for k in range(EIGHTHS + 1)], axis=-1).astype(float))
        start += size
    return out


def _all_lit(counts: Reals) -> Reals:
    lit = np.zeros_like(counts[:1])
    lit[..., 0] = counts[:1].sum(axis=-1)
    return lit


def _lights(share: float, seen_ratio: float) -> Reals:
    """Light of a cell by eighths in shadow, as part of the unshaded light."""
    return np.asarray((1.0 - share) * (1.0 - np.arange(EIGHTHS + 1) / EIGHTHS) + share * seen_ratio)


def _string_light(placed: OnSurface, counts: list[Reals], share: float, seen: tuple[float, ...]) -> Reals:
    strings = sorted(set(placed.strings))
    out = np.zeros((len(counts[0]), len(strings)))
    cells = np.zeros(len(strings))
    for m, c, s in zip(placed.modules, counts, seen, strict=True):
        k = strings.index(m.string)
        out[:, k] += (c @ _lights(share, s)).sum(axis=(1, 2))
        cells[k] += c[0].sum()
    return out / cells


def _powers(
    placed: OnSurface, ways: list[_Module], share: float, seen: tuple[float, ...]
) -> dict[Wiring, Reals]:
    """Largest power of every pattern by wiring."""
    modules = placed.modules
    lights = [WORKED_W_m2 * _lights(share, s) for s in seen]
    diodes = tuple(dict.fromkeys(m.diode for m in modules))
    grid = current_grid(diodes, np.mean(lights, axis=0), WORKED_degC)
    curves, which = [], [w.which for w in ways]
    for m, way, e in zip(modules, ways, lights, strict=True):
        cells = cell_curves(m.diode, m.cells.build.in_series, e, WORKED_degC, grid)
        curves.append(module_curves(m.cells.build, cells, way.shapes, grid))
    separate = sum(best_W(grid, v)[i] for v, i in zip(curves, which, strict=True))
    groups = {s: [k for k, m in enumerate(modules) if m.string == s] for s in sorted(set(placed.strings))}
    strings = [_summed(curves, which, g) for g in groups.values()]
    series_V, series_of = (
        strings[0] if len(groups) == 1 else _summed(curves, which, list(range(len(modules))))
    )
    series = best_W(grid, series_V)[series_of]
    parallel = _parallel(grid, list(zip(curves, which, strict=True)))
    if len(strings) == 1:
        as_wired, poorest = series, poorest_W(grid, series_V)[series_of]
    else:
        as_wired, poorest = _parallel(grid, strings), _parallel(grid, strings, poorest=True)
    return {"as wired": as_wired, "series": series, "parallel": parallel, "separate": np.asarray(separate), "poorest": poorest}  # fmt: skip


def _summed(curves: list[Reals], which: list[NDArray[np.intp]], group: list[int]) -> tuple[Reals, NDArray[np.intp]]:  # fmt: skip
    """Modules in series: the different sums, and which of them each pattern has."""
    rows, index = np.unique(np.stack([which[k] for k in group], axis=1), axis=0, return_inverse=True)
    total = np.sum([curves[k][rows[:, j]] for j, k in enumerate(group)], axis=0)
    return np.asarray(total), index.reshape(-1)


def _parallel(grid: Reals, strings: list[tuple[Reals, NDArray[np.intp]]], *, poorest: bool = False) -> Reals:
    """Strings in parallel: currents added on one row of voltages."""
    top = max(float(v.max()) for v, _ in strings)
    volts = np.linspace(0.0, top, 500)
    rows, index = np.unique(np.stack([i for _, i in strings], axis=1), axis=0, return_inverse=True)
    current = np.zeros((len(rows), volts.size))
    for j, (curves, _) in enumerate(strings):
        each = np.array([np.interp(volts, v[::-1], grid[::-1], right=0.0) for v in curves])
        current += np.maximum(each, 0.0)[rows[:, j]]
    found = poorest_W(volts, current) if poorest else best_W(volts, current)
    return found[index.reshape(-1)]
