"""Many made years of one rig: how often, how much, and how sure that is."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.batch import Daily, years_of_rig
from ohmwright.energy.kernel import BY_YEAR, DAILY, LANES, Kernel
from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import HOURS, MONTH_OF_DAY, by_rig
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.plan import LIVED_IN, EnergyPlan, Generator
from ohmwright.energy.series import (
    indoors_of,
    light_and_link,
    place_of_day,
    plane_numbers,
    rows_of,
    stay_of_day,
    tracker_numbers,
    warmth_numbers,
)
from ohmwright.energy.step import BY_HOUR
from ohmwright.sky.months import CLASS_WIND_m_per_s
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import MadeHours, hours_of, synthetic_years

Floats = NDArray[np.float64]
MONTH_BY_DAY = np.array(MONTH_OF_DAY)
MAY_RUN = BY_HOUR.index("may_run_ratio")


@dataclass(frozen=True, slots=True)
class ManyYears:
    """Days of many years of one plan: (years, 365, DAILY), and what the array could have given and the sun sent."""

    plan: EnergyPlan
    seed: int
    daily: Daily
    possible_Wh: Floats
    onto_Wh_m2: Floats
    plug_in: NDArray[np.bool_]
    """By year and day: whether a rig plugged in only when its bank is nearly empty would have been plugged in."""

    def column(self, name: str) -> Floats:
        """One of DAILY, (years, 365)."""
        return self.daily[:, :, DAILY.index(name)]

    def lacking_Wh(self) -> Floats:
        """By year and day: what was asked for and not given, cut-off banks left out."""
        off = [s is not None and s.isolated for s in stay_of_day(self.plan.stays)]
        return np.where(np.array(off), 0.0, self.column("unserved_Wh"))

    def short(self) -> NDArray[np.bool_]:
        """By year and day: whether something was not given."""
        return self.lacking_Wh() > WHOLE_Wh

    def nights_lost(self) -> NDArray[np.int64]:
        """Nights lost of each year."""
        return np.asarray(self.short().sum(axis=1), dtype=np.int64)


def many_years(
    kernel: Kernel, plan: EnergyPlan, spots: Sequence[Spot], years: int, seed: int, *, workers: int = 2
) -> ManyYears:
    """Run a plan through `years` made years of the weather of its stays' spots.

    The same seed gives every plan the same weather, so that two plans differ by themselves alone.  All places of
    a year share its chance: a dull spell is dull along the whole way.
    """
    rows = np.array(rows_of(plan, None))
    first_day = sunniest_day(spots)
    charged = _plugged(plan)
    plugged_rows = rows.copy()
    lived_in = np.repeat(
        [s is not None and s.mode in LIVED_IN and not s.isolated for s in stay_of_day(plan.stays)], 24
    )
    plugged_rows[:, MAY_RUN] = lived_in
    daily, possible, onto, plug = [], [], [], []
    for start in range(0, years, LANES):
        count = min(LANES, years - start)
        skies, sun = skies_of(kernel, plan, spots, start, count, seed)
        ones = [1.0] * count
        daily.append(years_of_rig(kernel, rows, by_rig(plan), skies, ones, first_day, workers=workers))
        possible.append(skies[:, 0].reshape(count, 365, 24).sum(axis=2))
        onto.append(sun)
        if charged is None:
            plug.append(daily[-1][:, :, DAILY.index("unserved_Wh")] > WHOLE_Wh)
        else:
            days = years_of_rig(
                kernel, plugged_rows, by_rig(charged), skies, ones, first_day, workers=workers
            )
            plug.append(days[:, :, DAILY.index("running_h")] > 0.0)
    return ManyYears(
        plan,
        seed,
        np.concatenate(daily),
        np.concatenate(possible),
        np.concatenate(onto),
        np.concatenate(plug),
    )


def _plugged(plan: EnergyPlan) -> EnergyPlan | None:
    """The same rig with a supply that is plugged in only when the bank is nearly empty, until it is full."""
    if plan.charger_A <= 0.0:
        return None
    floor = plan.bank.floor_ratio
    watts = plan.charger_A * plan.bank.set_V / plan.charger_ratio + plan.inverter.rated_W
    return replace(plan, generator=Generator(watts, floor + 0.1 * (1.0 - floor), 0.97))


def sunniest_day(spots: Sequence[Spot]) -> int:
    """The first day of the sunniest month at the first spot: a year begun there with a full bank forgets its start."""
    months = spots[0].ghi_kWh_m2_day
    return MONTH_OF_DAY.index(max(range(12), key=lambda m: months[m]))


def skies_of(
    kernel: Kernel, plan: EnergyPlan, spots: Sequence[Spot], first: int, count: int, seed: int
) -> tuple[Floats, Floats]:
    """Made years `first` and on as (years, BY_YEAR, 8760), and daily irradiation of the arrays' planes in Wh/m2."""
    skies = np.zeros((count, len(BY_YEAR), HOURS))
    air = np.zeros((count, HOURS))
    onto = np.zeros((count, HOURS))
    where = np.repeat(np.array(place_of_day(plan.stays)), 24)
    for spot in dict.fromkeys(spots):
        here = np.isin(where, [k for k, s in enumerate(spots) if s == spot])
        if not here.any():
            continue
        made = hours_of(synthetic_years(spot, count, seed, first=first))
        air[:, here] = made.air_degC[:, here]
        given, sun = _arrays(kernel, plan, made)
        skies[:, 0, here] = given[:, here]
        onto[:, here] = sun[:, here]
    indoors = np.array(
        [
            math.nan if x is None or plan.bank.regime not in ("heated", "cabin") else x
            for x in indoors_of(plan)
        ]
    )
    bank = plan.bank
    limits = (
        bank.resistance_ohm, bank.activation_kJ_per_mol, bank.charge_A, bank.charge_min_degC, bank.charge_max_degC, bank.resume_K,
        bank.discharge_A, bank.discharge_min_degC, 1.0 if bank.heater_W > 0.0 else 0.0,
    )  # fmt: skip
    kernel.banks(air, indoors, warmth_numbers(bank), limits, skies)
    light, link = (np.repeat(np.array(x), 24) for x in light_and_link(plan))
    skies[:, 0] *= light
    skies[:, 2] *= link
    skies[:, 4] *= link
    return skies, onto.reshape(count, 365, 24).sum(axis=2)


def _arrays(kernel: Kernel, plan: EnergyPlan, made: MadeHours) -> tuple[Floats, Floats]:
    ghi, dhi = (x.astype(np.float64) for x in (made.ghi_W_m2, made.dhi_W_m2))
    air = made.air_degC.astype(np.float64)
    given, onto = np.zeros_like(ghi), np.zeros_like(ghi)
    rated = sum(a.rated_W for t in plan.trackers for a in t.arrays) or 1.0
    for tracker in plan.trackers:
        power, volts = np.zeros_like(ghi), np.zeros_like(ghi)
        for array in tracker.arrays:
            for plane in array.planes:
                falls, through = plane_W_m2(plane, array.albedo_ratio, made.sun, ghi, dhi)
                share = array.kept_ratio * plane.share_ratio
                kernel.planes(
                    falls, through, air, CLASS_WIND_m_per_s, plane_numbers(array), share, power, volts
                )
                onto += falls * (plane.share_ratio * array.rated_W / rated)
        kernel.trackers(power, volts, tracker_numbers(tracker, plan.bank.set_V), given)
    return given, onto


def quantile(values: NDArray[Any], probability: float) -> float:
    """The least value that at least that share of the years does not pass: a value that really came."""
    return float(np.quantile(values, probability, method="inverted_cdf"))


def quantile_error(values: NDArray[Any], probability: float) -> float:
    """Standard error of a quantile from the scatter of its own rank, sqrt(p (1 - p) / n) either side."""
    step = math.sqrt(probability * (1.0 - probability) / len(values))
    low, high = max(probability - step, 0.0), min(probability + step, 1.0)
    return float(np.quantile(values, high) - np.quantile(values, low)) / 2.0


def by_month(values: Floats) -> Floats:
    """Sums by month of (years, 365): (years, 12)."""
    return np.stack([values[:, m == MONTH_BY_DAY].sum(axis=1) for m in range(12)], axis=1)
