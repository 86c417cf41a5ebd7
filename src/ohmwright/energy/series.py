"""From weather to what changes by the hour: array power, bank temperature, limits, loads."""

import math
from collections.abc import Callable, Sequence

import numpy as np

from ohmwright.energy.light import plane_W_m2
from ohmwright.energy.loop import HOURS, MONTH_OF_DAY, Hours
from ohmwright.energy.plan import Array, Bank, EnergyPlan, StayPlan, Tracker
from ohmwright.physics.bank import cold_resistance_factor
from ohmwright.physics.converter import converter_out_W
from ohmwright.physics.heat import compartment_degC
from ohmwright.physics.pv import (
    low_light_ratio,
    module_power_W,
    mounted_cell_degC,
    string_power_point_V,
    switched_power_W,
)
from ohmwright.sky.sun_hours import sun_hours
from ohmwright.sky.types import WeatherYear


def array_power_W(array: Array, weather: WeatherYear) -> tuple[list[float], list[float], list[float]]:
    """Power at maximum power, string voltage there, and plane irradiance, over the year."""
    spot = weather.spot
    sun = sun_hours(spot.latitude_deg, spot.longitude_deg, weather.utc_offset_h)
    ghi, dhi = np.array(weather.ghi_W_m2), np.array(weather.dhi_W_m2)
    kept = math.prod(array.kept.values())
    power = [0.0] * HOURS
    volts = [0.0] * HOURS
    onto = [0.0] * HOURS
    for plane in array.planes:
        falls, through = plane_W_m2(plane, array.albedo_ratio, sun, ghi, dhi)
        for t, (fall, let_in) in enumerate(zip(falls.tolist(), through.tolist(), strict=True)):
            if let_in <= 0.0:
                continue
            made, volts[t] = plane_power_W_V(
                array.rated_W, array.coefficient_percent_per_K, array.at_200_ratio, array.at_50_ratio,
                array.still_exponent, array.wind_exponent, array.lift_K, array.string_V, array.voltage_percent_per_K,
                fall, let_in, weather.air_degC[t], weather.wind_m_per_s[t],
            )  # fmt: skip
            power[t] += made * kept * plane.share_ratio
            onto[t] += fall * plane.share_ratio
    return power, volts, onto


def plane_power_W_V(
    rated_W: float,
    coefficient_percent_per_K: float,
    at_200_ratio: float,
    at_50_ratio: float,
    still_exponent: float,
    wind_exponent: float,
    lift_K: float,
    string_V: float,
    voltage_percent_per_K: float,
    falls_W_m2: float,
    through_W_m2: float,
    air_degC: float,
    wind_m_per_s: float,
) -> tuple[float, float]:
    """Power of an array that all lies in one plane, before its losses, and its string voltage.  Compiled as it stands."""
    cell = mounted_cell_degC(falls_W_m2, air_degC, wind_m_per_s, still_exponent, wind_exponent, lift_K)
    dim = low_light_ratio(through_W_m2, at_200_ratio, at_50_ratio)
    power = module_power_W(rated_W, through_W_m2, coefficient_percent_per_K, cell, dim)
    return power, string_power_point_V(1.0, string_V, voltage_percent_per_K, cell)


def tracker_power_W(
    tracker: Tracker, powers: Sequence[float], volts: Sequence[float], set_V: float
) -> list[float]:
    """What a controller gives at the battery for what its arrays offer, before the current limit at the hour's voltage."""
    limit = tracker.limit_A * set_V
    out = []
    for power, string_V in zip(powers, volts, strict=True):
        if tracker.switched:
            out.append(switched_power_W(power, set_V, string_V) if string_V > set_V else 0.0)
        elif string_V > set_V + tracker.run_margin_V:
            given = converter_out_W(power, tracker.idle_W, tracker.proportional_ratio, tracker.square_per_W)
            out.append(min(limit, given))
        else:
            out.append(0.0)
    return out


def stay_of_day(stays: Sequence[StayPlan]) -> tuple[StayPlan | None, ...]:
    """The stay of each day 0..364; where two overlap the later in the file holds."""
    return tuple(next((s for s in reversed(stays) if s.covers(day)), None) for day in range(365))


INDOOR = ("heated", "cabin")


def bank_temperature(
    bank: Bank, air_degC: Sequence[float], indoors_degC: Sequence[float | None]
) -> list[float]:
    """Temperature of the bank through the year: indoors with the living space, else behind the loss of its place."""
    out: list[float] = []
    now = air_degC[0]
    for air, indoors in zip(air_degC, indoors_degC, strict=True):
        around = indoors if indoors is not None and bank.regime in INDOOR else air
        now = compartment_degC(now, around, 0.0, bank.conductance_W_per_K, bank.capacity_J_per_K, 3600.0)
        if bank.kept_above_degC is not None and now < bank.kept_above_degC:
            now = bank.kept_above_degC
        out.append(now)
    return out


def charge_limits(bank: Bank, bank_degC: Sequence[float]) -> list[float]:
    """Charging current allowed by hour: none once too cold or hot, until `resume_K` inside the limit again."""
    out: list[float] = []
    blocked = False
    for now in bank_degC:
        slack = bank.resume_K if blocked else 0.0
        blocked = now < bank.charge_min_degC + slack or now > bank.charge_max_degC - slack
        out.append(0.0 if blocked else bank.charge_A)
    return out


def hours_of(plan: EnergyPlan, weather_for: Callable[[StayPlan], WeatherYear]) -> Hours:
    """The year's hours of a plan, each day under the weather of its stay's place."""
    by_day = stay_of_day(plan.stays)
    first = next(s for s in by_day if s is not None)
    # A day outside every stay is spent where the last one was, with nobody there.
    where: list[StayPlan] = []
    for stay in by_day:
        where.append(stay or (where[-1] if where else first))
    skies: dict[int, WeatherYear] = {}
    groups: dict[int, list[int]] = {}
    for day, stay in enumerate(where):
        sky = weather_for(stay)
        skies[id(sky)] = sky
        groups.setdefault(id(sky), []).extend(range(24 * day, 24 * day + 24))
    array_in = [0.0] * HOURS
    array_out = [0.0] * HOURS
    onto = [0.0] * HOURS
    air = [0.0] * HOURS
    rated = sum(a.rated_W for t in plan.trackers for a in t.arrays) or 1.0
    for key, hours in groups.items():
        weather = skies[key]
        for h in hours:
            air[h] = weather.air_degC[h]
        for tracker in plan.trackers:
            total = [0.0] * len(hours)
            volts = [0.0] * HOURS
            for array in tracker.arrays:
                power, volts, falls = array_power_W(array, weather)
                for k, h in enumerate(hours):
                    total[k] += power[h]
                    onto[h] += falls[h] * array.rated_W / rated
            volts = [volts[h] for h in hours]
            for k, given in enumerate(tracker_power_W(tracker, total, volts, plan.bank.set_V)):
                array_out[hours[k]] += given
                array_in[hours[k]] += total[k]
    indoors = [s.indoors_degC if s is not None else None for s in by_day for _ in range(24)]
    bank_degC = bank_temperature(plan.bank, air, indoors)
    return Hours(_rows(plan, by_day, array_out, bank_degC), tuple(array_in), tuple(bank_degC), tuple(onto))


def _rows(
    plan: EnergyPlan,
    by_day: Sequence[StayPlan | None],
    array_out: Sequence[float],
    bank_degC: Sequence[float],
) -> tuple[tuple[float, ...], ...]:
    charge = charge_limits(plan.bank, bank_degC)
    idle_day = plan.own_use_Wh_per_day / 24.0
    rows: list[tuple[float, ...]] = []
    for day, stay in enumerate(by_day):
        asked = stay.days[MONTH_OF_DAY[day]] if stay is not None else None
        for h in range(24):
            t = 24 * day + h
            factor = cold_resistance_factor(bank_degC[t], plan.bank.activation_kJ_per_mol)
            ohm = plan.bank.resistance_ohm * factor
            give = plan.bank.discharge_A if bank_degC[t] >= plan.bank.discharge_min_degC else 0.0
            if asked is None:
                rows.append((array_out[t], idle_day, 0.0, 0.0, 0.0, 0.0, 0.0, ohm, charge[t], give))
                continue
            array, take = (0.0, 0.0) if stay is not None and stay.isolated else (array_out[t], charge[t])
            rows.append(
                (
                    array,
                    asked.dc_W[h],
                    asked.ac_W[h],
                    asked.idle_W[h],
                    asked.supply_W[h],
                    asked.bus_W[h],
                    asked.may_run[h],
                    ohm,
                    take,
                    give,
                )
            )
    return tuple(rows)
