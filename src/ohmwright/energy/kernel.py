"""Many years and many rigs at once: the hour's arithmetic compiled, thirty-two lanes abreast.

A lane is one rig in one year.  Lanes never touch: no sum runs across them, a short batch is filled up with copies of
its last lane, so an answer does not depend on what else is in the batch or on how many threads run it.  In double
precision the compiled hour is the plain loop's to the last bit; single precision would be for screening only, and nothing
screens (decision 0033): it is timed, and held to a thousandth in the tests.

Nothing is compiled until `prepare` is called; it keeps the machine code in a folder named after all the sources
that went into it, because the compiler's own cache does not see a change in a function that is called.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy import warmth
from ohmwright.energy.beside import store_hour, stores_block
from ohmwright.energy.sky_blocks import banks_block, planes_block, trackers_block
from ohmwright.energy.step import BY_HOUR, BY_RIG, hour, kept_charge_ratio
from ohmwright.physics.bank import (
    at_hand_after_Ah,
    cold_resistance_factor,
    rest_V,
    stiffening_taper_A,
    wells_give_A,
    wells_take_A,
)
from ohmwright.physics.converter import bank_current_A, converter_in_W
from ohmwright.working import packaged, packaged_names

Reals: TypeAlias = NDArray[np.floating[Any]]

LANES = 32
DAYS = 365
COLUMNS = len(BY_HOUR)
ZERO = len(BY_RIG) - 1
#: What is kept of each day, in this order: sums in Wh, hours the generator ran, charge put in, what charger and bank
#: lost, what stayed, what of the unserved went beyond each step of the ladder, least state of charge.
DAILY = (
    "unserved_Wh", "array_Wh", "bus_Wh", "source_Wh", "load_Wh", "running_h", "charged_Wh", "lost_Wh", "stored_Wh",
    "beyond_can_go_Wh", "beyond_normal_Wh", "beyond_first_Wh", "soc_min",
)  # fmt: skip
STEPS = 3
DUSK_h, HOURS_A_YEAR = 18, 8760
KEPT = len(DAILY)
LEAST = KEPT - 1
#: What follows the weather and so differs by lane in a batch of years; heat comes on top of the loads.
BY_YEAR = ("array_W", "resistance_ohm", "charge_A", "discharge_A", "heat_W")
SOURCES = ("ohmwright.physics", "ohmwright.energy")
_LEAVES = (
    rest_V,
    stiffening_taper_A,
    at_hand_after_Ah,
    wells_give_A,
    wells_take_A,
    bank_current_A,
    converter_in_W,
    kept_charge_ratio,
    hour,
)


def years_block(
    rows: Reals,
    ladder: Reals,
    skies: Reals,
    loads: Reals,
    rig: Reals,
    first_day: int,
    out: Reals,
    charge: Reals,
) -> None:
    """Thirty-two years of one rig; `skies` holds BY_YEAR by hour, `loads` a factor by day, each for all lanes.

    `rows` and `ladder` are by step, an hour or a whole part of one, and `rig` is made for that step (`loop.by_rig`).  `charge`, where it
    is not empty, is filled with what is in the bank at the end of each hour, as a share.
    """
    parts = rows.size // (COLUMNS * HOURS_A_YEAR)
    hand = np.empty(LANES, rig.dtype)
    total = np.empty(LANES, rig.dtype)
    running = np.empty(LANES, rig.dtype)
    waiting = np.empty(LANES, rig.dtype)
    down = np.empty(LANES, rig.dtype)
    sums = np.empty(KEPT * LANES, rig.dtype)
    for lane in range(LANES):
        total[lane] = rig[lane]
        hand[lane] = rig[LANES + lane]
        running[lane] = rig[ZERO * LANES + lane]
        waiting[lane] = rig[ZERO * LANES + lane]
        down[lane] = rig[ZERO * LANES + lane]
    for step in range(DAYS):
        day = (first_day + step) % DAYS
        for lane in range(LANES):
            zero = rig[ZERO * LANES + lane]
            for k in range(KEPT - 1):
                sums[k * LANES + lane] = zero
            sums[LEAST * LANES + lane] = total[lane]
        for t in range(24 * day, 24 * day + 24):
            for step_row in range(t * parts, t * parts + parts):
                row = step_row * COLUMNS
                dc_W, ac_W, idle_W = rows[row + 1], rows[row + 2], rows[row + 3]
                supply_W, bus_W, may_run_ratio = rows[row + 4], rows[row + 5], rows[row + 6]
                rung = STEPS * step_row
                can_go_W, normal_W, first_W = ladder[rung], ladder[rung + 1], ladder[rung + 2]
                for lane in range(LANES):
                    hand_Ah, total_Ah, run_h, waits, off_V, array_Wh, bus_Wh, source_Wh, load_Wh, unserved_Wh, charger_lost_Wh, bank_lost_Wh, stored_Wh = hour(
                        hand[lane], total[lane], running[lane], waiting[lane], down[lane],
                        skies[5 * t * LANES + lane], dc_W * loads[day * LANES + lane] + skies[(5 * t + 4) * LANES + lane], ac_W * loads[day * LANES + lane],
                        idle_W, supply_W, bus_W, may_run_ratio,
                        skies[(5 * t + 1) * LANES + lane], skies[(5 * t + 2) * LANES + lane], skies[(5 * t + 3) * LANES + lane],
                        rig[lane], rig[1 * LANES + lane], rig[2 * LANES + lane], rig[3 * LANES + lane], rig[4 * LANES + lane], rig[5 * LANES + lane], rig[6 * LANES + lane], rig[7 * LANES + lane], rig[8 * LANES + lane], rig[9 * LANES + lane], rig[10 * LANES + lane], rig[11 * LANES + lane], rig[12 * LANES + lane], rig[13 * LANES + lane], rig[14 * LANES + lane], rig[15 * LANES + lane], rig[16 * LANES + lane], rig[17 * LANES + lane], rig[18 * LANES + lane], rig[19 * LANES + lane], rig[20 * LANES + lane], rig[21 * LANES + lane], rig[22 * LANES + lane], rig[23 * LANES + lane], rig[24 * LANES + lane], rig[25 * LANES + lane], rig[26 * LANES + lane], rig[27 * LANES + lane], rig[28 * LANES + lane], rig[29 * LANES + lane], rig[30 * LANES + lane], rig[31 * LANES + lane], rig[32 * LANES + lane], rig[33 * LANES + lane], rig[34 * LANES + lane], rig[35 * LANES + lane], rig[36 * LANES + lane], rig[37 * LANES + lane], rig[38 * LANES + lane], rig[39 * LANES + lane], rig[40 * LANES + lane], rig[41 * LANES + lane], rig[42 * LANES + lane], rig[43 * LANES + lane], rig[44 * LANES + lane], rig[45 * LANES + lane], rig[46 * LANES + lane], rig[47 * LANES + lane], rig[48 * LANES + lane], rig[49 * LANES + lane], rig[50 * LANES + lane], rig[51 * LANES + lane], rig[52 * LANES + lane],
                    )  # fmt: skip
                    hand[lane] = hand_Ah
                    total[lane] = total_Ah
                    waiting[lane] = waits
                    down[lane] = off_V
                    sums[lane] += unserved_Wh
                    sums[LANES + lane] += array_Wh
                    sums[2 * LANES + lane] += bus_Wh
                    sums[3 * LANES + lane] += source_Wh
                    sums[4 * LANES + lane] += load_Wh
                    zero = rig[ZERO * LANES + lane]
                    sums[5 * LANES + lane] += max(zero, run_h - running[lane])
                    running[lane] = run_h
                    sums[6 * LANES + lane] += max(zero, stored_Wh)
                    sums[7 * LANES + lane] += charger_lost_Wh + bank_lost_Wh
                    sums[8 * LANES + lane] += stored_Wh
                    use = loads[day * LANES + lane]
                    sums[9 * LANES + lane] += max(zero, unserved_Wh - can_go_W * use)
                    sums[10 * LANES + lane] += max(zero, unserved_Wh - normal_W * use)
                    sums[11 * LANES + lane] += max(zero, unserved_Wh - first_W * use)
                    least = sums[LEAST * LANES + lane]
                    sums[LEAST * LANES + lane] = min(least, total_Ah)
            if charge.size > 0:
                for lane in range(LANES):
                    charge[t * LANES + lane] = total[lane] / rig[lane]
        for lane in range(LANES):
            sums[LEAST * LANES + lane] /= rig[lane]
            if parts > 1:
                for k in range(KEPT - 1):
                    sums[k * LANES + lane] /= parts
        for k in range(KEPT):
            for lane in range(LANES):
                out[(day * KEPT + k) * LANES + lane] = sums[k * LANES + lane]


def nights_block(
    rows: Reals,
    skies: Reals,
    loads: Reals,
    rig: Reals,
    starts: NDArray[np.int64],
    hours: int,
    limit_Wh: float,
    out: Reals,
) -> None:
    """How many hours thirty-two years last from a full bank at 18:00 of each of `starts` without outside power, at most `hours`."""
    parts = rows.size // (COLUMNS * HOURS_A_YEAR)
    hand = np.empty(LANES, rig.dtype)
    total = np.empty(LANES, rig.dtype)
    waiting = np.empty(LANES, rig.dtype)
    down = np.empty(LANES, rig.dtype)
    lacking = np.empty(LANES, rig.dtype)
    for s in range(starts.size):
        for lane in range(LANES):
            total[lane] = rig[lane]
            hand[lane] = rig[LANES + lane]
            waiting[lane] = rig[ZERO * LANES + lane]
            down[lane] = rig[ZERO * LANES + lane]
            out[s * LANES + lane] = hours
        for k in range(hours):
            t = (24 * starts[s] + DUSK_h + k) % HOURS_A_YEAR
            day = t // 24
            for lane in range(LANES):
                lacking[lane] = rig[ZERO * LANES + lane]
            for step_row in range(t * parts, t * parts + parts):
                row = step_row * COLUMNS
                for lane in range(LANES):
                    zero = rig[ZERO * LANES + lane]
                    hand_Ah, total_Ah, _, waits, off_V, _, _, _, _, unserved_Wh, _, _, _ = hour(
                        hand[lane], total[lane], zero, waiting[lane], down[lane],
                        skies[5 * t * LANES + lane], rows[row + 1] * loads[day * LANES + lane] + skies[(5 * t + 4) * LANES + lane], rows[row + 2] * loads[day * LANES + lane],
                        rows[row + 3], zero, zero, zero,
                        skies[(5 * t + 1) * LANES + lane], skies[(5 * t + 2) * LANES + lane], skies[(5 * t + 3) * LANES + lane],
                        rig[lane], rig[1 * LANES + lane], rig[2 * LANES + lane], rig[3 * LANES + lane], rig[4 * LANES + lane], rig[5 * LANES + lane], rig[6 * LANES + lane], rig[7 * LANES + lane], rig[8 * LANES + lane], rig[9 * LANES + lane], rig[10 * LANES + lane], rig[11 * LANES + lane], rig[12 * LANES + lane], rig[13 * LANES + lane], rig[14 * LANES + lane], rig[15 * LANES + lane], rig[16 * LANES + lane], rig[17 * LANES + lane], rig[18 * LANES + lane], rig[19 * LANES + lane], rig[20 * LANES + lane], rig[21 * LANES + lane], rig[22 * LANES + lane], rig[23 * LANES + lane], rig[24 * LANES + lane], rig[25 * LANES + lane], rig[26 * LANES + lane], rig[27 * LANES + lane], rig[28 * LANES + lane], rig[29 * LANES + lane], rig[30 * LANES + lane], rig[31 * LANES + lane], rig[32 * LANES + lane], rig[33 * LANES + lane], rig[34 * LANES + lane], rig[35 * LANES + lane], rig[36 * LANES + lane], rig[37 * LANES + lane], rig[38 * LANES + lane], rig[39 * LANES + lane], rig[40 * LANES + lane], rig[41 * LANES + lane], rig[42 * LANES + lane], rig[43 * LANES + lane], rig[44 * LANES + lane], rig[45 * LANES + lane], rig[46 * LANES + lane], rig[47 * LANES + lane], rig[48 * LANES + lane], rig[49 * LANES + lane], rig[50 * LANES + lane], rig[51 * LANES + lane], rig[52 * LANES + lane],
                    )  # fmt: skip
                    hand[lane] = hand_Ah
                    total[lane] = total_Ah
                    waiting[lane] = waits
                    down[lane] = off_V
                    lacking[lane] += unserved_Wh
            for lane in range(LANES):
                if lacking[lane] > limit_Wh * parts:
                    out[s * LANES + lane] = min(out[s * LANES + lane], k)


@lru_cache(maxsize=1)
def source_hash() -> str:
    """A short hash of every source that is compiled, and of the compiler."""
    import numba

    digest = hashlib.sha256(f"numba {numba.__version__} numpy {np.__version__}".encode())
    for package in SOURCES:
        for name in packaged_names(package, ".py"):
            digest.update(name.encode())
            digest.update(packaged(package, name))
    return digest.hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Kernel:
    """The compiled blocks."""

    years: Callable[[Reals, Reals, Reals, Reals, Reals, int, Reals, Reals], None]
    nights: Callable[[Reals, Reals, Reals, Reals, NDArray[np.int64], int, float, Reals], None]
    planes: Callable[
        [Reals, Reals, Reals, float, tuple[float, ...], tuple[float, ...], float, Reals, Reals], None
    ]
    trackers: Callable[[Reals, Reals, tuple[float, ...], Reals, Reals, Reals, tuple[float, ...], Reals], None]
    banks: Callable[[Reals, Reals, Reals, tuple[float, ...], tuple[float, ...], Reals], None]
    stores: Callable[[Reals, Reals, Reals, tuple[float, ...], int, Reals], None]


_PREPARED: list[Kernel] = []


def prepare(cache_dir: str = "") -> Kernel:
    """Compile, or take from `cache_dir` what was compiled of the same sources; without a folder nothing is kept.

    Once prepared, the same kernel is handed out again, whatever folder is named.  The first block of each kind and
    precision takes seconds to compile.
    """
    if not _PREPARED:
        _PREPARED.append(_compiled(cache_dir))
    return _PREPARED[0]


def _compiled(cache_dir: str) -> Kernel:
    import numba
    from numba.extending import register_jitable

    if cache_dir:
        numba.config.CACHE_DIR = f"{cache_dir}/{source_hash()}"  # type: ignore[attr-defined]  # made at import from its environment
    inlined = register_jitable(error_model="numpy", forceinline=True)
    for leaf in (*_LEAVES, cold_resistance_factor, store_hour, *warmth.LEAVES):
        inlined(leaf)
    block = numba.njit(cache=bool(cache_dir), error_model="numpy", nogil=True)
    return Kernel(
        block(years_block),
        block(nights_block),
        block(planes_block),
        block(trackers_block),
        block(banks_block),
        block(stores_block),
    )
