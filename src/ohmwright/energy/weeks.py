"""What charts of a year are drawn from: 52 weeks in means and chances, and the bad week by the hour."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.abreast import SameYears
from ohmwright.energy.batch import charge_of_rig
from ohmwright.energy.chance import ManyYears, by_count, quantile, sunniest_day
from ohmwright.energy.loop import MONTH_DAYS, MONTH_OF_DAY
from ohmwright.energy.skies import skies_of
from ohmwright.energy.spread import factors_of

WEEKS = 52
#: So many years, evenly spaced in rank, make the band of the bad week.
BAND_years = 16
BAND_percent = (10, 90)


def date_of(day: int) -> str:
    """Day 0..364 as month and day: 01-12."""
    month = MONTH_OF_DAY[day]
    return f"{month + 1:02}-{day - sum(MONTH_DAYS[:month]) + 1:02}"


def weeks_of(many: ManyYears) -> list[dict[str, Any]]:
    """Fifty-two rows, the last of eight days: means in kWh, and nights lost in a usual and in a one-in-ten year."""
    lacking, wants = many.lacking_Wh() / 1000.0, many.column("load_Wh") / 1000.0
    nights = many.lost()
    out: list[dict[str, Any]] = []
    for w in range(WEEKS):
        days = slice(7 * w, 7 * w + 7 if w < WEEKS - 1 else 365)
        lost = nights[:, days].sum(axis=1)
        unserved = float(lacking[:, days].sum(axis=1).mean())
        asked = float(wants[:, days].sum(axis=1).mean())
        out.append({
            "week": w + 1,
            "first_day": date_of(7 * w),
            "sun_kWh_m2": float(many.onto_Wh_m2[:, days].sum(axis=1).mean()) / 1000.0,
            "wants_kWh": asked,
            "carried_kWh": asked - unserved,
            "unserved_kWh": unserved,
            "nights_lost_usual": quantile(lost, 0.5),
            "nights_lost_one_in_ten": quantile(lost, 0.9),
            "nights_lost_by_years": by_count(lost),
        })  # fmt: skip
    return out


def bad_week_of(same: SameYears, *, with_band: bool = True) -> dict[str, Any]:
    """The worst week of a one-in-ten year by the hour, with the band of all years in the same hours unless it goes `with_band` False.

    The year is the first whose nights lost are those of one year in ten, or where none loses a night the one whose bank
    falls as low as in one year in ten; its week is the one that lacks most, or in which the bank stands lowest.
    """
    many = same.many
    lacking, least = many.lacking_Wh(), many.column("soc_min")
    nights = many.nights_lost()
    score = nights.astype(np.float64) if nights.any() else 1.0 - least.min(axis=1)
    number = int(np.flatnonzero(score == quantile(score, 0.9))[0])
    ring = lacking[number] if lacking[number].any() else 1.0 - least[number]
    sums = np.convolve(np.concatenate([ring, ring[:6]]), np.ones(7), "valid")
    first = int(np.argmax(sums))
    hours = (24 * first + np.arange(168)) % 8760
    week = {
        "year": number,
        "first_day": date_of(first),
        "soc": charge_of_years(same, [number])[0, hours].tolist(),
        "soc_low": [],
        "soc_high": [],
        "band_percent": list(BAND_percent),
        "band_years": 0,
    }
    if not with_band:
        return week
    ranked = np.argsort(score, kind="stable")
    some = ranked[np.linspace(0, len(ranked) - 1, min(BAND_years, len(ranked))).astype(int)]
    band = charge_of_years(same, some.tolist())[:, hours]
    low, high = (np.percentile(band, p, axis=0) for p in BAND_percent)
    return {**week, "soc_low": low.tolist(), "soc_high": high.tolist(), "band_years": len(some)}


def charge_of_years(same: SameYears, numbers: Sequence[int]) -> NDArray[np.float64]:
    """State of charge by hour of some of the made years, of at most a block of them: (years, 8760)."""
    many = same.many
    skies = [skies_of(same.kernel, same.base, same.spots, n, 1, many.seed, shade=same.shade) for n in numbers]
    loads = [
        np.ones((1, 365)) if many.spread is None else factors_of(many.spread, many.seed, n, 1)
        for n in numbers
    ]
    return charge_of_rig(
        same.kernel, same.base.rows, same.base.own, np.concatenate(skies), np.concatenate(loads),
        sunniest_day(same.spots),
    )  # fmt: skip
