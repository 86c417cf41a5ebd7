"""Five parameters of one diode from the numbers that a data sheet prints.

Unknown are ln a, ln R_s and ln G_sh; I_L and I_o follow exactly from the short-circuit current and the open-circuit
voltage, so those two always hold.  What is left is the current at the maximum power point, that it is a maximum,
and, with a small weight, the open-circuit voltage five kelvin colder.  Damped least squares (Levenberg 1944,
Marquardt 1963) from several starts inside bounds; a fit that misses the printed power is refused by name.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.physics.diode import (
    Diode,
    ModuleDiode,
    STANDARD_degC,
    diode_at,
    max_power_point,
    saturation_current_A,
)
from ohmwright.working import formula

#: A fit whose maximum power misses the printed one by more is refused; the linear energy model stands in.
POWER_SLACK_ratio = 0.005
_COLDER_K = 5.0
_WEIGHT = 0.003
#: Open-circuit voltage over modified ideality voltage: ideality 0.5 to 3.5 for 0.45 to 0.9 V a cell.
_STEEPNESS = (4.0, 75.0)
_STARTS = (
    (27.0, 0.30, 0.05), (22.0, 0.15, 0.05), (32.0, 0.55, 0.02),
    (18.0, 0.05, 0.30), (24.0, 0.40, 0.50), (12.0, 0.02, 0.60),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Printed:
    """What the data sheet says at 1000 W/m2 and 25 degC, with the coefficients of V_oc and I_sc by kelvin."""

    short_circuit_A: float
    open_circuit_V: float
    max_power_A: float
    max_power_V: float
    beta_V_per_K: float
    alpha_A_per_K: float = 0.0

    @property
    def power_W(self) -> float:
        """Power at the maximum power point as printed: I_mp times V_mp."""
        return self.max_power_A * self.max_power_V


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fit that holds, and by how much it misses."""

    module: ModuleDiode
    power_error_ratio: float
    """Maximum power of the fit over I_mp V_mp, less one."""
    beta_error_V_per_K: float
    """Coefficient of open-circuit voltage of the fit (over 5 K below 25 degC) less the printed one."""


@dataclass(frozen=True, slots=True)
class NotFitted:
    """No fit, and why.  The linear energy model (`physics.pv.module_power_W`) stands in for such a module."""

    why: str
    name: str


@lru_cache(maxsize=256)
def fit(printed: Printed) -> Fitted | NotFitted:
    """The five parameters, or a refusal by name; kept, for a rig has many modules of one page."""
    refusal = impossible(printed)
    if refusal is not None:
        return refusal
    best: tuple[float, tuple[float, float, float]] | None = None
    for start in _STARTS:
        found = _descend(printed, _placed(printed, start))
        if best is None or found[0] < best[0]:
            best = found
        if best[0] < 1e-12:
            break
    assert best is not None
    return _checked(printed, best[1])


def impossible(p: Printed) -> NotFitted | None:
    """Numbers that no module can have, named; None when they can be."""
    if not all(math.isfinite(v) for v in (p.short_circuit_A, p.open_circuit_V, p.max_power_A, p.max_power_V, p.beta_V_per_K)):  # fmt: skip
        return NotFitted("a figure is missing", "figure-missing")
    if not (0.0 < p.max_power_A < p.short_circuit_A):
        return NotFitted("the current at maximum power is not below the short-circuit current", "currents")
    if not (0.0 < p.max_power_V < p.open_circuit_V):
        return NotFitted("the voltage at maximum power is not below the open-circuit voltage", "voltages")
    fill = p.power_W / (p.short_circuit_A * p.open_circuit_V)
    if not 0.3 < fill < 0.9:
        return NotFitted("fill factor outside 0.3 to 0.9: figures of different modules or conditions", "fill-factor")  # fmt: skip
    if not -0.01 < p.beta_V_per_K / p.open_circuit_V < 0.0:
        return NotFitted("the coefficient of open-circuit voltage is not between -1 and 0 %/K", "beta")
    return None


def _limits(p: Printed) -> tuple[tuple[float, float], ...]:
    """Bounds of ln a, ln R_s, ln G_sh."""
    most_ohm = (p.open_circuit_V - p.max_power_V) / p.max_power_A
    most_siemens = (p.short_circuit_A - p.max_power_A) / p.max_power_V
    return (
        (math.log(p.open_circuit_V / _STEEPNESS[1]), math.log(p.open_circuit_V / _STEEPNESS[0])),
        (math.log(most_ohm) - 14.0, math.log(most_ohm)),
        (math.log(most_siemens) - 14.0, math.log(most_siemens)),
    )


def _placed(p: Printed, start: tuple[float, float, float]) -> tuple[float, float, float]:
    steep, part_ohm, part_siemens = start
    (_, _), (_, ohm), (_, siemens) = _limits(p)
    return (
        math.log(p.open_circuit_V / steep),
        ohm + math.log(part_ohm),
        siemens + math.log(part_siemens),
    )


def _diode_of(p: Printed, unknown: tuple[float, float, float]) -> Diode | None:
    """The five parameters with I_sc and V_oc exact; None where they cannot be met."""
    a, ohm, siemens = (math.exp(u) for u in unknown)
    rest = p.short_circuit_A * (1.0 + ohm * siemens) - p.open_circuit_V * siemens
    if rest <= 0.0:
        return None
    top, bottom = p.open_circuit_V / a, p.short_circuit_A * ohm / a
    if bottom >= top:
        return None
    saturation = rest * math.exp(-top) / (1.0 - math.exp(bottom - top))
    photo = saturation * math.expm1(top) + p.open_circuit_V * siemens
    return Diode(photo, saturation, ohm, 1.0 / siemens, a)


def _cold_open_V(p: Printed, d: Diode, target_V: float) -> float:
    """Open-circuit voltage five kelvin colder: four Newton steps from the printed one."""
    cold = STANDARD_degC - _COLDER_K
    photo = d.photo_A - p.alpha_A_per_K * _COLDER_K
    saturation = saturation_current_A(cold, d.saturation_A)
    a = d.ideality_V * (cold + 273.15) / 298.15
    x = target_V
    for _ in range(4):
        grown = saturation * math.exp(min(x / a, 700.0))
        x += (photo - grown + saturation - x / d.shunt_ohm) / (grown / a + 1.0 / d.shunt_ohm)
    return x


def _residuals(p: Printed, unknown: tuple[float, float, float]) -> tuple[float, float, float] | None:
    d = _diode_of(p, unknown)
    if d is None:
        return None
    x = p.max_power_V + p.max_power_A * d.series_ohm
    grown = d.saturation_A * math.exp(x / d.ideality_V)
    current = d.photo_A - grown + d.saturation_A - x / d.shunt_ohm
    siemens = grown / d.ideality_V + 1.0 / d.shunt_ohm
    slope = -siemens / (1.0 + siemens * d.series_ohm)
    fall_V = -p.beta_V_per_K * _COLDER_K
    cold_V = p.open_circuit_V + fall_V
    return (
        current / p.max_power_A - 1.0,
        1.0 + p.max_power_V / p.max_power_A * slope,
        _WEIGHT * (_cold_open_V(p, d, cold_V) - cold_V) / fall_V,
    )


def _sum(r: tuple[float, float, float]) -> float:
    return r[0] * r[0] + r[1] * r[1] + r[2] * r[2]


def _descend(p: Printed, start: tuple[float, float, float]) -> tuple[float, tuple[float, float, float]]:
    """Damped least squares inside the bounds: the sum of squares reached, and where."""
    limits = _limits(p)
    at = start
    now = _residuals(p, at)
    if now is None:
        return math.inf, at
    cost, damping = _sum(now), 1e-3
    for _ in range(120):
        columns = []
        for k in range(3):
            moved = list(at)
            h = 1e-6 if at[k] + 1e-6 < limits[k][1] else -1e-6
            moved[k] += h
            other = _residuals(p, (moved[0], moved[1], moved[2]))
            if other is None:
                return cost, at
            columns.append([(other[j] - now[j]) / h for j in range(3)])
        gradient = [sum(columns[k][j] * now[j] for j in range(3)) for k in range(3)]
        normal = [[sum(a * b for a, b in zip(columns[i], columns[k], strict=True)) for k in range(3)] for i in range(3)]  # fmt: skip
        better = False
        for _ in range(12):
            damped = [[normal[i][k] * (1.0 + damping if i == k else 1.0) + (1e-14 if i == k else 0.0) for k in range(3)] for i in range(3)]  # fmt: skip
            step = _solve(damped, [-g for g in gradient])
            tried_at = [min(max(at[k] + min(max(step[k], -2.0), 2.0), limits[k][0]), limits[k][1]) for k in range(3)]  # fmt: skip
            there = (tried_at[0], tried_at[1], tried_at[2])
            tried = _residuals(p, there)
            if tried is not None and _sum(tried) < cost:
                better = True
                break
            damping *= 6.0
        if not better or tried is None:
            break
        gained = cost - _sum(tried)
        at, now, cost, damping = there, tried, _sum(tried), max(damping / 8.0, 1e-12)
        if cost < 1e-20 or gained < 1e-10 * cost:
            break
    return cost, at


def _solve(m: list[list[float]], y: list[float]) -> list[float]:
    """Three equations, by Gauss with the largest pivot."""
    rows = [[*m[i], y[i]] for i in range(3)]
    for i in range(3):
        best = max(range(i, 3), key=lambda k: abs(rows[k][i]))
        rows[i], rows[best] = rows[best], rows[i]
        if rows[i][i] == 0.0:
            return [0.0, 0.0, 0.0]
        for k in range(i + 1, 3):
            part = rows[k][i] / rows[i][i]
            for j in range(i, 4):
                rows[k][j] -= part * rows[i][j]
    out = [0.0, 0.0, 0.0]
    for i in (2, 1, 0):
        out[i] = (rows[i][3] - sum(rows[i][j] * out[j] for j in range(i + 1, 3))) / rows[i][i]
    return out


def _checked(p: Printed, at: tuple[float, float, float]) -> Fitted | NotFitted:
    d = _diode_of(p, at)
    if d is None:
        return NotFitted("no start of the fit met the printed currents and voltages", "no-start")
    off = max_power_point(d).power_W / p.power_W - 1.0
    if not abs(off) <= POWER_SLACK_ratio:
        return NotFitted("one diode cannot carry these figures: its maximum power misses the printed one", "power-missed")  # fmt: skip
    cold_V = p.open_circuit_V - p.beta_V_per_K * _COLDER_K
    beta = (p.open_circuit_V - _cold_open_V(p, d, cold_V)) / _COLDER_K
    return Fitted(ModuleDiode(d, p.alpha_A_per_K), off, beta - p.beta_V_per_K)


@formula(
    "(1 + γ / 100 * (T - 25)) / r",
    symbol="k_γ",
    unit="1",
    falls=("fitted_ratio",),
    cell_degC="T",
    coefficient_percent_per_K="γ",
    fitted_ratio="r",
)
def printed_gamma_ratio(cell_degC: float, coefficient_percent_per_K: float, fitted_ratio: float) -> float:
    """Factor on the fit's power so that the printed power coefficient γ rules.

    r is the fit's maximum power at T over that at 25 degC, both at 1000 W/m2.  A one-diode fit to open-circuit
    voltage tends to be too good in the heat; the same purpose as the adjustment of Dobos, J. Sol. Energy Eng.
    134 (2012) 021011 (from memory).
    """
    return (1.0 + coefficient_percent_per_K / 100.0 * (cell_degC - 25.0)) / fitted_ratio


def ruled_power_W(
    module: ModuleDiode, irradiance_W_m2: float, cell_degC: float, coefficient_percent_per_K: float
) -> float:
    """Maximum power with the printed power coefficient ruling over the fit's own."""
    standard_W = max_power_point(diode_at(module, 1000.0, STANDARD_degC)).power_W
    fitted = max_power_point(diode_at(module, 1000.0, cell_degC)).power_W / standard_W
    made_W = max_power_point(diode_at(module, irradiance_W_m2, cell_degC)).power_W
    return made_W * printed_gamma_ratio(cell_degC, coefficient_percent_per_K, fitted)
