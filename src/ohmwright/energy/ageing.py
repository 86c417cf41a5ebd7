"""What a bank of lithium iron phosphate loses by year of life when every year has this weather: a range, not a warranty.

Two readings share the calendar of Naumann (2018) and differ in the cycles: Naumann (2020), which knows depth but no
temperature, and Wang (2011), which knows temperature but no depth.  Under a changing stress a root law goes on from the
virtual age at which the present stress would have lost as much; carried through, that makes the square of what is lost
the sum of the squares, and for Wang's power of 0.55 the sum of the powers of 1 / 0.55.

Ageing feeds its own rate: after RERUN years the year is run again with the capacity and resistance that are left, once for each end
of the range, and ages the bank by what it then does: a smaller bank is cycled deeper and stands at another charge.  The
temperature of the bank stays, for it follows the place and not the bank.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ohmwright.energy.loop import by_rig, run, start_hour
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.plan import Bank
from ohmwright.energy.rainflow import cycles_of
from ohmwright.energy.step import BY_HOUR
from ohmwright.energy.types import Ageing
from ohmwright.physics.ageing import (
    YEAR_s,
    first_cycle_lost_ratio,
    first_year_lost_ratio,
    resistance_grown_ratio,
    wang_lost_ratio,
)

#: Charge of Wang's cell at which his law counts what goes through, and the power of his law.
WANG_Ah, WANG_POWER = 2.0, 0.55
END_ratio = 0.20
MOST_years = 25
#: Years of life after which the year is run again with what is left; a bank of less than LEAST_LEFT_ratio is not.
RERUN = (5, 10)
LEAST_LEFT_ratio = 0.3
#: How far a bank may lie from a study of one cell, either way (own judgement, no source).
DOUBT_ratio = 0.30
#: Cycles shallower than this are left out: they are rounding and standby.
LEAST_DEPTH_ratio = 0.005
_OHM = BY_HOUR.index("resistance_ohm")


@dataclass(frozen=True, slots=True)
class Wear:
    """What one year does to a bank: the squares of what the calendar and the cycles of Naumann take, Wang's power, and full cycles."""

    calendar_square: float
    cycle_square: float
    wang_power: float
    full_cycles: float


def aged(bank: Bank, capacity_ratio: float, grown_ratio: float) -> Bank:
    """The bank with so much of its capacity left and its resistance grown by so much; its limits of current stay."""
    return replace(
        bank,
        capacity_Ah=bank.capacity_Ah * capacity_ratio,
        resistance_ohm=bank.resistance_ohm * (1.0 + grown_ratio),
    )


def ageing_of(one: OneYear) -> Ageing:
    """The ageing that the year's charge and temperature make, year after year."""
    bank, soc, warm = one.plan.bank, one.accounts.soc, one.hours.bank_degC
    swings = [(r, n) for r, _, n in cycles_of(soc) if r >= LEAST_DEPTH_ratio]
    full_cycles = sum(r * n for r, n in swings)
    mean_degC = sum(warm) / len(warm)
    about = (
        f"{full_cycles:.0f} full cycle{'' if round(full_cycles) == 1 else 's'} a year, the deepest by {100 * max((r for r, _ in swings), default=0.0):.0f} %",
        f"the bank stands at {100 * sum(soc) / len(soc):.0f} % and {mean_degC:.0f} degC on the mean",
    )
    if bank.chemistry != "lfp":
        return Ageing((), (), None, None, full_cycles, mean_degC, (*about, *_lead_words(soc)))
    fresh = wear_of(soc, warm)
    grown = sum(resistance_grown_ratio(t, YEAR_s / len(warm)) for t in warm)
    most = capacity_left(one, fresh, grown, lambda first, second: (1.0 + DOUBT_ratio) * max(first, second))
    least = capacity_left(one, fresh, grown, lambda first, second: (1.0 - DOUBT_ratio) * min(first, second))
    by_year = tuple(zip(most, least, strict=True))
    mostly = fresh.calendar_square > fresh.cycle_square
    words = (
        *about,
        "time and temperature wear it more than use does: keep it cool and not full for months"
        if mostly
        else "use wears it more than time does",
        f"after two studies of one cell each, read second-hand, and {100 * DOUBT_ratio:.0f} % either way; a range to compare by, not a warranty",
    )
    return Ageing(
        by_year, tuple(grown * y for y in range(1, MOST_years + 1)), _life(most), _life(least), full_cycles, mean_degC, words
    )  # fmt: skip


def wear_of(soc: Sequence[float], warm: Sequence[float]) -> Wear:
    """The wear of a year of so much charge and warmth by hour."""
    swings = [(r, n) for r, _, n in cycles_of(soc) if r >= LEAST_DEPTH_ratio]
    full_cycles = sum(r * n for r, n in swings)
    rate, cycling_degC = _moved(soc, warm)
    return Wear(
        sum(first_year_lost_ratio(t, s) ** 2 for t, s in zip(warm, soc, strict=True)) / len(soc),
        sum(r * n * first_cycle_lost_ratio(rate, r) ** 2 for r, n in swings),
        wang_lost_ratio(rate, cycling_degC, WANG_Ah * full_cycles) ** (1.0 / WANG_POWER),
        full_cycles,
    )


def capacity_left(
    one: OneYear,
    fresh: Wear,
    grown_ratio: float,
    lost: Callable[[float, float], float],
    rerun: Sequence[int] = RERUN,
) -> list[float]:
    """What is left at the end of each year of life, when what is lost is `lost` of what the two studies say, and ages on from there."""
    wear, calendar, cycles, wang, out = fresh, 0.0, 0.0, 0.0, [1.0]
    for year in range(1, MOST_years + 1):
        if year - 1 in rerun and out[-1] >= LEAST_LEFT_ratio:
            wear = wear_of(_soc_of(one, out[-1], grown_ratio * (year - 1)), one.hours.bank_degC)
        calendar, cycles, wang = (
            calendar + wear.calendar_square,
            cycles + wear.cycle_square,
            wang + wear.wang_power,
        )
        standing = calendar**0.5
        out.append(max(1.0 - lost(standing + cycles**0.5, standing + wang**WANG_POWER), 0.0))
    return out[1:]


def _soc_of(one: OneYear, capacity_ratio: float, grown_ratio: float) -> tuple[float, ...]:
    """The state of charge through the same year with an older bank."""
    older = replace(one.plan, bank=aged(one.plan.bank, capacity_ratio, grown_ratio))
    stiff = 1.0 + grown_ratio
    rows = tuple((*row[:_OHM], row[_OHM] * stiff, *row[_OHM + 1 :]) for row in one.hours.rows)
    return run(replace(one.hours, rows=rows), by_rig(older), start_hour(one.skies[0].ghi_W_m2)).soc


def _life(kept: Sequence[float]) -> int | None:
    """The first year of life at whose end less than 80 % is left; None: none of those looked at."""
    return next((k + 1 for k, share in enumerate(kept) if share < 1.0 - END_ratio), None)


def _moved(soc: Sequence[float], warm: Sequence[float]) -> tuple[float, float]:
    """Mean current over capacity and mean temperature, weighted by the charge that moves."""
    steps = [abs(b - a) for a, b in pairwise(soc)]
    moved = sum(steps)
    if moved <= 0.0:
        return 0.0, sum(warm) / len(warm)
    return sum(s * s for s in steps) / moved, sum(
        s * t for s, t in zip(steps, warm[1:], strict=False)
    ) / moved


def _lead_words(soc: Sequence[float]) -> tuple[str, ...]:
    longest = since = 0
    for s in soc:
        since = 0 if s > 0.98 else since + 1
        longest = max(longest, since)
    low = sum(s < 0.5 for s in soc) / len(soc)
    return (
        f"up to {longest // 24} days without a full charge, {100 * low:.0f} % of the time below half: both shorten a lead-acid bank's life",
        "no figure of life is given for lead-acid: these two numbers rank rigs, no more",
    )
