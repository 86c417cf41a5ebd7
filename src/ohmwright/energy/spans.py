"""Spans of the typical year by name: `year`, `month-3`, `week-12`, `stay-1`, `day-03-19`, `hour-03-19-12`."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.energy.loop import MONTH_DAYS, MONTH_OF_DAY, MONTHS
from ohmwright.energy.plan import StayPlan
from ohmwright.energy.series import stay_of_day
from ohmwright.working import OhmwrightError

WEEKS, WEEK_days = 52, 7
REMEDY = "write year, month-3, week-12, stay-1, day-03-19 or hour-03-19-12"
_SPAN = re.compile(r"(month|week|stay|day|hour)-(\d{1,2})(?:-(\d{1,2}))?(?:-(\d{1,2}))?")
_NUMBERS = {"month": 1, "week": 1, "stay": 1, "day": 2, "hour": 3}


@dataclass(frozen=True, slots=True)
class Span:
    """Days 0..364 of the year in the order they are lived, or one hour of one of them."""

    name: str
    words: str
    days: tuple[int, ...]
    hour: int | None = None

    @property
    def hours(self) -> tuple[int, ...]:
        """The hours 0..8759."""
        if self.hour is not None:
            return (24 * self.days[0] + self.hour,)
        return tuple(t for d in self.days for t in range(24 * d, 24 * d + 24))

    @property
    def is_day(self) -> bool:
        """Whether it is one day or less."""
        return len(self.days) == 1


def month_day(day: int) -> tuple[int, int]:
    """Month and day of month of day 0..364, both from 1."""
    month = MONTH_OF_DAY[day]
    return month + 1, day - sum(MONTH_DAYS[:month]) + 1


def day_words(day: int) -> str:
    """Day 0..364 in words: 19 March."""
    month, of = month_day(day)
    return f"{of} {MONTHS[month - 1]}"


def day_span(day: int) -> Span:
    """Day 0..364."""
    month, of = month_day(day)
    return Span(f"day-{month:02}-{of:02}", day_words(day), (day,))


def hour_span(hour: int) -> Span:
    """Hour 0..8759."""
    day, h = divmod(hour, 24)
    return Span(f"hour-{day_span(day).name[4:]}-{h:02}", f"{day_words(day)}, {h:02} to {h + 1:02} h", (day,), h)  # fmt: skip


def week_span(number: int) -> Span:
    """Week 1..52; the last has eight days."""
    first = (number - 1) * WEEK_days
    days = tuple(range(first, 365 if number == WEEKS else first + WEEK_days))
    return Span(f"week-{number}", f"week {number}, {day_words(days[0])} to {day_words(days[-1])}", days)


def month_span(number: int) -> Span:
    """Month 1..12."""
    first = sum(MONTH_DAYS[: number - 1])
    return Span(f"month-{number}", MONTHS[number - 1], tuple(range(first, first + MONTH_DAYS[number - 1])))


def stay_span(stays: tuple[StayPlan, ...], number: int) -> Span:
    """Stay 1 and on of the file, over the turn of the year if need be."""
    stay = stays[number - 1]
    owner = stay_of_day(stays)
    days = sorted((d for d in range(365) if owner[d] is stay), key=lambda d: (d - stay.first_day) % 365)
    return Span(f"stay-{number}", f"stay {number}, {stay.name}", tuple(days))


YEAR = Span("year", "the year", tuple(range(365)))


def span_of(name: str, stays: tuple[StayPlan, ...]) -> Span:
    """The span of that name.

    >>> span_of("week-12", ()).words, span_of("hour-03-19-12", ()).hours
    ('week 12, 19 March to 25 March', (1860,))
    """
    if name in ("", "year"):
        return YEAR
    found = _SPAN.fullmatch(name)
    if found is not None:
        kind, numbers = found[1], [int(n) for n in found.groups()[1:] if n]
        if len(numbers) == _NUMBERS[kind]:
            made = _of(kind, numbers, stays)
            if made is not None and made.days:
                return made
    raise OhmwrightError(f"'{name[:40]}' is no part of the year", remedy=REMEDY)


def _of(kind: str, numbers: list[int], stays: tuple[StayPlan, ...]) -> Span | None:
    n = numbers[0]
    if kind == "week":
        return week_span(n) if 1 <= n <= WEEKS else None
    if kind == "stay":
        return stay_span(stays, n) if 1 <= n <= len(stays) else None
    if not 1 <= n <= len(MONTH_DAYS):
        return None
    if kind == "month":
        return month_span(n)
    if not 1 <= numbers[1] <= MONTH_DAYS[n - 1]:
        return None
    day = sum(MONTH_DAYS[: n - 1]) + numbers[1] - 1
    if kind == "day":
        return day_span(day)
    return hour_span(24 * day + numbers[2]) if numbers[2] < 24 else None


def parts_of(span: Span) -> Iterator[Span]:
    """What a span is the sum of: the year of its months, anything else of its days, a day of its hours."""
    if span.name == "year":
        yield from (month_span(m) for m in range(1, 13))
    elif span.is_day and span.hour is None:
        yield from (hour_span(t) for t in span.hours)
    elif span.hour is None:
        yield from (day_span(d) for d in span.days)
