"""The same arithmetic compiled, for a process that stays warm: elimination, loads of fixed power, many networks.

Nothing here is imported by a compiler until `prepare` is called; until then everything runs in plain numbers.  The
compiled functions are the ones below as they stand: without `prepare` they run, slowly, and give the same answers.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Reals: TypeAlias = npt.NDArray[Any]
Whole: TypeAlias = npt.NDArray[np.int64]

#: Newton steps, and how close the volts must come as a share of the largest.
STEPS = 60
CLOSE = 1e-13
#: From so many loads on putting the volts found into v = e - Z (P / v) is tried before a step of Newton, which costs the
#: cube of their number, and is kept to as long as it leaves less than this part of what was amiss.
MANY, LIGHT_ratio = 24, 0.5


def factor(
    nodes: Whole, first: Whole, near: Whole, slots: Whole, first_pair: Whole, pairs: Whole, ends: Whole, edge_slots: Whole,
    size: int, slot_count: int, g: Reals,
) -> tuple[Reals, Reals, Reals, Reals]:  # fmt: skip
    """What is left on the nodes and in the slots, the pivots and the weights."""
    total, off = np.zeros(size, g.dtype), np.zeros(slot_count, g.dtype)
    d, w = np.zeros(len(nodes), g.dtype), np.zeros(len(near), g.dtype)
    for k in range(len(g)):
        a, b = ends[k, 0], ends[k, 1]
        if a != b:
            total[a] += g[k]
            total[b] += g[k]
            if edge_slots[k] >= 0:
                off[edge_slots[k]] += g[k]
    for s in range(len(nodes)):
        d[s] = total[nodes[s]]
        for m in range(first[s], first[s + 1]):
            w[m] = off[slots[m]] / d[s]
            total[near[m]] -= w[m] * off[slots[m]]
        for p in range(first_pair[s], first_pair[s + 1]):
            off[pairs[p, 0]] += w[pairs[p, 1]] * off[slots[pairs[p, 2]]]
    return total, off, d, w


def solve(nodes: Whole, first: Whole, near: Whole, d: Reals, w: Reals, kept: Whole, core: Reals, drive: Reals) -> Reals:  # fmt: skip
    """Node volts for currents driven into the nodes."""
    j = drive.copy()
    for s in range(len(nodes)):
        here = j[nodes[s]]
        for m in range(first[s], first[s + 1]):
            j[near[m]] += w[m] * here
    v = np.zeros(len(drive), drive.dtype)
    for i in range(len(kept)):
        for k in range(len(kept)):
            v[kept[i]] += core[i, k] * j[kept[k]]
    for s in range(len(nodes) - 1, -1, -1):
        here = j[nodes[s]] / d[s]
        for m in range(first[s], first[s + 1]):
            here += w[m] * v[near[m]]
        v[nodes[s]] = here
    return v


def solve_many(nodes: Whole, first: Whole, near: Whole, d: Reals, w: Reals, drive: Reals) -> Reals:
    """The same in place for many columns at once, where no node is kept and nothing is driven into those held at zero."""
    columns = drive.shape[1]
    for s in range(len(nodes)):
        here = drive[nodes[s]]
        for m in range(first[s], first[s + 1]):
            there, share = drive[near[m]], w[m]
            for c in range(columns):
                there[c] += share * here[c]
    for s in range(len(nodes) - 1, -1, -1):
        here, pivot = drive[nodes[s]], d[s]
        for c in range(columns):
            here[c] /= pivot
        for m in range(first[s], first[s + 1]):
            there, share = drive[near[m]], w[m]
            for c in range(columns):
                here[c] += share * there[c]
    return drive


def diagonal(
    nodes: Whole, first: Whole, near: Whole, slots: Whole, first_pair: Whole, pairs: Whole, d: Reals, w: Reals,
    size: int, slot_count: int,
) -> Reals:  # fmt: skip
    """Volts of every node per ampere into itself; see `Elimination.diagonal`."""
    own, mutual = np.zeros(size, d.dtype), np.zeros(slot_count, d.dtype)
    seen = np.zeros(len(near), d.dtype)
    for s in range(len(nodes) - 1, -1, -1):
        for m in range(first[s], first[s + 1]):
            seen[m] = w[m] * own[near[m]]
        for p in range(first_pair[s], first_pair[s + 1]):
            slot, m, n = pairs[p, 0], pairs[p, 1], pairs[p, 2]
            seen[m] += w[n] * mutual[slot]
            seen[n] += w[m] * mutual[slot]
        own[nodes[s]] = 1 / d[s]
        for m in range(first[s], first[s + 1]):
            mutual[slots[m]] = seen[m]
            own[nodes[s]] += w[m] * seen[m]
    return own


def settle(e: Reals, z: Reals, p: Reals) -> tuple[Reals, bool]:
    """Loads of fixed power at their ports: v = e - Z (p / v), by Newton with a line search; see `newton`."""
    n = len(e)
    v, tried, left, new_left = e.copy(), np.zeros(n), np.zeros(n), np.zeros(n)
    matrix, step = np.zeros((0, n)), np.zeros(n)
    scale = np.abs(e).max()
    size = _left(e, z, p, v, left)
    light = n >= MANY
    for _ in range(STEPS):
        if size <= CLOSE * scale:
            break
        if light:
            tried[:] = v - left
            light = bool((tried * e > 0).all())
            new_size = _left(e, z, p, tried, new_left) if light else size
            light = light and bool(new_size < LIGHT_ratio * size)
            if light:
                v[:] = tried
                left[:] = new_left
                size = new_size
                continue
        if not len(matrix):
            matrix = np.zeros((n, n))
        for i in range(n):
            step[i] = -left[i]
            for k in range(n):
                matrix[i, k] = -z[i, k] * (p[k] / (v[k] * v[k]))
            matrix[i, i] += 1.0
        if not _dense(matrix, step):
            return v, False
        share = 1.0
        while True:
            tried[:] = v + share * step
            if (tried * e > 0).all():
                new_size = _left(e, z, p, tried, new_left)
                if new_size < size or new_size <= CLOSE * scale:
                    break
            share /= 2
            if share < 1e-6:
                return v, size <= 1e-9 * scale
        v[:] = tried
        left[:] = new_left
        size = new_size
    return (v - left if light else v), size <= 1e-9 * scale


def _left(e: Reals, z: Reals, p: Reals, v: Reals, left: Reals) -> float:
    """What is left of v - e + Z (p / v) at some volts, and the largest of it; Z is the same seen from either port."""
    n = len(e)
    for i in range(n):
        left[i] = v[i] - e[i]
    for k in range(n):
        column, amps = z[k], p[k] / v[k]
        for i in range(n):
            left[i] += column[i] * amps
    most = 0.0
    for i in range(n):
        most = max(most, abs(left[i]))
    return most


def _dense(matrix: Reals, x: Reals) -> bool:
    """Gauss with row exchange, in place; False when a pivot vanishes."""
    n = len(x)
    for k in range(n):
        best = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[best, k]):
                best = i
        if matrix[best, k] == 0.0:
            return False
        if best != k:
            for c in range(n):
                matrix[k, c], matrix[best, c] = matrix[best, c], matrix[k, c]
            x[k], x[best] = x[best], x[k]
        for i in range(k + 1, n):
            f = matrix[i, k] / matrix[k, k]
            if f != 0.0:
                for c in range(k + 1, n):
                    matrix[i, c] -= f * matrix[k, c]
                x[i] -= f * x[k]
    for k in range(n - 1, -1, -1):
        for c in range(k + 1, n):
            x[k] -= matrix[k, c] * x[c]
        x[k] /= matrix[k, k]
    return True


def loaded(
    nodes: Whole, first: Whole, near: Whole, slots: Whole, first_pair: Whole, pairs: Whole, ends: Whole, edge_slots: Whole,
    size: int, slot_count: int, g: Reals, driven: Reals, held: Whole, ports: int, power: Reals,
) -> tuple[Reals, bool]:  # fmt: skip
    """All node volts of a network with loads of fixed power: Newton over the nodes, every step along the plan.

    The last `ports` edges are the loads: as conductances they hold -P / v^2, which is the slope of their current.
    """
    fixed = len(g) - ports
    now = g.copy()
    none, nothing = np.zeros(0, np.int64), np.zeros((0, 0))
    _, _, d, w = factor(nodes, first, near, slots, first_pair, pairs, ends, edge_slots, size, slot_count, now)
    v = solve(nodes, first, near, d, w, none, nothing, driven)
    left, tried, across = np.zeros(size), np.zeros(size), np.zeros(ports)
    for k in range(ports):
        across[k] = v[ends[fixed + k, 0]] - v[ends[fixed + k, 1]]
    last = 1e300
    for _ in range(STEPS):
        left[:] = driven
        most = 0.0
        for k in range(fixed):
            i = g[k] * (v[ends[k, 0]] - v[ends[k, 1]])
            left[ends[k, 0]] -= i
            left[ends[k, 1]] += i
        for k in range(ports):
            u = v[ends[fixed + k, 0]] - v[ends[fixed + k, 1]]
            i = power[k] / u if u != 0.0 else 0.0
            now[fixed + k] = -i / u if u != 0.0 else 0.0
            left[ends[fixed + k, 0]] -= i
            left[ends[fixed + k, 1]] += i
        for k in range(len(held)):
            left[held[k]] = 0.0
        _, _, d, w = factor(
            nodes, first, near, slots, first_pair, pairs, ends, edge_slots, size, slot_count, now
        )
        step = solve(nodes, first, near, d, w, none, nothing, left)
        scale = np.abs(v).max()
        share = 1.0
        while True:
            good = True
            for i in range(size):
                tried[i] = v[i] + share * step[i]
            for k in range(ports):
                u = tried[ends[fixed + k, 0]] - tried[ends[fixed + k, 1]]
                good = good and (power[k] == 0.0 or u * across[k] > 0)
            if good:
                break
            share /= 2
            if share < 1e-6:
                return v, False
        v[:] = tried
        most = np.abs(step).max()
        if not np.isfinite(most):
            return v, False
        if most <= 1e-15 * scale or (most <= 1e-11 * scale and most >= last):
            return v, True
        last = most
    return v, False


@dataclass(frozen=True, slots=True)
class Kernels:
    """The functions of this page, compiled."""

    factor: Callable[..., Any]
    solve: Callable[..., Any]
    solve_many: Callable[..., Any]
    diagonal: Callable[..., Any]
    settle: Callable[..., Any]
    loaded: Callable[..., Any]


_PREPARED: list[Kernels] = []


def kernels() -> Kernels | None:
    """The compiled functions, or None in a process that never asked for them."""
    return _PREPARED[0] if _PREPARED else None


def prepare(cache_dir: str = "") -> Kernels:
    """Compile, or take from `cache_dir` what was compiled before; from then on every network of this process runs compiled."""
    if not _PREPARED:
        _PREPARED.append(_compiled(cache_dir))
    return _PREPARED[0]


def _compiled(cache_dir: str) -> Kernels:
    import numba
    from numba.extending import register_jitable

    if cache_dir:
        numba.config.CACHE_DIR = f"{cache_dir}/circuit"  # type: ignore[attr-defined]  # made at import from its environment
    for part in (factor, solve, _dense, _left):
        register_jitable(error_model="numpy")(part)
    block = numba.njit(cache=bool(cache_dir), error_model="numpy", nogil=True)
    return Kernels(
        block(factor), block(solve), block(solve_many), block(diagonal), block(settle), block(loaded)
    )


def forget() -> None:
    """Back to plain numbers."""
    _PREPARED.clear()
