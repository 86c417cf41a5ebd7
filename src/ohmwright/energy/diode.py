"""A module's five single-diode numbers from its data sheet, checked afterwards, or refused."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ohmwright.physics.pv_diode import (
    dark_current_A,
    light_current_A,
    open_circuit_V,
    power_point_V_A,
    scale_at_V,
)

Floats = NDArray[np.float64]

#: What a fit may miss the data sheet's power by; the usual miss is far below.
POST_CHECK = 1e-3
#: The temperature coefficient of the open-circuit voltage is only a hint: heavier, it spoils the power.
HINT_WEIGHT = 0.003
HINT_K = -5.0
STARTS = tuple((n, r, g) for n in (1.0, 1.3) for r, g in ((0.3, 0.3), (0.6, 0.1), (0.1, 0.8)))
#: Open-circuit voltage over the scale: about 24 for silicon with an ideal diode; some printed
#: sheets are only met by twice as much.
LEAST_SCALES, MOST_SCALES = 6.0, 80.0
_ROUNDS = 80


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a data sheet prints at standard conditions; coefficients in %/K."""

    short_circuit_A: float
    open_circuit_V: float
    power_point_A: float
    power_point_V: float
    alpha_percent_per_K: float = 0.05
    beta_percent_per_K: float = -0.30
    gamma_percent_per_K: float = -0.38


@dataclass(frozen=True, slots=True)
class Diode:
    """A module as five numbers at standard conditions, with the sheet they were fitted to."""

    sheet: Sheet
    light_A: float
    dark_A: float
    series_ohm: float
    shunt_ohm: float
    scale_V: float

    def at(self, irradiance_W_m2: float, cell_degC: float) -> tuple[float, float, float, float, float]:
        """The five numbers at other light and temperature; shunt resistance goes against the light."""
        return (
            light_current_A(self.light_A, irradiance_W_m2, self.sheet.alpha_percent_per_K, cell_degC),
            dark_current_A(self.dark_A, cell_degC),
            self.series_ohm,
            self.shunt_ohm * 1000.0 / irradiance_W_m2,
            scale_at_V(self.scale_V, cell_degC),
        )

    def open_circuit_V(self, irradiance_W_m2: float, cell_degC: float) -> float:
        """Voltage without load."""
        light, dark, _, shunt, scale = self.at(irradiance_W_m2, cell_degC)
        return open_circuit_V(light, dark, shunt, scale)

    def power_point_V_A(self, irradiance_W_m2: float, cell_degC: float) -> tuple[float, float]:
        """Voltage and current at maximum power, as the five numbers have it."""
        return power_point_V_A(*self.at(irradiance_W_m2, cell_degC))

    def power_W(self, irradiance_W_m2: float, cell_degC: float) -> float:
        """Maximum power, with the data sheet's own coefficient in place of the one the fit came out with.

        De Soto's translation gives hot modules a few per cent too much.
        """
        volts, amps = self.power_point_V_A(irradiance_W_m2, cell_degC)
        v0, i0 = self.power_point_V_A(1000.0, 25.0)
        v1, i1 = self.power_point_V_A(1000.0, cell_degC)
        wanted = 1.0 + self.sheet.gamma_percent_per_K / 100.0 * (cell_degC - 25.0)
        return volts * amps * wanted / (v1 * i1 / (v0 * i0))


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a data sheet has no five numbers: the plain energy model stands in for it."""

    reason: str


@lru_cache(maxsize=256)
def fit(sheet: Sheet) -> Diode | Refusal:
    """The five numbers of a data sheet, or why there are none whose maximum power is the sheet's.

    Short-circuit current and open-circuit voltage hold exactly: photocurrent and saturation current are worked out from
    them.  The three left are found by damped Gauss-Newton from six starts, on the current at the power point, on the
    power being flat there, and a little on the temperature coefficient of the open-circuit voltage.
    """
    if not _sane(sheet):
        return Refusal(
            "a power point must lie inside short-circuit current and open-circuit voltage, which must fall with heat"
        )
    best: tuple[float, Diode] | None = None
    for n, r, g in STARTS:
        x = np.log([
            n * sheet.open_circuit_V / 24.5,
            r * (sheet.open_circuit_V - sheet.power_point_V) / sheet.power_point_A,
            g * max(sheet.short_circuit_A - sheet.power_point_A, 1e-3 * sheet.short_circuit_A) / sheet.power_point_V,
        ])  # fmt: skip
        found, cost = _descend(x, sheet)
        diode = _diode(found, sheet)
        if diode is not None and (best is None or cost < best[0]):
            best = (cost, diode)
            if cost < 1e-12:
                break
    if best is None or misses(best[1]) > POST_CHECK:
        return Refusal(
            "no single diode has a curve as square as this data sheet's: one of its four figures may be mistyped"
        )
    return best[1]


def misses(diode: Diode) -> float:
    """By what part the fitted maximum power misses the sheet's."""
    volts, amps = diode.power_point_V_A(1000.0, 25.0)
    return abs(volts * amps / (diode.sheet.power_point_V * diode.sheet.power_point_A) - 1.0)


def _sane(s: Sheet) -> bool:
    return (
        0.0 < s.power_point_A < s.short_circuit_A
        and 0.0 < s.power_point_V < s.open_circuit_V
        and s.beta_percent_per_K < 0.0
    )


def _diode(x: Floats, s: Sheet) -> Diode | None:
    scale, series, shunt = (math.exp(v) for v in x)
    if not LEAST_SCALES < s.open_circuit_V / scale < MOST_SCALES:
        return None
    spread = math.expm1(s.open_circuit_V / scale) - math.expm1(s.short_circuit_A * series / scale)
    if spread <= 0.0:
        return None
    dark = (s.short_circuit_A * (1.0 + series * shunt) - s.open_circuit_V * shunt) / spread
    light = dark * math.expm1(s.open_circuit_V / scale) + s.open_circuit_V * shunt
    if dark <= 0.0 or light <= 0.0:
        return None
    return Diode(s, light, dark, series, 1.0 / shunt, scale)


def _residuals(x: Floats, s: Sheet) -> Floats:
    diode = _diode(x, s)
    if diode is None:
        return np.full(3, 1e3)
    inner = s.power_point_V + s.power_point_A * diode.series_ohm
    growth = diode.dark_A * math.exp(inner / diode.scale_V)
    current = diode.light_A - (growth - diode.dark_A) - inner / diode.shunt_ohm - s.power_point_A
    slope = growth / diode.scale_V + 1.0 / diode.shunt_ohm
    flat = s.power_point_A - s.power_point_V * slope / (1.0 + slope * diode.series_ohm)
    cold = diode.open_circuit_V(1000.0, 25.0 + HINT_K)
    hint = cold / s.open_circuit_V - (1.0 + s.beta_percent_per_K / 100.0 * HINT_K)
    return np.array(
        [
            current / s.short_circuit_A,
            flat / s.short_circuit_A,
            HINT_WEIGHT * hint / abs(s.beta_percent_per_K / 100.0 * HINT_K),
        ]
    )


def _descend(x: Floats, s: Sheet) -> tuple[Floats, float]:
    """Levenberg's damped steps with differences for the slopes."""
    r = _residuals(x, s)
    cost, damping = float(r @ r), 1e-2
    for _ in range(_ROUNDS):
        slopes = np.empty((3, 3))
        for k in range(3):
            moved = x.copy()
            moved[k] += 1e-6
            slopes[:, k] = (_residuals(moved, s) - r) / 1e-6
        normal, pull = slopes.T @ slopes, slopes.T @ r
        while damping < 1e8:
            step = np.linalg.solve(normal + damping * (np.diag(np.diag(normal)) + 1e-12 * np.eye(3)), -pull)
            trial = x + np.clip(step, -1.0, 1.0)
            moved_r = _residuals(trial, s)
            moved_cost = float(moved_r @ moved_r)
            if moved_cost < cost:
                break
            damping *= 4.0
        else:
            break
        done = cost - moved_cost <= 1e-10 * cost
        x, r, cost, damping = trial, moved_r, moved_cost, max(damping / 6.0, 1e-12)
        if done or cost < 1e-20:
            break
    return x, cost
