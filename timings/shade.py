"""How fast shade is: fitting a module, one maximum, a shaded string, a year of a roof, beside pvlib in the same run.

    python timings/shade.py

Medians of interleaved rounds in processor time; each pair does the same work and prints how far the answers lie apart.
"""

import sys
import time
import warnings
from collections.abc import Callable
from statistics import median

import numpy as np
import pvlib

from ohmwright.physics import shade
from ohmwright.physics.diode import cell_of, diode_at, max_power_point
from ohmwright.physics.diode_fit import Fitted, Printed, fit
from ohmwright.rig.read import read_rig
from ohmwright.roof.array import shade_losses
from ohmwright.roof.curves import Build, cell_curves, current_grid, module_curves, peaks_of, shapes_of
from ohmwright.roof.patterns import kept_by_pattern
from ohmwright.roof.table import shade_table
from ohmwright.shelf.load import Shelf
from ohmwright.sky.spots import spot_at
from ohmwright.sky.weather import normal_year

ROUNDS = 7
SHEET = Printed(13.9, 37.1, 13.2, 31.0, -0.0027 * 37.1, 0.0005 * 13.9)
LIGHTS = np.array([1000.0, 640.0, 410.0, 90.0])
COUNTS = np.array([[[[17, 3, 0, 0]], [[20, 0, 0, 0]], [[10, 0, 6, 4]]], [[[20, 0, 0, 0]]] * 3], dtype=float)
RIG = """ohmwright: 1
job: {id: timing}
host:
  kind: trailer
  places:
    roof: {regime: outside, at: 0 0 2.9 m, outline: 6.2 x 2.3 m, plane: {tilt: 0 deg, faces: flat}, obstacles: {
      vent: {at: 2.05 0.5 m, size: 0.4 x 0.4 m, height: 0.12 m, open: 0.23 m}, mast: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: 2 m},
      rack: {at: 6.1 0.2 m, size: 0.1 x 1.8 m, height: 0.3 m}}}
parts:
  M: {is: module-410w, array: 3s1p, at: roof, laid: {1.1: 0.3 0.2 m, 1.2: 2.5 0.2 m, 1.3: 4.3 0.2 m}}
"""


def alternating(*works: Callable[[], float]) -> list[tuple[float, float]]:
    """Median milliseconds and the answer of each, taken in turn."""
    taken: list[list[float]] = [[] for _ in works]
    answers = [0.0] * len(works)
    for _ in range(ROUNDS):
        for k, work in enumerate(works):
            began = time.process_time()
            answers[k] = work()
            taken[k].append(1000 * (time.process_time() - began))
    return [(median(t), a) for t, a in zip(taken, answers, strict=True)]


def main() -> None:
    """Print the table."""
    warnings.simplefilter("ignore")
    found = fit(SHEET)
    assert isinstance(found, Fitted)
    module = found.module
    warm = diode_at(module, 800.0, 50.0)
    five = (warm.photo_A, warm.saturation_A, warm.series_ohm, warm.shunt_ohm, warm.ideality_V)
    grid = current_grid((module,), LIGHTS, 50.0)
    mesh = np.concatenate(
        [shade.BREAKDOWN_V * (1 - np.geomspace(1e-6, 1, 500)), np.linspace(0, 0.9, 900)[1:]]
    )

    def string_here() -> float:
        cells = cell_curves(module, 60, LIGHTS, 50.0, grid)
        volts = module_curves(Build(3, 1, 20), cells, shapes_of(COUNTS), grid)
        return peaks_of(grid, volts.sum(axis=0)).best.power_W

    def string_there() -> float:
        """Every cell of its own, as a reference would do it."""
        total = np.zeros_like(grid)
        for zone in COUNTS.reshape(-1, LIGHTS.size):
            volts = np.zeros_like(grid)
            for light, n in zip(LIGHTS, zone, strict=True):
                for _ in range(int(n)):
                    c = cell_of(diode_at(module, float(light), 50.0), 60)
                    i, v, _p = pvlib.singlediode.bishop88(
                        mesh, c.photo_A, c.saturation_A, c.series_ohm, c.shunt_ohm, c.ideality_V,
                        breakdown_factor=shade.BREAKDOWN_factor, breakdown_voltage=shade.BREAKDOWN_V, breakdown_exp=shade.BREAKDOWN_exponent,
                    )  # fmt: skip
                    volts += np.interp(grid, i[::-1], v[::-1])
            total += np.maximum(volts, -(shade.BYPASS_V + shade.BYPASS_ohm * np.maximum(grid, 0)))
        return float((grid * total).max())

    table = pvlib.pvsystem.retrieve_sam("CECMod")
    sheets = [table.iloc[:, k] for k in np.random.default_rng(1).choice(table.shape[1], 20, replace=False)]

    def fits_here() -> float:
        """How many of twenty sheets are met."""
        found = (
            fit(Printed(r.I_sc_ref, r.V_oc_ref, r.I_mp_ref, r.V_mp_ref, r.beta_oc, r.alpha_sc))
            for r in sheets
        )
        return float(sum(isinstance(f, Fitted) for f in found))

    def fits_there() -> float:
        met = 0
        for r in sheets:
            try:
                pvlib.ivtools.sdm.fit_desoto(
                    r.V_mp_ref, r.I_mp_ref, r.V_oc_ref, r.I_sc_ref, r.alpha_sc, r.beta_oc, r.N_s
                )
                met += 1
            except RuntimeError:
                continue
        return float(met)

    rig = read_rig(RIG, "rig.yaml", Shelf())
    weather = normal_year(spot_at(46.8, -92.1, 186.0))

    def year(*, again: bool) -> float:
        if not again:
            shade_table.cache_clear()
            kept_by_pattern.cache_clear()
        return shade_losses(rig, weather)[0].year.kept["as wired"]

    pairs = (
        ("maximum of one curve", lambda: max_power_point(warm).power_W, lambda: float(pvlib.singlediode.bishop88_mpp(*five)[2])),
        ("shaded string of 120 cells", string_here, string_there),
    )  # fmt: skip
    out = sys.stdout.write
    out(f"{'':34}{'ours':>10}{'pvlib ' + pvlib.__version__:>16}{'ratio':>8}{'apart':>11}\n")
    for name, ours, theirs in pairs:
        (a_ms, a), (b_ms, b) = alternating(ours, theirs)
        out(f"{name:34}{a_ms:8.3f}ms{b_ms:14.2f}ms{b_ms / max(a_ms, 1e-6):8.0f}{abs(a / b - 1):11.1e}\n")
    (a_ms, a), (b_ms, b) = alternating(fits_here, fits_there)
    out(
        f"{'five parameters of 20 sheets':34}{a_ms:8.1f}ms{b_ms:14.1f}ms{b_ms / a_ms:8.1f}   met {a:.0f} and {b:.0f}\n"
    )
    (first_ms, _), (later_ms, _) = alternating(lambda: year(again=False), lambda: year(again=True))
    out(f"{'year of 3 modules, 3 obstacles':34}{first_ms:8.0f}ms\n")
    out(f"{'the same roof in another weather':34}{later_ms:8.0f}ms\n")


if __name__ == "__main__":
    main()
