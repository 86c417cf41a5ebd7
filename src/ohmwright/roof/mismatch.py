"""Unequal modules and unequal light on one controller: what series, parallel and controllers of their own give.

Real curves with bypass diodes, so a poor module in series is either followed or bypassed, whichever gives more.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ohmwright.physics.diode import ModuleDiode, Point
from ohmwright.physics.diode_fit import NotFitted
from ohmwright.rig.diode import diode_of
from ohmwright.rig.model import Part, Rig
from ohmwright.roof.curves import (
    Build,
    Peaks,
    Reals,
    cell_curves,
    current_at,
    current_grid,
    in_parallel,
    module_curves,
    parallel_peaks,
    peaks_of,
    shapes_of,
)
from ohmwright.roof.layout import members_of
from ohmwright.roof.modules import cell_plan


@dataclass(frozen=True, slots=True)
class Lit:
    """A module evenly lit. `string` tells which modules hang in series."""

    id: str
    string: int
    diode: ModuleDiode
    build: Build
    light_W_m2: float


@dataclass(frozen=True, slots=True)
class Mismatch:
    """Largest power as wired, all in series, all in parallel, and each module on its own controller."""

    as_wired: Peaks
    series: Peaks
    parallel: Peaks
    separate_W: float

    @property
    def lost_ratio(self) -> float:
        """Part of what separate controllers would give that is lost as wired, at the global maximum."""
        return 1.0 - self.as_wired.best.power_W / self.separate_W if self.separate_W > 0.0 else 0.0


def lit_modules(rig: Rig, array: Part, lights_W_m2: Sequence[float] = ()) -> tuple[tuple[Lit, ...], tuple[str, ...]]:  # fmt: skip
    """The modules of an array under light of 1000 W/m2 or as given for each, and what keeps one from being counted."""
    out, unknown = [], []
    for k, part in enumerate(members_of(rig, array)):
        plan, gaps = cell_plan(part)
        found = diode_of(part)
        if isinstance(found, NotFitted):
            unknown.append(f"{part.id}: {found.why}")
        elif plan is None:
            unknown += [f"{m} is not known" for m in gaps.missing]
        else:
            light = lights_W_m2[k] if lights_W_m2 else 1000.0
            out.append(Lit(part.id, 1 + k // (array.per_string or 1), found.module, plan.build, light))
    return tuple(out), tuple(unknown)


def _curves(modules: Sequence[Lit], cell_degC: float) -> tuple[Reals, list[Reals]]:
    lights = np.array([m.light_W_m2 for m in modules])
    grid = current_grid(tuple(dict.fromkeys(m.diode for m in modules)), lights, cell_degC)
    out = []
    for m in modules:
        counts = np.full((1, m.build.zones, m.build.pieces, 1), float(m.build.cells))
        cells = cell_curves(m.diode, m.build.in_series, np.array([m.light_W_m2]), cell_degC, grid)
        out.append(module_curves(m.build, cells, shapes_of(counts), grid)[0])
    return grid, out


def _strings(modules: Sequence[Lit], curves: list[Reals]) -> Reals:
    return np.array(
        [
            np.sum([c for m, c in zip(modules, curves, strict=True) if m.string == s], axis=0)
            for s in dict.fromkeys(m.string for m in modules)
        ]
    )


def mismatch(modules: Sequence[Lit], cell_degC: float = 25.0) -> Mismatch:
    """One or more modules on one controller that looks for the maximum."""
    grid, curves = _curves(modules, cell_degC)
    strings = _strings(modules, curves)
    series = peaks_of(grid, np.sum(curves, axis=0))
    wired = peaks_of(grid, strings[0]) if len(strings) == 1 else parallel_peaks(grid, strings)
    return Mismatch(
        wired,
        series,
        parallel_peaks(grid, np.array(curves)),
        sum(peaks_of(grid, c).best.power_W for c in curves),
    )


def switched(modules: Sequence[Lit], bank_V: float, cell_degC: float = 25.0) -> Point:
    """Where a plain switching controller holds an array as wired: at its bank's voltage."""
    grid, curves = _curves(modules, cell_degC)
    strings = _strings(modules, curves)
    if len(strings) == 1:
        return Point(bank_V, current_at(grid, strings[0], bank_V))
    volts, current = in_parallel(grid, strings)
    return Point(bank_V, float(np.interp(bank_V, volts, current, right=0.0)))
