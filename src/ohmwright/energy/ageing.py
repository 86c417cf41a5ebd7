"""What a bank of lithium iron phosphate loses by year of life when every year is like this one: a range, not a warranty.

Two readings share the calendar of Naumann (2018) and differ in the cycles: Naumann (2020), which knows depth but no
temperature, and Wang (2011), which knows temperature but no depth.  Under a changing stress a root law goes on from the
virtual age at which the present stress would have lost as much; carried through, that makes the square of what is lost
the sum of the squares.  What the lost capacity does to nights lost, `ages` tells; what it does to the ageing of the rest is not
followed up.
"""

from collections.abc import Sequence
from itertools import pairwise

from ohmwright.energy.one_year import OneYear
from ohmwright.energy.rainflow import cycles_of
from ohmwright.energy.types import Ageing
from ohmwright.physics.ageing import (
    YEAR_s,
    calendar_lost_ratio,
    first_cycle_lost_ratio,
    first_year_lost_ratio,
    resistance_grown_ratio,
    wang_lost_ratio,
)

#: Charge of Wang's cell at which his law counts what goes through.
WANG_Ah = 2.0
END_ratio = 0.20
MOST_years = 25
#: How far a bank may lie from a study of one cell, either way (own judgement, no source).
DOUBT_ratio = 0.30
#: Cycles shallower than this are left out: they are rounding and standby.
LEAST_DEPTH_ratio = 0.005


def ageing_of(one: OneYear) -> Ageing:
    """The ageing that one year's charge and temperature make, year after year."""
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
    rate = _rate_per_h(one)
    calendar_square = sum(first_year_lost_ratio(t, s) ** 2 for t, s in zip(warm, soc, strict=True)) / len(soc)
    cycle_square = sum(r * n * first_cycle_lost_ratio(rate, r) ** 2 for r, n in swings)
    grown = sum(resistance_grown_ratio(t, YEAR_s / len(warm)) for t in warm)
    by_year = []
    for year in range(1, MOST_years + 1):
        standing = calendar_lost_ratio(calendar_square**0.5, year * YEAR_s)
        first = standing + (year * cycle_square) ** 0.5
        second = standing + wang_lost_ratio(rate, _cycling_degC(one), WANG_Ah * full_cycles * year)
        most, least = (1.0 + DOUBT_ratio) * max(first, second), (1.0 - DOUBT_ratio) * min(first, second)
        by_year.append((max(1.0 - most, 0.0), 1.0 - least))
    shortest, longest = (_life(x) for x in zip(*by_year, strict=True))
    mostly = calendar_square > cycle_square
    words = (
        *about,
        "time and temperature wear it more than use does: keep it cool and not full for months"
        if mostly
        else "use wears it more than time does",
        f"after two studies of one cell each, read second-hand, and {100 * DOUBT_ratio:.0f} % either way; a range to compare by, not a warranty",
    )
    return Ageing(
        tuple(by_year), tuple(grown * y for y in range(1, MOST_years + 1)), shortest, longest, full_cycles, mean_degC, words
    )  # fmt: skip


def _life(kept: Sequence[float]) -> int | None:
    """The first year of life at whose end less than 80 % is left; None: none of those looked at."""
    return next((k + 1 for k, share in enumerate(kept) if share < 1.0 - END_ratio), None)


def _rate_per_h(one: OneYear) -> float:
    """Mean current over capacity, weighted by the charge that it moves."""
    soc = one.accounts.soc
    steps = [abs(b - a) for a, b in pairwise(soc)]
    moved = sum(steps)
    return sum(s * s for s in steps) / moved if moved > 0.0 else 0.0


def _cycling_degC(one: OneYear) -> float:
    """Mean temperature of the bank, weighted by the charge that moves."""
    soc, warm = one.accounts.soc, one.hours.bank_degC
    steps = [abs(b - a) for a, b in pairwise(soc)]
    moved = sum(steps)
    return (
        sum(s * t for s, t in zip(steps, warm[1:], strict=False)) / moved
        if moved > 0.0
        else sum(warm) / len(warm)
    )


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
