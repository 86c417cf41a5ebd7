"""Batches for the kernel: years of one rig."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import DTypeLike, NDArray

from ohmwright.energy.kernel import BY_YEAR, DAYS, KEPT, LANES, STEPS, Kernel, Reals
from ohmwright.energy.loop import HOURS
from ohmwright.energy.one_year import WHOLE_Wh

Daily: TypeAlias = NDArray[np.float64]
T = TypeVar("T")


def years_of_rig(
    kernel: Kernel,
    rows: Reals,
    rig: Sequence[float],
    skies: Reals,
    loads: Reals | Sequence[float],
    first_day: int,
    *,
    ladder: Reals | None = None,
    packed: Reals | None = None,
    dtype: DTypeLike = np.float64,
    workers: int = 1,
) -> Daily:
    """One rig through many years: `skies` (years, BY_YEAR, 8760) on top of rows by step (BY_HOUR); days of each year (years, 365, DAILY).

    `loads` is a factor for each year, or for each day of each year (years, 365); `ladder` by step (STEPS) what is given up first;
    `packed` the skies of a single block as `pack` makes them, where they are used more than once.
    """
    count = len(skies)
    if skies.shape[1:] != (len(BY_YEAR), HOURS) or len(loads) != count:
        raise ValueError("skies and loads must hold as many years")
    flat = np.ascontiguousarray(rows, dtype=dtype).ravel()
    own = _by_lane(np.repeat(np.array([rig], dtype=dtype), LANES, axis=0))
    share = np.array(loads, dtype=dtype)
    share = np.repeat(share[:, None], DAYS, axis=1) if share.ndim == 1 else share
    steps = np.zeros(len(rows) * STEPS) if ladder is None else ladder
    rungs = np.ascontiguousarray(steps, dtype=dtype).ravel()
    none = np.empty(0, dtype=dtype)

    def block(start: int) -> Daily:
        taken = _filled(start, count)
        sky = packed if packed is not None else pack(skies[taken], dtype)
        out = np.empty(DAYS * KEPT * LANES, dtype=dtype)
        kernel.years(flat, rungs, sky, _by_lane(share[taken]), own, first_day, out, none)
        return _days(out)[: min(LANES, count - start)]

    return np.concatenate(list(_over(block, range(0, count, LANES), workers)))


def charge_of_rig(
    kernel: Kernel, rows: Reals, rig: Sequence[float], skies: Reals, loads: Reals, first_day: int
) -> Daily:
    """What is in the bank at the end of each hour, as a share, of at most one block of years: (years, 8760)."""
    own = _by_lane(np.repeat(np.array([rig]), LANES, axis=0))
    out, charge = np.empty(DAYS * KEPT * LANES), np.empty(HOURS * LANES)
    rungs = np.zeros(len(rows) * STEPS)
    share = _by_lane(loads[_filled(0, len(loads))])
    kernel.years(rows.ravel(), rungs, pack(skies), share, own, first_day, out, charge)
    return charge.reshape(HOURS, LANES).T[: len(skies)]


def pack(skies: Reals, dtype: DTypeLike = np.float64) -> Reals:
    """At most one block of skies as the kernel reads them, the last year copied until the block is full."""
    taken = skies if len(skies) == LANES else skies[_filled(0, len(skies))]
    out: Reals = np.ascontiguousarray(taken.transpose(2, 1, 0), dtype=dtype).ravel()
    return out


def nights_of_rig(
    kernel: Kernel,
    rows: Reals,
    rig: Sequence[float],
    packed: Reals,
    loads: Reals,
    starts: Sequence[int],
    nights: int,
) -> NDArray[np.int64]:
    """Whole nights that each year lasts from each start day without outside power, at most `nights`: (years, starts)."""
    own = _by_lane(np.repeat(np.array([rig]), LANES, axis=0))
    out = np.empty(len(starts) * LANES)
    days = np.array(starts, dtype=np.int64)
    kernel.nights(
        rows.ravel(), packed, _by_lane(loads[_filled(0, len(loads))]), own, days, 24 * nights, WHOLE_Wh, out
    )
    return np.asarray(out.reshape(len(starts), LANES).T[: len(loads)] // 24, dtype=np.int64)


def _filled(start: int, count: int) -> NDArray[np.intp]:
    """The lanes of a block, the last one copied until the block is full."""
    return np.minimum(np.arange(start, start + LANES), count - 1)


def _by_lane(values: NDArray[Any]) -> NDArray[Any]:
    return np.ascontiguousarray(values.T).ravel()


def _days(out: NDArray[Any]) -> Daily:
    return out.reshape(DAYS, KEPT, LANES).transpose(2, 0, 1).astype(np.float64)


def _over(block: Callable[[int], T], starts: range, workers: int) -> Iterator[T]:
    if workers <= 1 or len(starts) == 1:
        yield from map(block, starts)
        return
    with ThreadPoolExecutor(workers) as pool:
        yield from pool.map(block, starts)
