"""The year as an almanac: 52 weeks of sun, wants, carried and unserved, and the worst week."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from ohmwright.energy.types import Year
from ohmwright.services.kept import found, keep, name_of_rig
from ohmwright.services.opening import Opened

if TYPE_CHECKING:
    from ohmwright.energy.daybook import DayBook
    from ohmwright.energy.one_year import OneYear

Tell = Callable[[str], None]
WEEKS = 52
DAYS = 7
ROOM = "almanacs"
TYPICAL = "typicals"
#: Any year of 365 days.
DATED = 2025


@dataclass(frozen=True, slots=True)
class Week:
    """A week; the last one has eight days. `usual` and `bad` are nights lost: in the typical year, in one made year of ten."""

    number: int
    month: int
    first_day: int
    sun_kWh: float
    wants_kWh: float
    carried_ratio: float
    unserved_kWh: float
    usual: int
    bad: int | None


@dataclass(frozen=True, slots=True)
class BadWeek:
    """The worst week, hour by hour: of the typical year, or of a one-in-ten year with the band of made years by day."""

    number: int
    first_day: int
    soc: tuple[float, ...]
    band: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Almanac:
    """A year to be read off."""

    year: Year
    weeks: tuple[Week, ...]
    bad: BadWeek


@dataclass(frozen=True, slots=True)
class Typical:
    """The typical year as an almanac, with its hours."""

    almanac: Almanac
    one: "OneYear"


def typical(opened: Opened) -> Typical:
    """The typical year by week, and the hours that it was made from: from the last time, or run now."""
    kept = kept_typical(opened)
    if kept is not None:
        return kept
    from ohmwright.energy.year import answer
    from ohmwright.services.year import typical_year

    one = typical_year(opened)
    made = Typical(_of(one, answer(opened.rig, one)), one)
    keep(TYPICAL, name_of_rig(opened), made)
    return made


def kept_typical(opened: Opened) -> Typical | None:
    """The typical year, if it was run before for this very rig."""
    return found(Typical, TYPICAL, name_of_rig(opened))


def notes_of(made: Almanac) -> tuple[str, ...]:
    """What is to be said of the year; of which years its rows are the sheet itself says."""
    from ohmwright.energy.likely import OF_WHICH_YEARS

    return tuple(n for n in made.year.notes if n != OF_WHICH_YEARS)


def almanac_of(opened: Opened, years: int, tell: Tell = lambda _: None) -> Almanac:
    """The typical year by week, and beside it what happens one made year in ten, what other sizes would do and what buys nights back, as the command tells it."""
    from ohmwright.services.year import year_of_opened

    tell("the typical year")
    one = typical(opened).one
    more = f"{years} made years, other sizes of array and bank, and what would buy nights back"
    year = year_of_opened(
        opened, years=years, with_charts=True, with_sizes=True, with_buys=True, at_once=lambda _: tell(more)
    ).year
    made = _of(one, year)
    keep(ROOM, name_of_rig(opened, str(years)), made)
    return made


def kept_almanac(opened: Opened, years: int) -> Almanac | None:
    """The almanac with that many made years, if it was worked out before for this very rig."""
    return found(Almanac, ROOM, name_of_rig(opened, str(years)))


def _of(one: "OneYear", year: Year) -> Almanac:
    from ohmwright.energy.daybook import DayBook
    from ohmwright.energy.loop import MONTH_OF_DAY

    book = DayBook(one)
    made = year.by_chance.get("weeks")
    band = year.by_chance.get("bad_week")
    return Almanac(
        year,
        _weeks(book, MONTH_OF_DAY, made if isinstance(made, list) else None),
        _bad_week(book) if not isinstance(band, dict) else _made_bad_week(band),
    )


def _weeks(
    book: "DayBook", month_of_day: Sequence[int], made: list[dict[str, Any]] | None
) -> tuple[Week, ...]:
    from ohmwright.energy.spans import week_span

    out = []
    for w in range(WEEKS):
        span = week_span(w + 1)
        out.append(
            Week(
                number=w + 1,
                month=int(month_of_day[span.days[0]]) + 1,
                first_day=span.days[0],
                sun_kWh=book.kWh("sun", span.hours),
                wants_kWh=book.kWh("wants", span.hours),
                carried_ratio=min(book.soc[t] for t in span.hours),
                unserved_kWh=book.kWh("unserved", span.hours),
                usual=sum(book.is_lost(d) for d in span.days),
                bad=round(made[w]["nights_lost_one_in_ten"]) if made else None,
            )
        )
    return tuple(out)


def _bad_week(book: "DayBook") -> BadWeek:
    """The week that gives least of what is asked; where nothing is missing, the one with the lowest charge."""
    from ohmwright.energy.why_year import worst_weeks

    span = worst_weeks(book)[0]
    return BadWeek(int(span.name[5:]), span.days[0], tuple(book.soc[t] for t in span.hours), ())


def _made_bad_week(told: dict[str, Any]) -> BadWeek:
    """The bad week of a one-in-ten year: the band by day is the lowest of the lower and of the upper edge."""
    month, day = (int(n) for n in told["first_day"].split("-"))
    first = (date(DATED, month, day) - date(DATED, 1, 1)).days
    low, high = told["soc_low"], told["soc_high"]
    days = [slice(24 * d, 24 * d + 24) for d in range(DAYS)]
    return BadWeek(
        min(first // DAYS, WEEKS - 1) + 1,
        first,
        tuple(told["soc"]),
        tuple((min(low[d]), min(high[d])) for d in days),
    )
