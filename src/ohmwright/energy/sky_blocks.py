"""Weather of many years into what changes by the hour: loops over lanes around the leaves of `warmth`.

Arrays are (lanes, hours).  `compiled` functions are these, compiled as they stand; see `kernel.prepare`.
"""

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.warmth import (
    bank_hour_degC_W,
    charge_allowed_ratio,
    left_in_heat_W,
    plane_power_W_V,
    surplus_W,
    tracker_W,
)
from ohmwright.physics.bank import cold_resistance_factor

Reals: TypeAlias = NDArray[np.floating[Any]]


def planes_block(
    falls: Reals,
    through: Reals,
    air: Reals,
    wind_m_per_s: float,
    own: tuple[float, ...],
    light: tuple[float, ...],
    share: float,
    power: Reals,
    volts: Reals,
) -> None:
    """Add what one plane of an array gives to `power`, and put its string voltage into `volts`."""
    for lane in range(falls.shape[0]):
        for t in range(falls.shape[1]):
            if through[lane, t] > 0.0:
                made, volts[lane, t] = plane_power_W_V(
                    falls[lane, t], through[lane, t], air[lane, t], wind_m_per_s, light, *own
                )
                power[lane, t] += made * share


def trackers_block(
    power: Reals,
    volts: Reals,
    own: tuple[float, ...],
    light: Reals,
    air: Reals,
    sun: Reals,
    hot: tuple[float, ...],
    given: Reals,
) -> None:
    """Add what a controller gives to `given`; `light` is by hour what the pitch's shade lets through."""
    limit_A, idle, k1, k2, margin, switched, set_V = own
    for lane in range(power.shape[0]):
        for t in range(power.shape[1]):
            cool = tracker_W(power[lane, t], volts[lane, t], limit_A, idle, k1, k2, margin, switched, set_V)
            given[lane, t] += left_in_heat_W(cool, light[t], air[lane, t], sun[lane, t], *hot)


def banks_block(
    air: Reals, indoors: Reals, asked: Reals, own: tuple[float, ...], limits: tuple[float, ...], skies: Reals
) -> None:
    """Fill resistance, charging and discharging limit and heat of (lanes, BY_YEAR, hours); `indoors` is NaN where nobody heats.

    A heater that runs on surplus gets what the array brings beyond `asked`.
    """
    conductance, capacity, keep, heater = own
    (
        ohm,
        activation,
        charge,
        charge_min,
        charge_max,
        resume,
        discharge,
        discharge_min,
        heat_counts,
        surplus,
    ) = limits
    for lane in range(air.shape[0]):
        now = air[lane, 0] if np.isnan(indoors[0]) else indoors[0]
        allowed = 1.0
        for t in range(air.shape[1]):
            around = air[lane, t] if np.isnan(indoors[t]) else indoors[t]
            most = surplus_W(heater, skies[lane, 0, t], asked[t]) if surplus > 0.5 else heater
            now, heat = bank_hour_degC_W(now, around, conductance, capacity, keep, most)
            allowed = charge_allowed_ratio(now, allowed, charge_min, charge_max, resume)
            skies[lane, 1, t] = ohm * cold_resistance_factor(now, activation)
            skies[lane, 2, t] = charge * allowed
            skies[lane, 3, t] = discharge if now >= discharge_min else 0.0
            skies[lane, 4, t] = heat * heat_counts
