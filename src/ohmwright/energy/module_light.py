"""How a module's efficiency changes with light and warmth: its single diode as a surface that an hour can afford.

The diode fitted to a page is solved on a grid of light and cell temperature; what the years use is a polynomial through
that grid (`physics.pv.light_ratio`), a twelfth of a solution's time and no table to look into.  At 1000 W/m2 the surface is 1 at every temperature,
so that there the printed power coefficient rules alone (`physics.diode_fit.ruled_power_W` is the same rule).
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ohmwright.physics.diode import ModuleDiode, diode_at, max_power_point
from ohmwright.physics.pv import light_ratio

#: The surface of a class, no one module: 0.984 of its efficiency at 200 W/m2 and 0.934 at 50, as one fitted diode had it.
CLASS_LIGHT = (-0.004098, 0.0, 0.0, -0.008723, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
#: Within this the surface is held to its diode; beyond it carries on.
FROM_W_m2, TO_W_m2, COLDEST_degC, HOTTEST_degC = 50.0, 1200.0, -25.0, 80.0
_GRID_W_m2 = (5.0, 10.0, 20.0, 50.0, 75.0, 120.0, 200.0, 350.0, 500.0, 700.0, 850.0, 1100.0, 1200.0)
_GRID_degC = (-25.0, 0.0, 25.0, 50.0, 80.0)
_TRIED_W_m2 = (50.0, 60.0, 90.0, 150.0, 270.0, 420.0, 600.0, 780.0, 950.0, 1150.0)
_TRIED_degC = (-20.0, -10.0, 10.0, 35.0, 65.0, 78.0)


@dataclass(frozen=True, slots=True)
class Light:
    """The twelve numbers of `light_ratio`, and the largest distance from the diode, of the power, within the bounds above."""

    numbers: tuple[float, ...]
    error_ratio: float


@lru_cache(maxsize=64)
def light_of(module: ModuleDiode) -> Light:
    """The surface of a fitted diode, and how far it lies from it between the points it was made of."""
    rows, wanted = [], []
    for cell in _GRID_degC:
        full = _power_W(module, 1000.0, cell)
        for sun in _GRID_W_m2:
            weight = min(1.0, sun / FROM_W_m2)
            x, t = math.log(sun / 1000.0), (cell - 25.0) / 50.0
            rows.append([weight * x**i * t**j for i in range(1, 5) for j in range(3)])
            wanted.append(weight * (_power_W(module, sun, cell) / full * 1000.0 / sun - 1.0))
    found, *_ = np.linalg.lstsq(np.array(rows), np.array(wanted))
    numbers = tuple(float(c) for c in found)
    off = max(
        abs(light_ratio(sun, cell, *numbers) / true_light_ratio(module, sun, cell) - 1.0)
        for sun in _TRIED_W_m2
        for cell in _TRIED_degC
    )
    return Light(numbers, off)


def true_light_ratio(module: ModuleDiode, sun_W_m2: float, cell_degC: float) -> float:
    """The same by solving the diode: efficiency over that at 1000 W/m2 and the same cell temperature."""
    return _power_W(module, sun_W_m2, cell_degC) / _power_W(module, 1000.0, cell_degC) * 1000.0 / sun_W_m2


def _power_W(module: ModuleDiode, sun_W_m2: float, cell_degC: float) -> float:
    return max_power_point(diode_at(module, sun_W_m2, cell_degC)).power_W
