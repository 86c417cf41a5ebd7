"""The search for the cheapest way compiled, for a process that stays warm.

Nothing here is imported by a compiler until `prepare` is called; until then `search.cheapest` runs in plain Python.
The function below looks at the same states in the same order and so finds the same way; it reads prices off the field
where it comes by, instead of making them for the whole sheet first.
"""

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Bytes: TypeAlias = npt.NDArray[np.uint8]
Whole: TypeAlias = npt.NDArray[np.int64]


def swept(
    blocked: Bytes, across: Bytes, along: Bytes, joint: Bytes, starts: Whole, goals: Whole, turns: Whole,
    stride: int, prices: tuple[int, int, int], limit: int,
) -> Whole:  # fmt: skip
    """The places of the cheapest way from a start to a goal; empty without one.

    blocked, across, along, joint   the layers of a field
    starts, goals   states: `place * 4 + direction`; directions are right, down, left, up
    turns           what turning costs at the least: goals to the right, none, to the left; the same downwards; direction
    prices          of a turn, of crossing a wire, of a step beside one
    """
    turn, crossing, beside = prices
    size = len(blocked) * 4
    best = np.full(size, 255, np.uint8)
    came = np.zeros(size, np.uint8)
    ends = np.zeros(size, np.uint8)
    left, right, top, foot = stride, 0, len(blocked), 0
    for key in goals:
        ends[key] = 1
        i, j = (key >> 2) % stride, (key >> 2) // stride
        left, right, top, foot = min(left, i), max(right, i), min(top, j), max(foot, j)
    head = np.full(limit + 1, -1, np.int64)
    after = np.empty(4096, np.int64)
    states = np.empty(4096, np.int64)
    noted = 0
    step = (1, stride, -1, -stride)
    for key in starts:
        i, j = (key >> 2) % stride, (key >> 2) // stride
        x, y = max(left - i, i - right, 0), max(top - j, j - foot, 0)
        at = (
            x
            + y
            + turns[
                (0 if i < left else 2 if i > right else 1), (0 if j < top else 2 if j > foot else 1), key & 3
            ]
        )
        if at <= limit:
            best[key] = 0
            states[noted], after[noted] = key, head[at]
            head[at] = noted
            noted += 1
    for f in range(limit + 1):
        while head[f] >= 0:
            key = states[head[f]]
            head[f] = after[head[f]]
            n, d = key >> 2, key & 3
            i, j = n % stride, n // stride
            cost = np.int64(best[key])
            x, y = max(left - i, i - right, 0), max(top - j, j - foot, 0)
            rest = (
                x
                + y
                + turns[
                    (0 if i < left else 2 if i > right else 1), (0 if j < top else 2 if j > foot else 1), d
                ]
            )
            if cost + rest != f:
                continue
            first = came[key] == 0
            if ends[key] and not first:
                long, at = 1, key
                while came[at]:
                    at = ((at >> 2) - step[at & 3]) * 4 + came[at] - 1
                    long += 1
                way, at = np.empty(long, np.int64), key
                for k in range(long - 1, -1, -1):
                    way[k] = at >> 2
                    if k:
                        at = ((at >> 2) - step[at & 3]) * 4 + came[at] - 1
                return way
            lies = along[n] if d == 0 or d == 2 else across[n]
            for turned in range(1 if first or lies else 3):
                nd = d if turned == 0 else (d + 1 if turned == 1 else d + 3) & 3
                m = n + step[nd]
                to = m * 4 + nd
                if ends[to]:
                    price = 1
                elif blocked[m]:
                    continue
                elif nd == 0 or nd == 2:
                    if across[m] or (along[m] and joint[m]):
                        continue
                    price = 1 + (crossing if along[m] else 0)
                    if across[m - stride] == 1 or across[m + stride] == 1:
                        price += beside
                else:
                    if along[m] or (across[m] and joint[m]):
                        continue
                    price = 1 + (crossing if across[m] else 0)
                    if along[m - 1] or along[m + 1]:
                        price += beside
                total = cost + price + (turn if turned else 0)
                if total >= best[to]:
                    continue
                i, j = m % stride, m // stride
                x, y = max(left - i, i - right, 0), max(top - j, j - foot, 0)
                at = (
                    total
                    + x
                    + y
                    + turns[
                        (0 if i < left else 2 if i > right else 1),
                        (0 if j < top else 2 if j > foot else 1),
                        nd,
                    ]
                )
                if at <= limit:
                    best[to] = total
                    came[to] = d + 1
                    if noted == len(states):
                        states = np.concatenate((states, np.empty(noted, np.int64)))
                        after = np.concatenate((after, np.empty(noted, np.int64)))
                    states[noted], after[noted] = to, head[at]
                    head[at] = noted
                    noted += 1
    return np.empty(0, np.int64)


_PREPARED: list[Callable[..., Any]] = []


def search() -> Callable[..., Any] | None:
    """The compiled search, or None in a process that never asked for it."""
    return _PREPARED[0] if _PREPARED else None


def prepare(cache_dir: str = "") -> Callable[..., Any]:
    """Compile, or take from `cache_dir` what was compiled before; from then on every way is found by it."""
    if not _PREPARED:
        import numba

        if cache_dir:
            numba.config.CACHE_DIR = f"{cache_dir}/drawing"  # type: ignore[attr-defined]  # made at import from its environment
        _PREPARED.append(numba.njit(cache=bool(cache_dir), error_model="numpy", nogil=True)(swept))
    return _PREPARED[0]


def forget() -> None:
    """Back to plain Python."""
    _PREPARED.clear()
