"""What promises ask of many years: how long it lasts from a full bank, whether named loads are ever short."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.loop import HOURS
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.promises import (
    DUSK_h,
    LONGEST_days,
    Named,
    away_name,
    days_meant,
    is_supply,
    names_in,
    starts_of,
)
from ohmwright.energy.series import asked_W, stay_of_day
from ohmwright.rig.model import Promise, Rig
from ohmwright.working import Figure

#: More than any hour lacks: what is not asked about may all be lost.
ALL_W = 1e12


@dataclass(frozen=True, slots=True)
class Asks:
    """By name: start days and nights; and by hour the watts that may be lost before the named loads are."""

    nights: Mapping[str, tuple[tuple[int, ...], int]] = field(default_factory=dict)
    spared_W: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)


def asks_of(rig: Rig, plan: EnergyPlan) -> Asks:
    """What the promises of a rig and the nights away of its stays ask."""
    nights: dict[str, tuple[tuple[int, ...], int]] = {}
    spared: dict[str, NDArray[np.float64]] = {}
    for promise in rig.use.promises:
        given = promise.figures.get("nights")
        days = days_meant(promise, plan)
        if isinstance(given, Figure) and days:
            nights[promise.name] = (tuple(days), min(int(given.value), LONGEST_days))
        elif is_supply(promise) and days:
            spared[promise.name] = _spared_W(rig, promise, plan, days)
    held = stay_of_day(plan.stays)
    for stay in plan.stays:
        days = starts_of(stay, [d for d in range(365) if held[d] is stay])
        if stay.away_nights and days:
            nights[away_name(stay)] = (tuple(days), min(stay.away_nights, LONGEST_days))
    return Asks(nights, spared)


def _spared_W(rig: Rig, promise: Promise, plan: EnergyPlan, days: list[int]) -> NDArray[np.float64]:
    hours = promise.figures.get("hours")
    span = hours.value / 3600.0 if isinstance(hours, Figure) else 24.0
    named = Named(rig, plan, names_in(promise, "loads"))
    out, asked, held = np.full(HOURS, ALL_W), asked_W(plan), stay_of_day(plan.stays)
    for d in days:
        stay = held[d]
        assert stay is not None
        own_W = named.watts(stay, d)
        for k in range(min(round(span), 24)):
            t = (24 * d + (DUSK_h if span < 24.0 else 0) + k) % HOURS
            out[t] = max(asked[t] - own_W[t % 24], 0.0)
    return out
