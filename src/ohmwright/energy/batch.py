"""Batches for the kernel: rigs in one year, years of one rig."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import DTypeLike, NDArray

from ohmwright.energy.kernel import BY_YEAR, DAILY, DAYS, FACTORS, KEPT, LANES, STEPS, Kernel, Reals
from ohmwright.energy.loop import HOURS
from ohmwright.energy.one_year import WHOLE_Wh

Daily: TypeAlias = NDArray[np.float64]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Totals:
    """A year's totals by lane."""

    nights_lost: NDArray[np.int64]
    unserved_Wh: Daily
    array_Wh: Daily
    source_Wh: Daily
    load_Wh: Daily
    running_h: Daily
    soc_min: Daily

    @classmethod
    def of(cls, daily: Daily) -> "Totals":
        """Totals of a block of days: (lanes, days, DAILY)."""
        by = {name: daily[:, :, k] for k, name in enumerate(DAILY)}
        return cls(
            (by["unserved_Wh"] > WHOLE_Wh).sum(axis=1),
            by["unserved_Wh"].sum(axis=1),
            by["array_Wh"].sum(axis=1),
            by["source_Wh"].sum(axis=1),
            by["load_Wh"].sum(axis=1),
            by["running_h"].sum(axis=1),
            by["soc_min"].min(axis=1),
        )

    def first(self, count: int) -> "Totals":
        """The first lanes.  Sums are made of whole blocks, so that they never depend on how many are wanted."""
        return Totals(*(getattr(self, name)[:count] for name in self.__slots__))

    @classmethod
    def joined(cls, parts: Iterable["Totals"]) -> "Totals":
        """All lanes behind each other."""
        rows = [tuple(getattr(p, name) for name in cls.__slots__) for p in parts]
        return cls(*(np.concatenate(column) for column in zip(*rows, strict=True)))


def rigs_in_year(
    kernel: Kernel,
    rows: Reals,
    rigs: Sequence[Sequence[float]],
    factors: Sequence[Sequence[float]],
    first_day: int,
    *,
    dtype: DTypeLike = np.float64,
    workers: int = 1,
) -> Totals:
    """Many rigs through one year of rows (8760, BY_HOUR): each with its own numbers of `step.BY_RIG` and its factors on the hours."""
    flat = np.ascontiguousarray(rows, dtype=dtype).ravel()
    own = np.array(rigs, dtype=dtype)
    scaled = np.array(factors, dtype=dtype)
    if scaled.shape != (len(rigs), len(FACTORS)):
        raise ValueError("one line of factors is needed for each rig")

    def block(start: int) -> Totals:
        taken = _filled(start, len(rigs))
        out = np.empty(DAYS * KEPT * LANES, dtype=dtype)
        kernel.rigs(flat, _by_lane(scaled[taken]), _by_lane(own[taken]), first_day, out)
        return Totals.of(_days(out)).first(min(LANES, len(rigs) - start))

    return Totals.joined(_over(block, range(0, len(rigs), LANES), workers))


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
    """One rig through many years: `skies` (years, BY_YEAR, 8760) on top of rows (8760, BY_HOUR); days of each year (years, 365, DAILY).

    `loads` is a factor for each year, or for each day of each year (years, 365); `ladder` (8760, STEPS) what is given up first;
    `packed` the skies of a single block as `pack` makes them, where they are used more than once.
    """
    count = len(skies)
    if skies.shape[1:] != (len(BY_YEAR), HOURS) or len(loads) != count:
        raise ValueError("skies and loads must hold as many years")
    flat = np.ascontiguousarray(rows, dtype=dtype).ravel()
    own = _by_lane(np.repeat(np.array([rig], dtype=dtype), LANES, axis=0))
    share = np.array(loads, dtype=dtype)
    share = np.repeat(share[:, None], DAYS, axis=1) if share.ndim == 1 else share
    steps = np.zeros(HOURS * STEPS) if ladder is None else ladder
    rungs = np.ascontiguousarray(steps, dtype=dtype).ravel()

    def block(start: int) -> Daily:
        taken = _filled(start, count)
        sky = packed if packed is not None else pack(skies[taken], dtype)
        out = np.empty(DAYS * KEPT * LANES, dtype=dtype)
        kernel.years(flat, rungs, sky, _by_lane(share[taken]), own, first_day, out)
        return _days(out)[: min(LANES, count - start)]

    return np.concatenate(list(_over(block, range(0, count, LANES), workers)))


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
