"""The week of one year in which the bank stands lowest: what is drawn where no other years tell how bad a week may be."""

from collections.abc import Sequence
from itertools import accumulate
from typing import Any

from ohmwright.energy.loop import MONTH_DAYS, MONTH_OF_DAY

DAYS = 7


def lowest_week(soc_by_hour: Sequence[float]) -> dict[str, Any] | None:
    """Seven days, over the turn of the year too, in which the mean charge is least; None where the hours are not there."""
    days = len(soc_by_hour) // 24
    if days < DAYS:
        return None
    ring = [*soc_by_hour, *soc_by_hour[: 24 * DAYS]]
    sums = [0.0, *accumulate(ring)]
    first = min(range(days), key=lambda d: (round(sums[24 * (d + DAYS)] - sums[24 * d], 9), d))
    month = MONTH_OF_DAY[first]
    return {
        "year": None,
        "first_day": f"{month + 1:02}-{first - sum(MONTH_DAYS[:month]) + 1:02}",
        "soc": ring[24 * first : 24 * (first + DAYS)],
        "soc_low": [],
        "soc_high": [],
        "band_years": 0,
    }
