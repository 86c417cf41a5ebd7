"""A store beside the house bank hour by hour: one leaf for the typical year and for made years abreast."""
# ruff: noqa: FURB136 - a comparison takes a quarter of the time of a call to min, and this runs 8760 times a year

from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.one_year import WHOLE_Wh

Floats: TypeAlias = NDArray[np.float64]
Reals: TypeAlias = NDArray[np.floating[Any]]
DAYS = 365
#: Once round to forget that it began full, then the year that is told.
ROUNDS = 2


@dataclass(frozen=True, slots=True)
class Beside:
    """A second bank that made years follow: what its loads ask as written and the share of each hour the engine runs, by hour.

    `own` are its numbers in the order of `store_hour`.
    """

    id: str
    wants_W: Floats
    engine_ratio: Floats
    own: tuple[float, float, float, float, float]


def store_hour(
    charge_ratio: float,
    want_W: float,
    engine_ratio: float,
    full_Wh: float,
    takes_W: float,
    kept_ratio: float,
    floor_ratio: float,
    leak_ratio: float,
) -> tuple[float, float, float, float, float]:
    """Charge after the hour; then what was put in, what of it stayed, what the loads got and what leaked, in Wh."""
    leaked_Wh = charge_ratio * full_Wh * leak_ratio
    held_Wh = charge_ratio * full_Wh - leaked_Wh
    room_Wh = full_Wh - held_Wh + want_W
    room_Wh = room_Wh if room_Wh > 0.0 else 0.0
    put_Wh = takes_W * engine_ratio
    put_Wh = put_Wh if put_Wh < room_Wh / kept_ratio else room_Wh / kept_ratio
    kept_Wh = put_Wh * kept_ratio
    above_Wh = held_Wh + kept_Wh - floor_ratio * full_Wh
    above_Wh = above_Wh if above_Wh > 0.0 else 0.0
    got_Wh = want_W if want_W < above_Wh else above_Wh
    return (held_Wh + kept_Wh - got_Wh) / full_Wh, put_Wh, kept_Wh, got_Wh, leaked_Wh


def stores_block(
    wants: Reals, engine: Reals, loads: Reals, own: tuple[float, ...], first_day: int, out: Reals
) -> None:
    """What the loads of a store lack by lane and day (lanes, 365), `loads` a factor on what they ask; each lane begins as it ended."""
    full_Wh, takes_W, kept, floor, leak = own
    for lane in range(loads.shape[0]):
        charge = 1.0
        for step in range(ROUNDS * DAYS):
            day = (first_day + step) % DAYS
            lacking = 0.0
            for t in range(24 * day, 24 * day + 24):
                want = wants[t] * loads[lane, day]
                charge, _, _, got, _ = store_hour(
                    charge, want, engine[t], full_Wh, takes_W, kept, floor, leak
                )
                lacking += want - got
            out[lane, day] = lacking


def short_beside(
    block: Any, banks: "tuple[Beside, ...]", loads: Floats, first_day: int
) -> dict[str, NDArray[np.bool_]]:
    """By bank: on which days of so many years its loads lack something, `block` being `stores_block`, compiled or not."""
    out = {}
    for bank in banks:
        lacking = np.empty((len(loads), DAYS))
        block(bank.wants_W, bank.engine_ratio, loads, bank.own, first_day, lacking)
        out[bank.id] = lacking > WHOLE_Wh
    return out
