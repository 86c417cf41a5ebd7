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
from ohmwright.energy.beside import Beside, short_beside
from ohmwright.energy.kernel import DAILY, LANES, Kernel
from ohmwright.energy.loop import MONTH_OF_DAY, by_rig
from ohmwright.energy.one_year import WHOLE_Wh
from ohmwright.energy.plan import EnergyPlan, Generator
from ohmwright.energy.series import as_if_lived, between_days, lived_days, stay_of_day
from ohmwright.energy.skies import ARRAY, by_step, given_by_arrays, made_days, made_weather, ready, skies_from
from ohmwright.energy.spread import Spread, factors_of
from ohmwright.energy.step import BY_HOUR
from ohmwright.sky.types import Spot

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
    spread: Spread | None = None
    lasting: Mapping[str, NDArray[np.int64]] = field(default_factory=dict)
    """For what `asks` of nights: whole nights that each year lasts from each start day (years, starts)."""
    missed: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    """For what `asks` of named loads: by year and day whether they were short."""
    asks: Asks = field(default_factory=Asks)
    beside_short: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)
    """For each second bank that is followed: by year and day whether its loads were short."""
    parts: int = 1
    """In steps of one of so many parts of an hour."""

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
        """By year and day: whether something was not given, by the house bank or by one beside it."""
        return (self.lacking_Wh() > WHOLE_Wh) | self.short_beside()

    def short_beside(self) -> NDArray[np.bool_]:
        """By year and day: whether the loads of a second bank lacked something."""
        out = np.zeros(self.daily.shape[:2], dtype=np.bool_)
        for short in self.beside_short.values():
            out |= short
        return out

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
    beside: tuple[Beside, ...] = (),
    plugged: bool = True,
    parts: int = 1,
    workers: int = 2,
) -> ManyYears:
    """Run a plan through `years` made years, from number `first` on, of the weather of its stays' spots.

    The same seed gives every plan the same weather and the same habits, so that two plans differ by themselves alone.
    The places of a year share its chance the more the nearer they lie.  `shade` holds factors by hour for arrays; `beside` second
    banks, a night on which one of them is flat counts as lost.  They go by the hour whatever the step of the house bank, which is one of
    `parts` of an hour.
    """
    own = ready(plan, spots, varied=spread is not None, parts=parts)
    has_outings = bool(between_days(plan.stays).any())
    first_day = sunniest_day(spots)
    charged = _plugged(plan) if plugged else None
    plugged_rows = own.rows.copy()
    plugged_rows[:, MAY_RUN] = np.repeat(lived_days(plan.stays), 24 * parts)

    asked = asks or Asks()
    every_day = made_days(plan.stays, spots, first, years, seed)
    stayed = own
    if has_outings and asked.nights:
        stayed = ready(as_if_lived(plan), spots, varied=spread is not None, parts=parts)

    def block(start: int) -> _Block:
        count = min(LANES, first + years - start)
        made = made_weather(every_day, start, count)
        given, sun = given_by_arrays(kernel, plan, made, shade)
        skies = skies_from(kernel, own, made, given)
        loads = np.ones((count, 365)) if spread is None else factors_of(spread, seed, start, count)
        sky = pack(skies)
        days = years_of_rig(kernel, own.rows, own.own, skies, loads, first_day, ladder=own.ladder, packed=sky)
        possible = skies[:, ARRAY].reshape(count, 365, 24).sum(axis=2)
        if charged is None:
            plug = days[:, :, DAILY.index("unserved_Wh")] > WHOLE_Wh
        else:
            when_low = years_of_rig(
                kernel, plugged_rows, by_rig(charged, parts), skies, loads, first_day, packed=sky
            )
            plug = when_low[:, :, DAILY.index("running_h")] > 0.0
        stayed_sky = sky if stayed is own else pack(skies_from(kernel, stayed, made, given))
        lasting = tuple(
            nights_of_rig(kernel, stayed.rows, own.own, stayed_sky, loads, starts, nights)
            for starts, nights in asked.nights.values()
        )
        missed = tuple(
            years_of_rig(
                kernel,
                own.rows,
                own.own,
                skies,
                loads,
                first_day,
                packed=sky,
                ladder=by_step(np.repeat(spared[:, None], 3, axis=1), parts),
            )[:, :, DAILY.index("beyond_can_go_Wh")]
            > WHOLE_Wh
            for spared in asked.spared_W.values()
        )
        flat = short_beside(kernel.stores, beside, loads, first_day)
        return _Block(days, possible, sun, plug, lasting, missed, flat)

    starts = range(first, first + years, LANES)
    if workers <= 1 or len(starts) == 1:
        blocks = [block(s) for s in starts]
    else:
        with ThreadPoolExecutor(workers) as pool:
            blocks = list(pool.map(block, starts))
    return ManyYears(
        plan,
        seed,
        np.concatenate([p.daily for p in blocks]),
        np.concatenate([p.possible_Wh for p in blocks]),
        np.concatenate([p.onto_Wh_m2 for p in blocks]),
        np.concatenate([p.plug_in for p in blocks]),
        spread,
        {name: np.concatenate([p.lasting[k] for p in blocks]) for k, name in enumerate(asked.nights)},
        {name: np.concatenate([p.missed[k] for p in blocks]) for k, name in enumerate(asked.spared_W)},
        asked,
        {bank.id: np.concatenate([p.flat[bank.id] for p in blocks]) for bank in beside},
        parts,
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
    flat: Mapping[str, NDArray[np.bool_]]


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
        {name: np.concatenate([x, b.beside_short[name]]) for name, x in a.beside_short.items()},
        a.parts,
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


def quantile(values: NDArray[Any], probability: float) -> float:
    """The least value that at least that share of the years does not pass: a value that really came."""
    return float(np.quantile(values, probability, method="inverted_cdf"))


def quantile_error(values: NDArray[Any], probability: float) -> float:
    """Standard error of a quantile from the scatter of its own rank, sqrt(p (1 - p) / n) either side."""
    step = math.sqrt(probability * (1.0 - probability) / len(values))
    low, high = max(probability - step, 0.0), min(probability + step, 1.0)
    return float(np.quantile(values, high) - np.quantile(values, low)) / 2.0


def by_count(values: NDArray[Any]) -> list[list[float]]:
    """Each value that came, least first, with the number of years in which it came.

    >>> by_count(np.array([3, 0, 3]))
    [[0.0, 1.0], [3.0, 2.0]]
    """
    found, many = np.unique(values, return_counts=True)
    return [[float(v), float(n)] for v, n in zip(found, many, strict=True)]


def by_month(values: Floats) -> Floats:
    """Sums by month of (years, 365): (years, 12)."""
    return np.stack([values[:, m == MONTH_BY_DAY].sum(axis=1) for m in range(12)], axis=1)
