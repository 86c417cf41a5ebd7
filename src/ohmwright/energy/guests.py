"""Guests and what was forgotten in the interview: a line of its own, only when it is asked for."""

from dataclasses import replace

from ohmwright.energy.plan import LIVED_IN, Day, EnergyPlan
from ohmwright.working import grouped


def with_guests(plan: EnergyPlan, ratio: float) -> EnergyPlan:
    """The plan with so much more of everything that people use, on the days when somebody is there."""
    more, days = 0.0, 0
    stays = []
    for stay in plan.stays:
        if stay.mode not in LIVED_IN or stay.isolated:
            stays.append(stay)
            continue
        for day in stay.days.values():
            more += ratio * (sum(day.dc_W) - sum(day.steady_W) + sum(day.ac_W))
            days += 1
        stays.append(replace(stay, days={m: _fuller(d, 1.0 + ratio) for m, d in stay.days.items()}))
    said = f"guests and forgotten: {100 * ratio:.0f} % more of what people use, about {grouped(more / max(days, 1))} Wh a day"
    return replace(plan, stays=tuple(stays), assumptions=(*plan.assumptions, said))


def _fuller(day: Day, factor: float) -> Day:
    return replace(
        day,
        dc_W=tuple(factor * (w - s) + s for w, s in zip(day.dc_W, day.steady_W, strict=True)),
        ac_W=tuple(factor * w for w in day.ac_W),
        ladder_W=tuple(tuple(factor * w for w in step) for step in day.ladder_W),
    )
