"""Loads of fixed power on a linear network, seen from their own terminals: v = e - Z i, i = P / v."""

from dataclasses import dataclass

import numpy as np

from ohmwright.circuit import fast
from ohmwright.circuit.elimination import Array
from ohmwright.working.quickly import quickly_made

STEPS = 60
CLOSE = 1e-13
#: The margin is sought up to here; a network that carries more is told as this.
LARGEST_MARGIN = 100.0
#: By how much of its open volts the weakest port falls from step to step.
NOSE_STEP = 0.1


@quickly_made
@dataclass(frozen=True, slots=True)
class Settled:
    """Volts across the ports and the currents they draw; `converged` False: the volts collapse."""

    volts: Array
    drawn: Array
    converged: bool


def settle_ports(open_V: Array, z: Array, power_W: Array) -> Settled:
    """Newton from open circuit with a line search on the residual: it follows the stable, higher-volts root.

    Many light loads settle without it: their volts are put in again and again, which from the open circuit comes down
    on the same root.  Power is in watts for direct current, in complex volt-amperes for phasors.
    """
    active = np.flatnonzero(power_W)
    drawn: Array = np.zeros_like(open_V)
    if not len(active):
        return Settled(open_V, drawn, True)
    e, inner, p = open_V[active], z[np.ix_(active, active)], power_W[active]
    if (np.abs(e) < 1e-9).any():
        return Settled(open_V, drawn, False)
    if np.iscomplexobj(z):
        v, converged = _phasors(e, inner, p)
    else:
        compiled = fast.kernels()
        v, converged = _direct(e, inner, p) if compiled is None else compiled.settle(e, inner, p)
    drawn[active] = np.conj(p / v)
    return Settled(open_V - z @ drawn, drawn, converged)


def _direct(e: Array, z: Array, p: Array) -> tuple[Array, bool]:
    v = e.astype(float)
    one = np.eye(len(v))
    scale = float(np.abs(e).max())
    left = v - e + z @ (p / v)
    size = float(np.abs(left).max())
    light = len(v) >= fast.MANY
    for _ in range(STEPS):
        if size <= CLOSE * scale:
            break
        if light:
            tried = v - left
            light = bool((tried * e > 0).all())
            new_left = tried - e + z @ (p / tried) if light else left
            new_size = float(np.abs(new_left).max())
            light = light and new_size < fast.LIGHT_ratio * size
            if light:
                v, left, size = tried, new_left, new_size
                continue
        try:
            step = np.linalg.solve(one - z * (p / (v * v)), -left)
        except np.linalg.LinAlgError:
            return v, False
        share = 1.0
        while True:
            tried = v + share * step
            if (tried * e > 0).all():
                new_left = tried - e + z @ (p / tried)
                new_size = float(np.abs(new_left).max())
                if new_size < size or new_size <= CLOSE * scale:
                    break
            share /= 2
            if share < 1e-6:
                return v, size <= 1e-9 * scale
        v, left, size = tried, new_left, new_size
    return v - left if light else v, size <= 1e-9 * scale


def _phasors(e: Array, z: Array, p: Array) -> tuple[Array, bool]:
    n = len(e)
    one, jacobian = np.eye(n), np.empty((2 * n, 2 * n))
    v = e.astype(complex)
    scale = float(np.abs(e).max())
    left = v - e + z @ np.conj(p / v)
    size = float(np.abs(left).max())
    for _ in range(STEPS):
        if size <= CLOSE * scale:
            break
        back = -z * np.conj(p / (v * v))
        jacobian[:n, :n], jacobian[:n, n:] = one + back.real, back.imag
        jacobian[n:, :n], jacobian[n:, n:] = back.imag, one - back.real
        try:
            step = np.linalg.solve(jacobian, -np.concatenate([left.real, left.imag]))
        except np.linalg.LinAlgError:
            return v, False
        whole = step[:n] + 1j * step[n:]
        share = 1.0
        while True:
            tried = v + share * whole
            new_left = tried - e + z @ np.conj(p / tried)
            new_size = float(np.abs(new_left).max())
            if new_size < size or new_size <= CLOSE * scale:
                break
            share /= 2
            if share < 1e-6:
                return v, size <= 1e-9 * scale
        v, left, size = tried, new_left, new_size
    return v, size <= 1e-9 * scale


def collapse_margin(open_V: Array, z: Array, power_W: Array, settled: Settled) -> float | None:
    """How many times the loads of fixed power could grow before no volts carry them; None without such loads."""
    found = collapse(open_V, z, power_W, settled)
    return None if found is None else found[0]


def collapse(open_V: Array, z: Array, power_W: Array, settled: Settled) -> tuple[float, int] | None:
    """The same with the port whose volts fall first.

    The growth is followed by letting the volts of the weakest port fall step by step and asking which growth
    belongs to them: that stays well set right over the nose, where the growth turns back.
    """
    ports = np.flatnonzero(power_W)
    if not len(ports):
        return None
    e, inner, p = open_V[ports], z[np.ix_(ports, ports)], power_W[ports]
    v, grown = (settled.volts[ports].astype(float), 1.0) if settled.converged else (e.astype(float), 0.0)
    walk = _Nose(e, inner, p)
    for _ in range(STEPS):
        k = walk.weakest(v, grown)
        lower = v.copy()
        lower[k] -= NOSE_STEP * abs(e[k]) * np.sign(v[k])
        found = walk.at(lower, grown, k) if lower[k] * e[k] > 0 else None
        if found is None:
            return _told(grown), int(ports[k])
        new_v, new_grown, slope = found
        if slope * np.sign(v[k]) >= 0:
            return _told(walk.top(v, grown, new_v, new_grown, k)), int(ports[k])
        v, grown = new_v, new_grown
        if grown >= LARGEST_MARGIN:
            return LARGEST_MARGIN, int(ports[k])
    return _told(grown), int(ports[k])


def _told(grown: float) -> float:
    return min(float(grown), LARGEST_MARGIN)


class _Nose:
    """The curve of volts against growth of all loads: v = e - grown Z (P / v)."""

    def __init__(self, e: Array, z: Array, p: Array) -> None:
        self.e, self.z, self.p = e, z, p
        self.one = np.eye(len(e))
        self.scale = float(np.abs(e).max())

    def weakest(self, v: Array, grown: float) -> int:
        """The port whose volts fall fastest, as a share, when everything grows."""
        falls = np.linalg.solve(self.one - grown * self.z * (self.p / (v * v)), self.z @ (self.p / v))
        return int(np.argmax(np.abs(falls / v)))

    def at(self, v: Array, grown: float, k: int) -> tuple[Array, float, float] | None:
        """Volts and growth for which port k stands at v[k], and how the growth moves with it."""
        v = v.copy()
        for _ in range(STEPS):
            left = v - self.e + grown * (self.z @ (self.p / v))
            matrix = self.one - grown * self.z * (self.p / (v * v))
            column = matrix[:, k].copy()
            matrix[:, k] = self.z @ (self.p / v)
            try:
                step = np.linalg.solve(matrix, np.column_stack([-left, -column]))
            except np.linalg.LinAlgError:
                return None
            if float(np.abs(left).max()) <= 1e-10 * self.scale:
                return v, grown, float(step[k, 1])
            change = step[:, 0].copy()
            grown += float(change[k])
            change[k] = 0.0
            v = v + change
            if not np.isfinite(grown) or (v * self.e <= 0).any():
                return None
        return None

    def top(self, high_v: Array, high: float, low_v: Array, low: float, k: int) -> float:
        """The growth at the nose, between a point before it and one behind it."""
        best = max(high, low)
        slopes = (self.slope(high_v, high, k), self.slope(low_v, low, k))
        for _ in range(40):
            share = slopes[0] / (slopes[0] - slopes[1]) if slopes[0] != slopes[1] else 0.5
            share = min(0.9, max(0.1, share))
            found = self.at(high_v + share * (low_v - high_v), high + share * (low - high), k)
            if found is None:
                return best
            v, grown, slope = found
            best = max(best, grown)
            if slope * np.sign(v[k]) >= 0:
                low_v, low, slopes = v, grown, (slopes[0], slope)
            else:
                high_v, high, slopes = v, grown, (slope, slopes[1])
            # The curve is flat here: a step of the volts counts by its square.
            if abs(slope) * self.scale < 1e-5 * best or abs(high_v[k] - low_v[k]) < 1e-5 * self.scale:
                break
        return best

    def slope(self, v: Array, grown: float, k: int) -> float:
        """How the growth moves with the volts of port k, at a point of the curve."""
        matrix = self.one - grown * self.z * (self.p / (v * v))
        column = matrix[:, k].copy()
        matrix[:, k] = self.z @ (self.p / v)
        return float(np.linalg.solve(matrix, -column)[k])
