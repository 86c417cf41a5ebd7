"""The same years with the bank as it will be: nights lost by year of life, with the capacity and resistance that ageing leaves."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.ageing import aged
from ohmwright.energy.chance import quantile, quantile_error
from ohmwright.energy.types import Ageing

YEARS = 64
#: Years of life that are told in full, and the one that is told in words.
AGES = (5, 10, 15)
IN_WORDS = (10,)


def ages_of(
    same: SameYears, ageing: Ageing, *, ages: Sequence[int] = AGES, years: int = YEARS
) -> dict[str, Any] | None:
    """Nights lost in one year in ten with a bank of so many years, between the two ends of the ageing; None where none is told.

    The ageing is that of the typical year's weather from first to last, the bank cycled as what is left of it is (`ageing.RERUN`).
    """
    if not ageing.capacity_ratio:
        return None
    many = same.many
    first, years = same.like_all(years)
    told = [
        (age, ageing.capacity_ratio[age - 1], ageing.resistance_grown_ratio[age - 1])
        for age in ages
        if age <= len(ageing.capacity_ratio)
    ]
    banks = [aged(many.plan.bank, share, grown) for _, ends, grown in told for share in ends]
    plans = [replace(many.plan, bank=b) for b in banks]
    got = plans_abreast(same, plans, years, first=first)
    now = many.nights_lost()[first : first + years]
    rows = []
    for k, (age, ends, grown) in enumerate(told):
        worst, best = got.nights_lost[2 * k], got.nights_lost[2 * k + 1]
        rows.append({
            "year_of_life": age,
            "capacity_least_ratio": ends[0],
            "capacity_most_ratio": ends[1],
            "resistance_grown_ratio": grown,
            "nights_one_in_ten_most": quantile(worst, 0.9),
            "nights_one_in_ten_least": quantile(best, 0.9),
            "nights_error": max(quantile_error(worst, 0.9), 0.5),
            "nights_mean_most": float(worst.mean()),
            "nights_mean_least": float(best.mean()),
        })  # fmt: skip
    return {"years": years, "new_one_in_ten": quantile(now, 0.9), "rows": rows, "words": _words(rows, now)}


def _words(rows: Sequence[Mapping[str, Any]], now: NDArray[np.int64]) -> str:
    row = next((r for r in rows if r["year_of_life"] == 10), rows[-1])
    least, most = row["nights_one_in_ten_least"], row["nights_one_in_ten_most"]
    left = (
        f"{100 * row['capacity_least_ratio']:.0f} to {100 * row['capacity_most_ratio']:.0f} % of its capacity"
    )
    new = quantile(now, 0.9)
    if most <= new:
        return (
            f"in its {row['year_of_life']}th year, with {left}, the bank still loses no more nights than new"
        )
    span = f"{most:.0f}" if least == most else f"{least:.0f} to {most:.0f}"
    return f"in its {row['year_of_life']}th year, with {left}, one year in ten loses {span} nights instead of {new:.0f}"
