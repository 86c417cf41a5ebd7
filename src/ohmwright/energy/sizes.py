"""Nights lost against the size of array and bank: the rig's own module and battery, fewer and more of them, through the same years."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.banks import house_bank
from ohmwright.energy.chance import by_count, quantile, quantile_error
from ohmwright.energy.loads import Notes
from ohmwright.energy.plan import Array, Bank, EnergyPlan
from ohmwright.energy.topology import members
from ohmwright.rig.model import Rig
from ohmwright.working import grouped

YEARS = 160
MOST_ARRAYS, MOST_BANKS = 5, 4


@dataclass(frozen=True, slots=True)
class Steps:
    """In what the rig grows: the array of most watts by modules or strings, the bank by batteries or strings of them."""

    array: Array
    modules: int
    """Modules that are added together."""
    strings: int
    batteries: int
    """Batteries in series, which are added together."""
    parallel: int


def steps_of(rig: Rig, plan: EnergyPlan) -> Steps | None:
    """How array and bank of the rig grow; None without an array."""
    arrays = [a for t in plan.trackers for a in t.arrays]
    if not arrays:
        return None
    array = max(arrays, key=lambda a: a.rated_W)
    part = rig.parts[array.id]
    group = house_bank(rig, Notes())
    count = len(members(rig, group, "battery"))
    series = count if group.join is not None and group.join.how == "series" else 1
    return Steps(array, max(part.per_string, 1), max(part.strings, 1), series, max(count // series, 1))


def sizes_of(same: SameYears, rig: Rig, *, years: int = YEARS) -> dict[str, Any] | None:
    """Rows by array and bank: nights lost in a usual year and in one of ten, and the chance of losing any, with their errors.

    A larger array keeps its controller and its share of shade; whether it fits the roof, the controller and the wires is not
    looked at.
    """
    many = same.many
    steps = steps_of(rig, many.plan)
    if steps is None:
        return None
    sizes = list(_sizes(many.plan, steps))
    plans = [plan for _, _, plan in sizes]
    first, years = same.like_all(years)
    got = plans_abreast(same, plans, years, first=first)
    rated = sum(a.rated_W for t in many.plan.trackers for a in t.arrays)
    rows = [
        {
            "array_W": round(rated + (strings / steps.strings - 1.0) * steps.array.rated_W, 1),
            "modules": strings * steps.modules,
            "bank_Ah": round(many.plan.bank.capacity_Ah * parallel / steps.parallel, 1),
            "batteries": parallel * steps.batteries,
            "is_now": strings == steps.strings and parallel == steps.parallel,
            **_told(nights),
        }
        for (strings, parallel, _), nights in zip(sizes, got.nights_lost, strict=True)
    ]
    return {
        "array": steps.array.id,
        "bank": house_bank(rig, Notes()).id,
        "years": years,
        "rows": rows,
        "words": _words(rows),
    }


def _words(rows: Sequence[Mapping[str, Any]]) -> str:
    """What the largest of the sizes would do, or that size is not the question."""
    now = next(r for r in rows if r["is_now"])
    best = min(rows, key=lambda r: (r["nights_one_in_ten"], r["array_W"] + r["bank_Ah"]))
    won = now["nights_one_in_ten"] - best["nights_one_in_ten"]
    if won <= 2 * max(now["nights_error"], best["nights_error"]):
        return "neither more array nor more bank takes nights away that these years can show: it is not size that is short"
    return (
        f"one year in ten loses {now['nights_one_in_ten']:.0f} nights now; {best['nights_one_in_ten']:.0f} with "
        f"{grouped(best['array_W'])} W and {grouped(best['bank_Ah'])} Ah; roof, controller and wires not looked at"
    )


def _told(nights: NDArray[np.int64]) -> dict[str, object]:
    any_lost = float((nights > 0).mean())
    return {
        "nights_usual": quantile(nights, 0.5),
        "nights_one_in_ten": quantile(nights, 0.9),
        "nights_error": max(quantile_error(nights, 0.9), 0.5),
        "nights_by_years": by_count(nights),
        "any_probability": any_lost,
        "any_error": float(np.sqrt(any_lost * (1.0 - any_lost) / len(nights))),
    }


def _sizes(plan: EnergyPlan, steps: Steps) -> Iterator[tuple[int, int, EnergyPlan]]:
    for parallel in _around(steps.parallel, MOST_BANKS):
        bank = grown_bank(plan.bank, parallel / steps.parallel)
        for strings in _around(steps.strings, MOST_ARRAYS):
            grown = replace(steps.array, rated_W=steps.array.rated_W * strings / steps.strings)
            trackers = tuple(
                replace(t, arrays=tuple(grown if a is steps.array else a for a in t.arrays))
                for t in plan.trackers
            )
            yield strings, parallel, replace(plan, trackers=trackers, bank=bank)


def _around(now: int, most: int) -> range:
    """Up to two fewer than now, and more, `most` sizes in all.

    >>> list(_around(1, 4)), list(_around(3, 4))
    ([1, 2, 3, 4], [2, 3, 4, 5])
    """
    least = max(1, now - (most - 2) // 2)
    return range(least, least + most)


def grown_bank(bank: Bank, times: float) -> Bank:
    """A bank of so many times as many batteries side by side."""
    return replace(
        bank,
        capacity_Ah=bank.capacity_Ah * times,
        resistance_ohm=bank.resistance_ohm / times,
        charge_A=bank.charge_A * times,
        discharge_A=bank.discharge_A * times,
        capacity_J_per_K=bank.capacity_J_per_K * times,
    )
