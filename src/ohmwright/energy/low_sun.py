"""The same years were the table wrong to the dark side: what its band is worth in nights, beside the error of chance."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.chance import quantile, quantile_error
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import lived_days, stay_of_day
from ohmwright.sky.types import Spot

YEARS = 64


def darker(plan: EnergyPlan, percent: float) -> EnergyPlan:
    """The plan with so much less light on all its arrays."""
    kept = 1.0 - percent / 100.0
    trackers = tuple(
        replace(t, arrays=tuple(replace(a, kept={**a.kept, "sun": kept}) for a in t.arrays))
        for t in plan.trackers
    )
    return replace(plan, trackers=trackers)


def band_percent(plan: EnergyPlan, spots: Sequence[Spot]) -> float:
    """The widest band of the places in which somebody lives, of all places where nobody does."""
    held, lived = stay_of_day(plan.stays), lived_days(plan.stays)
    there = {id(s) for s, somebody in zip(held, lived, strict=True) if s is not None and somebody}
    bands = [p.band_percent for s, p in zip(plan.stays, spots, strict=True) if id(s) in there]
    return max(bands or [p.band_percent for p in spots])


def low_sun_of(same: SameYears, *, years: int = YEARS) -> dict[str, Any] | None:
    """Nights lost in one year in ten were every month darker by the table's own band; None without an array."""
    many = same.many
    if not many.plan.trackers:
        return None
    first, years = same.like_all(years)
    percent = band_percent(many.plan, same.spots)
    got = plans_abreast(same, [darker(many.plan, percent)], years, first=first).nights_lost[0]
    now, then = (quantile(n, 0.9) for n in (many.nights_lost()[first : first + years], got))
    less = f"were every month {percent:.0f} % darker than told, as it may be"
    words = (
        f"{less}, one year in ten would lose {then:.0f} nights instead of {now:.0f}"
        if then > now
        else f"{less}, one year in ten would lose no more nights"
    )
    return {
        "percent": percent,
        "years": years,
        "nights_one_in_ten": then,
        "now_one_in_ten": now,
        "nights_error": max(quantile_error(got, 0.9), 0.5),
        "words": words,
    }
