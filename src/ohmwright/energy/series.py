"""From weather to what changes by the hour, for one year in plain Python."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import HOURS, MONTH_OF_DAY, ArrayHours, Hours, TrackerHours
from ohmwright.energy.plan import Array, Bank, Day, EnergyPlan, HotBay, StayPlan, Tracker
from ohmwright.energy.warmth import (
    AMPLE_W,
    NEVER_KEPT_degC,
    bank_hour_degC_W,
    charge_allowed_ratio,
    left_in_heat_W,
    plane_power_W_V,
    surplus_W,
    tracker_W,
)
from ohmwright.physics.bank import cold_resistance_factor
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.sky.types import WeatherYear

INDOOR = ("heated", "cabin")
NOTHING = (0.0,) * 24


def plane_numbers(array: Array) -> tuple[float, ...]:
    """The array's own numbers in the order of `plane_power_W_V`, which takes its light beside them."""
    return (
        array.rated_W, array.coefficient_percent_per_K, array.still_exponent, array.wind_exponent, array.lift_K, array.string_V, array.voltage_percent_per_K,
    )  # fmt: skip


def tracker_numbers(tracker: Tracker, set_V: float) -> tuple[float, ...]:
    """The controller's own numbers in the order of `tracker_W`."""
    return (
        tracker.limit_A, tracker.idle_W, tracker.proportional_ratio, tracker.square_per_W, tracker.run_margin_V,
        1.0 if tracker.switched else 0.0, set_V,
    )  # fmt: skip


def hot_numbers(hot: HotBay) -> tuple[float, ...]:
    """The bay's numbers in the order of `left_in_heat_W`."""
    return (
        hot.rated_W, hot.rated_at_degC, hot.loss_percent_per_K, hot.sun_rise_K, hot.idle_rise_K, hot.linear_rise_K, hot.square_rise_K,
    )  # fmt: skip


def warmth_numbers(bank: Bank) -> tuple[float, float, float, float]:
    """The bank's own numbers in the order of `bank_hour_degC_W`."""
    keep = NEVER_KEPT_degC if bank.kept_above_degC is None else bank.kept_above_degC
    return bank.conductance_W_per_K, bank.capacity_J_per_K, keep, bank.heater_W or AMPLE_W


def array_power_W(array: Array, weather: WeatherYear) -> tuple[list[float], list[float], list[float]]:
    """Power at maximum power, string voltage there, and plane irradiance, over the year."""
    spot = weather.spot
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, weather.utc_offset_h)
    ghi, dhi = np.array(weather.ghi_W_m2), np.array(weather.dhi_W_m2)
    own = plane_numbers(array)
    power, volts, onto = [0.0] * HOURS, [0.0] * HOURS, [0.0] * HOURS
    for plane in array.planes:
        falls, through = plane_W_m2(plane, array.albedo_ratio, sun, ghi, dhi)
        share = array.kept_ratio * plane.share_ratio
        for t, (fall, let_in) in enumerate(zip(falls.tolist(), through.tolist(), strict=True)):
            if let_in > 0.0:
                made, volts[t] = plane_power_W_V(
                    fall, let_in, weather.air_degC[t], weather.wind_m_per_s[t], array.light, *own
                )
                power[t] += made * share
                onto[t] += fall * plane.share_ratio
    return power, volts, onto


def stay_of_day(stays: Sequence[StayPlan]) -> tuple[StayPlan | None, ...]:
    """The stay of each day 0..364; where two overlap the later in the file holds."""
    out: list[StayPlan | None] = [None] * 365
    for stay in stays:
        a, b = stay.first_day, stay.last_day
        for day in range(a, b + 1) if a <= b else (*range(a, 365), *range(b + 1)):
            out[day] = stay
    return tuple(out)


def lived_days(stays: Sequence[StayPlan]) -> NDArray[np.bool_]:
    """By day 0..364 whether somebody is there."""
    return np.array([s is not None and s.lived(d) for d, s in enumerate(stay_of_day(stays))])


def between_days(stays: Sequence[StayPlan]) -> NDArray[np.bool_]:
    """By day 0..364 whether it lies between two outings of a stay."""
    return np.array([s is not None and s.is_between(d) for d, s in enumerate(stay_of_day(stays))])


def as_if_lived(plan: EnergyPlan) -> EnergyPlan:
    """The plan with every day of its stays lived in: how long a bank lasts is asked of people who stay."""
    return replace(plan, stays=tuple(replace(s, lived_days=None) for s in plan.stays))


def place_of_day(stays: Sequence[StayPlan]) -> tuple[int, ...]:
    """Which stay's weather falls on each day: a day in no stay is spent where the last one was."""
    by_day = stay_of_day(stays)
    index = {id(s): k for k, s in enumerate(stays)}
    known = [None if s is None else index[id(s)] for s in by_day]
    last = next((k for k in reversed(known) if k is not None), 0)
    out = []
    for k in known:
        last = last if k is None else k
        out.append(last)
    return tuple(out)


def bank_temperature(
    bank: Bank,
    air_degC: Sequence[float],
    indoors_degC: Sequence[float | None],
    array_and_asked_W: tuple[Sequence[float], Sequence[float]] = ((), ()),
) -> tuple[list[float], list[float]]:
    """Temperature of the bank through the year, and the heat its own heater takes from the bus.

    Indoors it stands with the living space, else behind the loss of its place.  A heater that runs on surplus needs what
    the array gives and what the loads ask, by hour.
    """
    conductance, capacity, keep, heater = warmth_numbers(bank)
    array, asked = array_and_asked_W
    temperatures: list[float] = []
    heats: list[float] = []
    first = indoors_degC[0]
    now = first if first is not None and bank.regime in INDOOR else air_degC[0]
    for t, (air, indoors) in enumerate(zip(air_degC, indoors_degC, strict=True)):
        around = indoors if indoors is not None and bank.regime in INDOOR else air
        most = surplus_W(heater, array[t], asked[t]) if bank.heated_by_surplus else heater
        now, heat = bank_hour_degC_W(now, around, conductance, capacity, keep, most)
        temperatures.append(now)
        heats.append(heat if bank.heater_W > 0.0 else 0.0)
    return temperatures, heats


def charge_limits(bank: Bank, bank_degC: Sequence[float]) -> list[float]:
    """Charging current allowed by hour."""
    out: list[float] = []
    allowed = 1.0
    for now in bank_degC:
        allowed = charge_allowed_ratio(
            now, allowed, bank.charge_min_degC, bank.charge_max_degC, bank.resume_K
        )
        out.append(bank.charge_A * allowed)
    return out


def hours_of(
    plan: EnergyPlan,
    weather_for: Callable[[StayPlan], WeatherYear],
    shade: Mapping[str, NDArray[np.float64]] | None = None,
) -> Hours:
    """The year's hours of a plan, each day under the weather of its stay's place; `shade` holds factors by hour for arrays."""
    where = place_of_day(plan.stays)
    skies = [weather_for(stay) for stay in plan.stays]
    array_in, array_out, onto, air = [0.0] * HOURS, [0.0] * HOURS, [0.0] * HOURS, [0.0] * HOURS
    rated = sum(a.rated_W for t in plan.trackers for a in t.arrays) or 1.0
    light, _ = light_and_link(plan)
    made = [_Made(tracker) for tracker in plan.trackers]
    for sky in {id(s): s for s in skies}.values():
        hours = [t for d, k in enumerate(where) if skies[k] is sky for t in range(24 * d, 24 * d + 24)]
        for t in hours:
            air[t] = sky.air_degC[t]
        for tracker, of in zip(plan.trackers, made, strict=True):
            total, volts = [0.0] * HOURS, [0.0] * HOURS
            for array, (on, whole, left) in zip(tracker.arrays, of.arrays, strict=True):
                power, volts, falls = array_power_W(array, sky)
                kept = shade[array.id].tolist() if shade and array.id in shade else None
                for t in hours:
                    on[t], whole[t] = falls[t], power[t]
                    left[t] = power[t] if kept is None else power[t] * kept[t]
                    total[t] += left[t]
                    onto[t] += falls[t] * array.rated_W / rated
            own = tracker_numbers(tracker, plan.bank.set_V)
            hot = hot_numbers(tracker.hot)
            for t in hours:
                cool = tracker_W(total[t], volts[t], *own)
                out = left_in_heat_W(cool, light[t // 24], air[t], sky.ghi_W_m2[t], *hot)
                of.cool_W[t], of.out_W[t] = cool, out
                array_out[t] += out
                array_in[t] += total[t]
    lit = [light[t // 24] * w for t, w in enumerate(array_out)]
    bank_degC, heat_W = bank_temperature(plan.bank, air, indoors_of(plan), (lit, asked_W(plan).tolist()))
    factors = [cold_resistance_factor(x, plan.bank.activation_kJ_per_mol) for x in bank_degC]
    give = [plan.bank.discharge_A if x >= plan.bank.discharge_min_degC else 0.0 for x in bank_degC]
    columns = (
        array_out,
        [plan.bank.resistance_ohm * f for f in factors],
        charge_limits(plan.bank, bank_degC),
        give,
        heat_W,
    )
    return Hours(
        rows_of(plan, columns), tuple(array_in), tuple(bank_degC), tuple(onto), tuple(m.told() for m in made)
    )


class _Made:
    """The hours of a controller while they are put together, place by place."""

    def __init__(self, tracker: Tracker) -> None:
        self._tracker = tracker
        self.arrays = [([0.0] * HOURS, [0.0] * HOURS, [0.0] * HOURS) for _ in tracker.arrays]
        self.cool_W, self.out_W = [0.0] * HOURS, [0.0] * HOURS

    def told(self) -> TrackerHours:
        arrays = tuple(
            ArrayHours(a.id, *map(tuple, lists))
            for a, lists in zip(self._tracker.arrays, self.arrays, strict=True)
        )
        return TrackerHours(self._tracker.id, arrays, tuple(self.cool_W), tuple(self.out_W))


def indoors_of(plan: EnergyPlan) -> list[float | None]:
    """Temperature of the living space by hour; None where nobody heats it."""
    out: list[float | None] = []
    for d, s in enumerate(stay_of_day(plan.stays)):
        out += [s.indoors_degC if s is not None and not s.is_between(d) else None] * 24
    return out


def by_day_hour(plan: EnergyPlan, name: str) -> NDArray[np.float64]:
    """A column of the stays' days through the year, by hour; zero where nobody is."""
    out = np.zeros(HOURS)
    blocks: dict[int, NDArray[np.float64]] = {}
    for d, stay in enumerate(stay_of_day(plan.stays)):
        if stay is not None:
            day = stay.day(d, MONTH_OF_DAY[d])
            if id(day) not in blocks:
                blocks[id(day)] = np.array(getattr(day, name))
            out[24 * d : 24 * d + 24] = blocks[id(day)]
    return out


def asked_W(plan: EnergyPlan) -> NDArray[np.float64]:
    """What the loads ask of the bus by hour, about: the inverter's loss beside its idle taken as proportional."""
    ac = by_day_hour(plan, "ac_W") * (1.0 + plan.inverter.proportional_ratio)
    return by_day_hour(plan, "dc_W") + ac + by_day_hour(plan, "idle_W")


def ladder_of(plan: EnergyPlan) -> NDArray[np.float64]:
    """What is given up first, by hour and step, each with those before it (8760, 3)."""
    out = np.zeros((HOURS, 3))
    blocks: dict[int, NDArray[np.float64]] = {}
    for d, stay in enumerate(stay_of_day(plan.stays)):
        if stay is not None:
            day = stay.day(d, MONTH_OF_DAY[d])
            if id(day) not in blocks:
                blocks[id(day)] = np.array(day.ladder_W).T
            out[24 * d : 24 * d + 24] = blocks[id(day)]
    return out


def light_and_link(plan: EnergyPlan) -> tuple[list[float], list[float]]:
    """By day: the share of the array's yield that reaches the controllers, and 0 where the bank is cut off."""
    light, link = [], []
    for stay in stay_of_day(plan.stays):
        joined = 0.0 if stay is not None and stay.isolated else 1.0
        link.append(joined)
        light.append(joined * (stay.shade_ratio if stay is not None else 1.0))
    return light, link


def row_array(plan: EnergyPlan) -> NDArray[np.float64]:
    """The same as `rows_of` without weather, as an array (8760, BY_HOUR); days alike are worked out once."""
    quiet = Day((plan.own_use_Wh_per_day / 24.0,) * 24, NOTHING, NOTHING, NOTHING, NOTHING, NOTHING)
    out = np.zeros((HOURS, 10))
    blocks: dict[int, NDArray[np.float64]] = {}
    for d, stay in enumerate(stay_of_day(plan.stays)):
        day = stay.day(d, MONTH_OF_DAY[d]) if stay is not None else quiet
        if id(day) not in blocks:
            asks = (day.dc_W, day.ac_W, day.idle_W, day.supply_W, day.bus_W, day.may_run)
            blocks[id(day)] = np.array(asks, dtype=np.float64).T
        out[24 * d : 24 * d + 24, 1:7] = blocks[id(day)]
    return out


def rows_of(plan: EnergyPlan, weather: tuple[Sequence[float], ...] | None) -> tuple[tuple[float, ...], ...]:
    """The year's rows in the order of `step.BY_HOUR`.

    `weather` holds array power, bank resistance, charging and discharging limit and bank heat by hour; None leaves
    them zero, for years whose weather differs by lane.
    """
    quiet = Day((plan.own_use_Wh_per_day / 24.0,) * 24, NOTHING, NOTHING, NOTHING, NOTHING, NOTHING)
    light, link = light_and_link(plan)
    rows: list[tuple[float, ...]] = []
    for d, stay in enumerate(stay_of_day(plan.stays)):
        day = stay.day(d, MONTH_OF_DAY[d]) if stay is not None else quiet
        for h in range(24):
            t = 24 * d + h
            array, ohm, take, give, heat = (column[t] for column in weather) if weather else NOTHING[:5]
            rows.append((
                light[d] * array, day.dc_W[h] + link[d] * heat, day.ac_W[h], day.idle_W[h], day.supply_W[h],
                day.bus_W[h], day.may_run[h], ohm, link[d] * take, give,
            ))  # fmt: skip
    return tuple(rows)
