"""Made weather of a block of years, and what a rig makes of it hour by hour.

Weather is made once for a block of years and places; what the arrays give and how the bank fares in it is worked out for each
plan, so that many candidates meet the same weather without paying for it again.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.kernel import BY_YEAR, Kernel
from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import HOURS, by_rig
from ohmwright.energy.plan import EnergyPlan, StayPlan
from ohmwright.energy.series import (
    INDOOR,
    asked_W,
    by_day_hour,
    hot_numbers,
    indoors_of,
    ladder_of,
    light_and_link,
    place_of_day,
    plane_numbers,
    row_array,
    tracker_numbers,
    warmth_numbers,
)
from ohmwright.energy.spread import WeatherLoads, weather_loads
from ohmwright.energy.step import BY_HOUR
from ohmwright.sky.hours import hours_of_air
from ohmwright.sky.months import CLASS_WIND_m_per_s
from ohmwright.sky.trips import weights_of
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import MadeHours, MadeYears, hours_of, some_of, synthetic_years

Floats = NDArray[np.float64]
Hours: TypeAlias = slice | NDArray[np.intp]
ARRAY, RESISTANCE, CHARGE, DISCHARGE, HEAT = range(len(BY_YEAR))
DC = BY_HOUR.index("dc_W")


@dataclass(frozen=True, slots=True)
class Made:
    """Weather of so many years in a row: for each sky the hours of the year under it with their light, and the air of all hours."""

    count: int
    parts: tuple[tuple[Hours, MadeHours], ...]
    air_degC: Floats


@dataclass(frozen=True, slots=True)
class MadeDays:
    """Days of made years under each sky of a plan: which days of the year lie under it, the days themselves, and for spots that
    differ in their coldest and hottest air alone the days on which their own air counts."""

    first: int
    skies: tuple[tuple[NDArray[np.intp], MadeYears, tuple[tuple[Spot, NDArray[np.intp]], ...]], ...]


def made_days(
    stays: Sequence[StayPlan], spots: Sequence[Spot], first: int, count: int, seed: int
) -> MadeDays:
    """Years `first` and on under the spots of the stays, day by day; places of a year share its chance the more the nearer they lie."""
    by_day = np.array(place_of_day(stays))
    places = tuple(dict.fromkeys(spots))
    weights = dict(zip(places, weights_of(places), strict=True))
    under_one_sky: dict[Spot, list[Spot]] = {}
    for spot in places:
        under_one_sky.setdefault(replace(spot, name="", coldest_degC=0.0, hottest_degC=0.0), []).append(spot)

    def spent_at(some: list[Spot]) -> NDArray[np.intp]:
        return np.flatnonzero(np.isin(by_day, [k for k, s in enumerate(spots) if s in some]))

    skies = []
    for same in under_one_sky.values():
        ours = spent_at(same)
        if ours.size:
            days = synthetic_years(same[0], count, seed, first=first, weights=weights[same[0]])
            skies.append((ours, days, tuple((s, spent_at([s])) for s in same[1:])))
    return MadeDays(first, tuple(skies))


def made_weather(days: MadeDays, first: int, count: int) -> Made:
    """The hours of years `first` and on, so many of them."""
    air = np.zeros((count, HOURS))
    parts = []
    for ours, years, others in days.skies:
        some = some_of(years, first, count)
        made = hours_of(some, ours)
        here = _hours(ours)
        air[:, here] = made.air_degC
        for spot, theirs in others:
            there = _hours(theirs)
            air[:, there] = hours_of_air(spot, some.air_degC, some.clearness)[:, there]
        parts.append((here, made))
    return Made(count, tuple(parts), air)


def _hours(days: NDArray[np.intp]) -> Hours:
    return slice(None) if days.size == 365 else (24 * days[:, None] + np.arange(24)).ravel()


def given_by_arrays(
    kernel: Kernel, plan: EnergyPlan, made: Made, shade: Mapping[str, Floats] | None
) -> tuple[Floats, Floats]:
    """What the controllers give (years, 8760) in watts, and daily irradiation of the arrays' planes in Wh/m2 (years, 365)."""
    given, onto = np.zeros((made.count, HOURS)), np.zeros((made.count, HOURS))
    for here, sky in made.parts:
        whole = isinstance(here, slice)
        power, light = _arrays(
            kernel, plan, sky, made.air_degC if whole else made.air_degC[:, here], here, shade or {}
        )
        given[:, here] = power
        onto[:, here] = light
    return given, onto.reshape(made.count, 365, 24).sum(axis=2)


def _arrays(
    kernel: Kernel, plan: EnergyPlan, sky: MadeHours, air: Floats, here: Hours, shade: Mapping[str, Floats]
) -> tuple[Floats, Floats]:
    ghi, dhi = sky.ghi_W_m2.astype(np.float64), sky.dhi_W_m2.astype(np.float64)
    given, onto = np.zeros_like(ghi), np.zeros_like(ghi)
    rated = sum(a.rated_W for t in plan.trackers for a in t.arrays) or 1.0
    pitch = np.repeat(np.array(light_and_link(plan)[0]), 24)[here]
    seen: dict[object, tuple[Floats, Floats]] = {}
    for tracker in plan.trackers:
        power, volts = np.zeros_like(ghi), np.zeros_like(ghi)
        for array in tracker.arrays:
            own = np.zeros_like(ghi) if array.id in shade else power
            for plane in array.planes:
                key = (plane.tilt_deg, plane.faces_deg, array.albedo_ratio)
                if key not in seen:
                    seen[key] = plane_W_m2(plane, array.albedo_ratio, sky.sun, ghi, dhi)
                falls, through = seen[key]
                share = array.kept_ratio * plane.share_ratio
                kernel.planes(
                    falls,
                    through,
                    air,
                    CLASS_WIND_m_per_s,
                    plane_numbers(array),
                    array.light,
                    share,
                    own,
                    volts,
                )
                onto += falls * (plane.share_ratio * array.rated_W / rated)
            if array.id in shade:
                power += own * shade[array.id][here]
        kernel.trackers(
            power,
            volts,
            tracker_numbers(tracker, plan.bank.set_V),
            pitch,
            air,
            ghi,
            hot_numbers(tracker.hot),
            given,
        )
    return given, onto


@dataclass(frozen=True, slots=True)
class Ready:
    """What of a plan is the same in all years: rows by step (BY_HOUR) without weather, and its numbers in the order of the kernel's blocks.

    `steady_W` is what nobody uses more or less of, taken out of the rows where use varies.
    """

    plan: EnergyPlan
    rows: Floats
    own: tuple[float, ...]
    ladder: Floats
    steady_W: Floats
    asked_W: Floats
    indoors_degC: Floats
    light: Floats
    link: Floats
    loads: WeatherLoads | None

    @property
    def warmth(self) -> tuple[object, ...]:
        """All that the bank's temperature and the heat of the day depend on; plans alike in it share their skies but for the array."""
        bank = self.plan.bank
        mine = self.asked_W.tobytes() if bank.heated_by_surplus else None
        loads = (
            None if self.loads is None else (self.loads.chilled_W.tobytes(), self.loads.warmed_W.tobytes())
        )
        return (_limits(self), warmth_numbers(bank), mine, self.steady_W.tobytes(), loads)


def ready(plan: EnergyPlan, spots: Sequence[Spot], *, varied: bool, parts: int = 1) -> Ready:
    """A plan made ready for many years in steps of one of `parts` of an hour; `varied` when what people use varies about what is written."""
    rows = row_array(plan)
    steady = by_day_hour(plan, "steady_W") if varied else np.zeros(HOURS)
    rows[:, DC] -= steady
    indoors = [math.nan if x is None or plan.bank.regime not in INDOOR else x for x in indoors_of(plan)]
    light, link = (np.repeat(np.array(x), 24) for x in light_and_link(plan))
    return Ready(
        plan, by_step(rows, parts), by_rig(plan, parts), by_step(ladder_of(plan), parts), steady, asked_W(plan), np.array(indoors), light, link,
        weather_loads(plan, tuple(spots)),
    )  # fmt: skip


def by_step(by_hour: Floats, parts: int) -> Floats:
    """What holds through each hour, for each of its parts."""
    return by_hour if parts == 1 else np.repeat(by_hour, parts, axis=0)


def _limits(own: Ready) -> tuple[float, ...]:
    bank = own.plan.bank
    return (
        bank.resistance_ohm, bank.activation_kJ_per_mol, bank.charge_A, bank.charge_min_degC, bank.charge_max_degC, bank.resume_K,
        bank.discharge_A, bank.discharge_min_degC, 1.0 if bank.heater_W > 0.0 else 0.0,
        1.0 if bank.heated_by_surplus else 0.0,
    )  # fmt: skip


def skies_from(kernel: Kernel, own: Ready, made: Made, given_W: Floats) -> Floats:
    """The block as the rig meets it: (years, BY_YEAR, 8760)."""
    skies = np.empty((made.count, len(BY_YEAR), HOURS))
    np.multiply(given_W, own.light, out=skies[:, ARRAY])
    kernel.banks(
        made.air_degC, own.indoors_degC, own.asked_W, warmth_numbers(own.plan.bank), _limits(own), skies
    )
    skies[:, CHARGE] *= own.link
    skies[:, HEAT] *= own.link
    if own.loads is not None:
        skies[:, HEAT] += own.loads.more_W(made.air_degC)
    skies[:, HEAT] += own.steady_W
    return skies


def skies_of(
    kernel: Kernel,
    own: Ready,
    spots: Sequence[Spot],
    first: int,
    count: int,
    seed: int,
    *,
    shade: Mapping[str, Floats] | None = None,
) -> Floats:
    """Made years `first` and on as a rig meets them: (years, BY_YEAR, 8760)."""
    made = made_weather(made_days(own.plan.stays, spots, first, count, seed), first, count)
    return skies_from(kernel, own, made, given_by_arrays(kernel, own.plan, made, shade)[0])
