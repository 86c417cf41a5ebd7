"""Many made years of one rig: how often, how much, and how sure that is."""

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.asks import Asks
from ohmwright.energy.batch import Daily, nights_of_rig, pack, years_of_rig
from ohmwright.energy.kernel import BY_YEAR, DAILY, LANES, Kernel
from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import HOURS, MONTH_OF_DAY, by_rig
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.plan import EnergyPlan, Generator
from ohmwright.energy.series import (
    as_if_lived,
    asked_W,
    between_days,
    by_day_hour,
    indoors_of,
    ladder_of,
    light_and_link,
    lived_days,
    place_of_day,
    plane_numbers,
    rows_of,
    stay_of_day,
    tracker_numbers,
    warmth_numbers,
)
from ohmwright.energy.spread import Spread, factors_of, weather_load_W
from ohmwright.energy.step import BY_HOUR
from ohmwright.sky.hours import hours_of_air
from ohmwright.sky.months import CLASS_WIND_m_per_s
from ohmwright.sky.trips import weights_of
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import MadeHours, hours_of, synthetic_years

Floats = NDArray[np.float64]
MONTH_BY_DAY = np.array(MONTH_OF_DAY)
MAY_RUN = BY_HOUR.index("may_run_ratio")
DC = BY_HOUR.index("dc_W")


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
    spread: Spread | None = None
    lasting: Mapping[str, NDArray[np.int64]] = field(default_factory=dict)
    """For what `asks` of nights: whole nights that each year lasts from each start day (years, starts)."""
    missed: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    """For what `asks` of named loads: by year and day whether they were short."""
    asks: Asks = field(default_factory=Asks)

    def column(self, name: str) -> Floats:
        """One of DAILY, (years, 365)."""
        return self.daily[:, :, DAILY.index(name)]

    def lacking_Wh(self) -> Floats:
        """By year and day: what was asked for and not given, cut-off banks left out."""
        return self._counted("unserved_Wh")

    def _counted(self, name: str) -> Floats:
        off = [s is not None and s.isolated for s in stay_of_day(self.plan.stays)]
        return np.where(np.array(off), 0.0, self.column(name))

    def lacking_by_priority_Wh(self) -> dict[str, Floats]:
        """What was not given, by year and day, when it is given up in the order of the ladder."""
        steps = [
            self._counted(n)
            for n in ("unserved_Wh", "beyond_can_go_Wh", "beyond_normal_Wh", "beyond_first_Wh")
        ]
        names = ("can-go", "normal", "first")
        out = {name: steps[k] - steps[k + 1] for k, name in enumerate(names)}
        return {**out, "always": steps[3]}

    def short(self) -> NDArray[np.bool_]:
        """By year and day: whether something was not given."""
        return self.lacking_Wh() > WHOLE_Wh

    def lost(self) -> NDArray[np.bool_]:
        """By year and day: whether somebody was there and something was not given."""
        return self.short() & lived_days(self.plan.stays)

    def nights_lost(self) -> NDArray[np.int64]:
        """Nights lost of each year, of those that are lived in."""
        return np.asarray(self.lost().sum(axis=1), dtype=np.int64)

    def balance_error(self) -> float:
        """The largest |in - out - lost - stored| of a year over that year's array energy (1 kWh at least)."""
        total = {name: self.column(name).sum(axis=1) for name in DAILY[:-1]}
        off = (
            total["array_Wh"] + total["bus_Wh"] + total["source_Wh"] - (total["load_Wh"] - total["unserved_Wh"]) - total["lost_Wh"] - total["stored_Wh"]
        )  # fmt: skip
        return float(np.max(np.abs(off) / np.maximum(total["array_Wh"], 1000.0)))


def many_years(
    kernel: Kernel,
    plan: EnergyPlan,
    spots: Sequence[Spot],
    years: int,
    seed: int,
    *,
    first: int = 0,
    spread: Spread | None = None,
    shade: Mapping[str, Floats] | None = None,
    asks: Asks | None = None,
    plugged: bool = True,
    workers: int = 2,
) -> ManyYears:
    """Run a plan through `years` made years, from number `first` on, of the weather of its stays' spots.

    The same seed gives every plan the same weather and the same habits, so that two plans differ by themselves alone.
    The places of a year share its chance the more the nearer they lie.  `shade` holds factors by hour for arrays.
    """
    rows = np.array(rows_of(plan, None))
    steady = by_day_hour(plan, "steady_W")
    if spread is not None:
        rows[:, DC] -= steady
    stayed = as_if_lived(plan)
    stayed_rows, stayed_steady = np.array(rows_of(stayed, None)), by_day_hour(stayed, "steady_W")
    if spread is not None:
        stayed_rows[:, DC] -= stayed_steady
    has_outings = bool(between_days(plan.stays).any())
    ladder = ladder_of(plan)
    first_day = sunniest_day(spots)
    charged = _plugged(plan) if plugged else None
    plugged_rows = rows.copy()
    plugged_rows[:, MAY_RUN] = np.repeat(lived_days(plan.stays), 24)

    asked = asks or Asks()
    own = by_rig(plan)

    def block(start: int) -> _Block:
        count = min(LANES, first + years - start)
        skies, sun = skies_of(kernel, plan, spots, start, count, seed, shade=shade)
        loads = np.ones((count, 365))
        if spread is not None:
            loads = factors_of(spread, seed, start, count)
            skies[:, BY_YEAR.index("heat_W")] += steady
        sky = pack(skies)
        days = years_of_rig(kernel, rows, own, skies, loads, first_day, ladder=ladder, packed=sky)
        possible = skies[:, 0].reshape(count, 365, 24).sum(axis=2)
        if charged is None:
            plug = days[:, :, DAILY.index("unserved_Wh")] > WHOLE_Wh
        else:
            when_low = years_of_rig(
                kernel, plugged_rows, by_rig(charged), skies, loads, first_day, packed=sky
            )
            plug = when_low[:, :, DAILY.index("running_h")] > 0.0
        stayed_sky = sky
        if has_outings and asked.nights:
            there, _ = skies_of(kernel, stayed, spots, start, count, seed, shade=shade)
            if spread is not None:
                there[:, BY_YEAR.index("heat_W")] += stayed_steady
            stayed_sky = pack(there)
        lasting = tuple(
            nights_of_rig(kernel, stayed_rows, own, stayed_sky, loads, starts, nights)
            for starts, nights in asked.nights.values()
        )
        missed = tuple(
            years_of_rig(
                kernel,
                rows,
                own,
                skies,
                loads,
                first_day,
                packed=sky,
                ladder=np.repeat(spared[:, None], 3, axis=1),
            )[:, :, DAILY.index("beyond_can_go_Wh")]
            > WHOLE_Wh
            for spared in asked.spared_W.values()
        )
        return _Block(days, possible, sun, plug, lasting, missed)

    starts = range(first, first + years, LANES)
    if workers <= 1 or len(starts) == 1:
        parts = [block(s) for s in starts]
    else:
        with ThreadPoolExecutor(workers) as pool:
            parts = list(pool.map(block, starts))
    return ManyYears(
        plan,
        seed,
        np.concatenate([p.daily for p in parts]),
        np.concatenate([p.possible_Wh for p in parts]),
        np.concatenate([p.onto_Wh_m2 for p in parts]),
        np.concatenate([p.plug_in for p in parts]),
        spread,
        {name: np.concatenate([p.lasting[k] for p in parts]) for k, name in enumerate(asked.nights)},
        {name: np.concatenate([p.missed[k] for p in parts]) for k, name in enumerate(asked.spared_W)},
        asked,
    )


@dataclass(frozen=True, slots=True)
class _Block:
    """The same of one block of lanes."""

    daily: Daily
    possible_Wh: Floats
    onto_Wh_m2: Floats
    plug_in: NDArray[np.bool_]
    lasting: tuple[NDArray[np.int64], ...]
    missed: tuple[NDArray[np.bool_], ...]


def joined(a: ManyYears, b: ManyYears) -> ManyYears:
    """Two runs of years of one plan behind each other."""
    return ManyYears(
        a.plan,
        a.seed,
        np.concatenate([a.daily, b.daily]),
        np.concatenate([a.possible_Wh, b.possible_Wh]),
        np.concatenate([a.onto_Wh_m2, b.onto_Wh_m2]),
        np.concatenate([a.plug_in, b.plug_in]),
        a.spread,
        {name: np.concatenate([x, b.lasting[name]]) for name, x in a.lasting.items()},
        {name: np.concatenate([x, b.missed[name]]) for name, x in a.missed.items()},
        a.asks,
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
    kernel: Kernel,
    plan: EnergyPlan,
    spots: Sequence[Spot],
    first: int,
    count: int,
    seed: int,
    *,
    shade: Mapping[str, Floats] | None = None,
) -> tuple[Floats, Floats]:
    """Made years `first` and on as (years, BY_YEAR, 8760), and daily irradiation of the arrays' planes in Wh/m2."""
    skies = np.zeros((count, len(BY_YEAR), HOURS))
    air = np.zeros((count, HOURS))
    onto = np.zeros((count, HOURS))
    stays_by_day = np.array(place_of_day(plan.stays))
    where = np.repeat(stays_by_day, 24)
    places = tuple(dict.fromkeys(spots))
    under_one_sky: dict[Spot, list[Spot]] = {}
    weights = dict(zip(places, weights_of(places), strict=True))
    for spot in places:
        under_one_sky.setdefault(replace(spot, name="", coldest_degC=0.0, hottest_degC=0.0), []).append(spot)
    for same in under_one_sky.values():
        ours = np.isin(stays_by_day, [k for k, s in enumerate(spots) if s in same])
        if not ours.any():
            continue
        whole = np.repeat(ours, 24)
        days = synthetic_years(same[0], count, seed, first=first, weights=weights[same[0]])
        made = hours_of(days, np.flatnonzero(ours))
        air[:, whole] = made.air_degC
        for spot in same[1:]:
            here = np.isin(where, [k for k, s in enumerate(spots) if s == spot])
            air[:, here] = hours_of_air(spot, days.air_degC, days.clearness)[:, here]
        given, sun = _arrays(
            kernel, plan, replace(made, air_degC=air[:, whole].astype(np.float32)), whole, shade or {}
        )
        skies[:, 0, whole] = given
        onto[:, whole] = sun
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
        1.0 if bank.heated_by_surplus else 0.0,
    )  # fmt: skip
    light, link = (np.repeat(np.array(x), 24) for x in light_and_link(plan))
    skies[:, 0] *= light
    kernel.banks(air, indoors, asked_W(plan), warmth_numbers(bank), limits, skies)
    skies[:, 2] *= link
    skies[:, 4] *= link
    more = weather_load_W(plan, tuple(spots), air)
    if more is not None:
        skies[:, 4] += more
    return skies, onto.reshape(count, 365, 24).sum(axis=2)


def _arrays(
    kernel: Kernel, plan: EnergyPlan, made: MadeHours, whole: NDArray[np.bool_], shade: Mapping[str, Floats]
) -> tuple[Floats, Floats]:
    ghi, dhi = (x.astype(np.float64) for x in (made.ghi_W_m2, made.dhi_W_m2))
    air = made.air_degC.astype(np.float64)
    given, onto = np.zeros_like(ghi), np.zeros_like(ghi)
    rated = sum(a.rated_W for t in plan.trackers for a in t.arrays) or 1.0
    for tracker in plan.trackers:
        power, volts = np.zeros_like(ghi), np.zeros_like(ghi)
        for array in tracker.arrays:
            own = np.zeros_like(ghi) if array.id in shade else power
            for plane in array.planes:
                falls, through = plane_W_m2(plane, array.albedo_ratio, made.sun, ghi, dhi)
                share = array.kept_ratio * plane.share_ratio
                kernel.planes(
                    falls, through, air, CLASS_WIND_m_per_s, plane_numbers(array), share, own, volts
                )
                onto += falls * (plane.share_ratio * array.rated_W / rated)
            if array.id in shade:
                power += own * shade[array.id][whole]
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
