"""Which days of a stay are lived in when the file gives fewer nights than the span holds."""

import math
from collections.abc import Sequence
from dataclasses import replace

from ohmwright.energy.loads import Notes
from ohmwright.energy.plan import LIVED_IN, StayPlan
from ohmwright.energy.promises import day_name
from ohmwright.energy.series import stay_of_day

#: Nights of an outing where the file does not say how long one is (common practice, no source).
USUAL_nights = 3
PASSAGE = "passage"


def outing_days(days: Sequence[int], nights: int, outing_nights: int) -> tuple[tuple[int, ...], ...]:
    """`nights` of `days` in outings of so many nights, the last one of what is left, spread evenly.

    As many days lie between two outings as everywhere else, half as many before the first and behind the last.
    """
    if nights <= 0:
        return ()
    count = math.ceil(nights / outing_nights)
    free = len(days) - nights
    out = []
    for k in range(count):
        first = outing_nights * k + free * (2 * k + 1) // (2 * count)
        out.append(tuple(days[first : first + min(outing_nights, nights - outing_nights * k)]))
    return tuple(out)


def with_outings(
    stays: Sequence[StayPlan], nights: Sequence[int | None], notes: Notes
) -> tuple[StayPlan, ...]:
    """The stays, each with the days on which somebody is there; `nights` as the file gives them.

    A span of so many days holds one night less, so that many nights fill it.  A passage is one outing from its first day.
    """
    held = stay_of_day(stays)
    out = []
    for stay, count in zip(stays, nights, strict=True):
        ring = [(stay.first_day + k) % 365 for k in range((stay.last_day - stay.first_day) % 365 + 1)]
        days = [d for d in ring if held[d] is stay]
        if count is None or stay.isolated or stay.mode not in LIVED_IN or count >= len(days) - 1:
            out.append(replace(stay, between={}))
            continue
        told = f"{count} of {len(days)} days are lived in"
        if stay.mode == PASSAGE:
            outings: tuple[tuple[int, ...], ...] = (tuple(days[:count]),)
            told += ", in one go from its first day"
        else:
            length = stay.away_nights or USUAL_nights
            outings = outing_days(days, count, length)
            told += f", in outings of {length} nights spread evenly over the span"
            if outings:
                told += (
                    f", the first from {day_name(outings[0][0])}, the last from {day_name(outings[-1][0])}"
                )
            if not stay.away_nights:
                notes.assume(
                    f"{stay.name}: outings of {USUAL_nights} nights (common practice, no source); write away: 6 for six nights"
                )
        notes.assume(f"{stay.name}: {told}")
        notes.assume(
            "on the days between outings nobody is there: only what an unattended rig asks, the array charging as usual"
        )
        lived = frozenset(d for outing in outings for d in outing)
        out.append(replace(stay, lived_days=lived, notes=(*stay.notes, told)))
    return tuple(out)
