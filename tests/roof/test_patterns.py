"""From obstacles to power in one go: the patterns of a roof against every cell on its own by pvlib."""

from collections.abc import Callable

import numpy as np
import pvlib
import pytest
from tests.roof.conftest import FLAT

from ohmwright.physics import shade
from ohmwright.physics.diode import cell_of, diode_at
from ohmwright.rig.model import Rig
from ohmwright.roof.curves import Reals
from ohmwright.roof.layout import Laid, on_surface
from ohmwright.roof.patterns import SHARES, WORKED_degC, WORKED_W_m2, kept_by_pattern
from ohmwright.roof.table import DIRECTIONS, EIGHTHS, shade_table

Make = Callable[..., Rig]
I_A = np.linspace(0.0, 14.2, 3000)
SOME = "obstacles: {vent: {at: 2.05 0.5 m, size: 0.4 x 0.4 m, height: 0.3 m}, mast: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: 2 m}}"


def cell_curve(module: Laid, light: float) -> tuple[Reals, Reals]:
    """Current and voltage of a cell of the module's full current, falling current last."""
    c = cell_of(diode_at(module.diode, max(light, 0.5), WORKED_degC), module.cells.build.in_series)
    x = np.concatenate([shade.BREAKDOWN_V * (1 - np.geomspace(1e-6, 1, 800)), np.linspace(0, 0.9, 1500)[1:]])
    i, v, _ = pvlib.singlediode.bishop88(
        x, c.photo_A, c.saturation_A, c.series_ohm, c.shunt_ohm, c.ideality_V,
        breakdown_factor=shade.BREAKDOWN_factor, breakdown_voltage=shade.BREAKDOWN_V, breakdown_exp=shade.BREAKDOWN_exponent,
    )  # fmt: skip
    return i[::-1], v[::-1]


def brute_module(module: Laid, lights: Reals) -> Reals:
    """Voltage of a module over I_A, each of its cells (zones x pieces x cells) on its own."""
    out = np.zeros_like(I_A)
    around = np.linspace(-4.0, 14.2, 4000)
    for zone in lights:
        pieces = []
        for piece in zone:
            volts = np.zeros_like(around)
            for light in piece:
                volts += np.interp(around, *cell_curve(module, float(light)))
            pieces.append(volts)
        mesh = np.linspace(-3.0, 14.0, 4000)
        current = np.mean([np.interp(mesh, p[::-1], around[::-1]) for p in pieces], axis=0)
        zone_V = np.interp(I_A, current[::-1], mesh[::-1])
        out += np.maximum(zone_V, -(shade.BYPASS_V + shade.BYPASS_ohm * I_A))
    return out


def against_cells(rig: Rig, patterns: int) -> None:
    """So many directions of the sun, each with no and with two fifths diffuse light."""
    placed = on_surface(rig, rig.parts["M"])
    assert placed is not None
    table, kept = shade_table(placed), kept_by_pattern(placed)
    clear = max(len(placed.modules) * brute_module(placed.modules[0], np.full((3, 2, 18), WORKED_W_m2)) * I_A)
    hit = [
        d
        for d in range(DIRECTIONS)
        if max(table.mean_shaded(m)[d] for m in range(len(placed.modules))) > 0.01
    ]
    for d in np.random.default_rng(12).choice(hit, patterns, replace=False):
        for k in (0, 2):
            volts = []
            for module, e, seen in zip(placed.modules, table.eighths, table.seen_ratio, strict=True):
                lights = WORKED_W_m2 * ((1 - SHARES[k]) * (1 - e[d] / EIGHTHS) + SHARES[k] * seen)
                volts.append(brute_module(module, lights))
            series = (np.sum(volts, axis=0) * I_A).max() / clear
            separate = sum((v * I_A).max() for v in volts) / clear

            row = kept.pattern_of[d]
            assert kept.by_wiring["series"][row, k] == pytest.approx(series, rel=5e-3, abs=2e-3)
            assert kept.by_wiring["separate"][row, k] == pytest.approx(separate, rel=5e-3, abs=2e-3)


def test_power_of_two_patterns_is_that_of_all_cells_on_their_own(rig_of: Make) -> None:
    against_cells(rig_of(f"{FLAT}, {SOME}", "1.1: 0.3 0.2 m", array="1s1p"), 3)


@pytest.mark.slow
def test_power_of_patterns_is_that_of_all_cells_on_their_own(rig_of: Make) -> None:
    against_cells(rig_of(f"{FLAT}, {SOME}"), 60)
