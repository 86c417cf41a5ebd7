"""A stay opened to its hours: lanes of one quantity each, as a recorder would have drawn the typical year."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.energy.one_year import OneYear

#: Up to so many days every hour is drawn; above, each day by its least, its mean and its most.
HOURLY_DAYS = 15
LEAST_DAYS = 2
DATED = 2025
STEPS = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Lane:
    """One quantity: by hour all three are the same."""

    name: str
    unit: str
    low: tuple[float, ...]
    mean: tuple[float, ...]
    high: tuple[float, ...]
    top: float
    """The end of its scale, which begins at 0."""
    ask: str
    """What can be asked why of it, by day."""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened, by the number of its flag."""

    number: int
    day: int
    """Of the stretch."""
    of_day: int
    """0..364 of the year."""
    told: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A stretch of a stay. `dates` are day and month of each day of it, of a year that has 365."""

    stay: int
    name: str
    whole_days: int
    first: int
    days: int
    hourly: bool
    dates: tuple[date, ...]
    lanes: tuple[Lane, ...]
    events: tuple[Event, ...]


def stays_of(one: "OneYear") -> tuple[tuple[int, str, int], ...]:
    """The stays by number, with their names and days."""
    named = ((n, s.name, len(one.days_of(s))) for n, s in enumerate(one.plan.stays, 1))
    return tuple(stay for stay in named if stay[2])


def strip_of(one: "OneYear", stay: int, first: int = 0, days: int = 0) -> Strip:
    """Days `first` and on of stay number `stay`; all of them when `days` is 0."""
    if not 1 <= stay <= len(one.plan.stays) or not one.days_of(one.plan.stays[stay - 1]):
        raise OhmwrightError(f"there is no stay {stay}", remedy="choose one on the almanac sheet")
    plan = one.plan.stays[stay - 1]
    whole = sorted(one.days_of(plan), key=lambda d: (d - plan.first_day) % 365)
    wide = min(max(days, LEAST_DAYS), len(whole)) if days else len(whole)
    begin = min(max(first, 0), len(whole) - wide)
    held = whole[begin : begin + wide]
    hourly = wide <= HOURLY_DAYS
    lost = one.nights_lost()
    lacking = one.lacking_Wh()
    events = [
        Event(n, k, d, f"{told_date(day_of_year(d))}: {sum(lacking[24 * d : 24 * d + 24]) / 1000:.2f} kWh wanted and not had, the night counts as lost")
        for n, (k, d) in enumerate(((k, d) for k, d in enumerate(held) if lost[d]), 1)
    ]  # fmt: skip
    return Strip(
        stay, plan.name, len(whole), begin, wide, hourly, tuple(day_of_year(d) for d in held), _lanes(one, held, hourly), tuple(events)
    )  # fmt: skip


def _lanes(one: "OneYear", held: list[int], hourly: bool) -> tuple[Lane, ...]:
    columns = one.accounts.columns
    could = [a + c for a, c in zip(columns["array_Wh"], one.curtailed_Wh(), strict=True)]
    charge = [100.0 * s for s in one.accounts.soc]
    return tuple(
        _lane(name, unit, ask, values, held, hourly, top)
        for name, unit, ask, values, top in (
            ("array could give", "W", "year/sun", could, 0.0),
            ("loads want", "W", "year/wants", list(columns["load_Wh"]), 0.0),
            ("charge of the bank", "%", "year/carried", charge, 100.0),
            ("not served", "W", "year/unserved", list(one.lacking_Wh()), 0.0),
        )
    )


def _lane(
    name: str, unit: str, ask: str, values: list[float], held: list[int], hourly: bool, top: float
) -> Lane:
    by_day = [values[24 * d : 24 * d + 24] for d in held]
    if hourly:
        low = mean = high = tuple(v for day in by_day for v in day)
    else:
        low, high = tuple(min(day) for day in by_day), tuple(max(day) for day in by_day)
        mean = tuple(sum(day) / len(day) for day in by_day)
    return Lane(name, unit, low, mean, high, top or _round_up(max(high)), ask)


def _round_up(most: float) -> float:
    """The next round number, so that a scale ends at a tick."""
    size = 10.0
    while size < most:
        size *= 10.0
    return next(size / 10.0 * s for s in STEPS if size / 10.0 * s >= most)


def lost_by_month(one: "OneYear") -> dict[int, int]:
    """Nights lost in each month 1..12 of the typical year."""
    lost = one.nights_lost()
    return {m: sum(lost[d] for d in range(365) if day_of_year(d).month == m) for m in range(1, 13)}


def day_name(day: int) -> str:
    """Day 0..364, over the turn of the year too, by the name by which it is asked why."""
    return f"day-{day_of_year(day % 365):%m-%d}"


def told_day(day: int) -> str:
    """Day 0..364, over the turn of the year too, as day and month."""
    when = day_of_year(day % 365)
    return f"{when.day} {when:%b}"


def day_of_year(day: int) -> date:
    """Day 0..364 as a date of any year of 365 days."""
    return date(DATED, 1, 1) + timedelta(days=day)


def told_date(when: date) -> str:
    """Day and month."""
    return f"{when.day:02d}-{when:%b}"
