"""The year as an almanac: 52 weeks of sun, wants, carried and unserved, and the week in which the bank falls farthest."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ohmwright.energy.types import Year
from ohmwright.services.opening import Opened

if TYPE_CHECKING:
    from ohmwright.energy.one_year import OneYear

WEEKS = 52
DAYS = 7


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
    """The week in which the bank falls farthest, hour by hour in the typical year; the band by day from made years."""

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


def almanac(opened: Opened, years: int) -> Almanac:
    """The typical year by week; with `years` above 1 what happens one made year in ten beside it."""
    from ohmwright.energy.loop import MONTH_OF_DAY
    from ohmwright.energy.year import answer
    from ohmwright.services.year import typical_year

    one = typical_year(opened)
    if years <= 1:
        return Almanac(answer(opened.rig, one), _weeks(one, MONTH_OF_DAY, None), _bad_week(one, None))
    from ohmwright.energy.asks import asks_of
    from ohmwright.energy.chance import many_years
    from ohmwright.energy.kernel import prepare
    from ohmwright.energy.likely import with_chance
    from ohmwright.energy.one_year import WHOLE_Wh
    from ohmwright.energy.spread import Spread
    from ohmwright.services.year import kernel_folder

    kernel, spots, asks = (
        prepare(kernel_folder()),
        [sky.spot for sky in one.skies],
        asks_of(opened.rig, one.plan),
    )
    many = many_years(kernel, one.plan, spots, years, 0, spread=Spread(), shade=one.shade, asks=asks)
    whole = with_chance(opened.rig, answer(opened.rig, one, alone=False), one, many)
    short = (many.column("unserved_Wh") > WHOLE_Wh).tolist()
    lowest = many.column("soc_min").tolist()
    return Almanac(whole, _weeks(one, MONTH_OF_DAY, short), _bad_week(one, lowest))


def _span(week: int) -> range:
    return range(week * DAYS, 365 if week == WEEKS - 1 else (week + 1) * DAYS)


def _weeks(one: "OneYear", month_of_day: Sequence[int], short: list[list[bool]] | None) -> tuple[Week, ...]:
    columns, curtailed, lacking, days_short = (
        one.accounts.columns,
        one.curtailed_Wh(),
        one.lacking_Wh(),
        one.days_short(),
    )
    out = []
    for w in range(WEEKS):
        days = _span(w)
        hours = slice(24 * days.start, 24 * days.stop)
        used, missing = sum(columns["array_Wh"][hours]), sum(lacking[hours])
        lost = sorted(sum(year[d] for d in days) for year in short) if short else None
        out.append(
            Week(
                number=w + 1,
                month=int(month_of_day[days.start]) + 1,
                first_day=days.start,
                sun_kWh=(used + sum(curtailed[hours])) / 1000.0,
                wants_kWh=(sum(columns["load_Wh"][hours]) + missing) / 1000.0,
                carried_ratio=min(one.accounts.soc[hours]),
                unserved_kWh=missing / 1000.0,
                usual=sum(days_short[d] for d in days),
                bad=lost[min(len(lost) - 1, int(0.9 * len(lost)))] if lost else None,
            )
        )
    return tuple(out)


def _bad_week(one: "OneYear", lowest: list[list[float]] | None) -> BadWeek:
    soc = one.accounts.soc
    week = max(
        range(WEEKS),
        key=lambda w: soc[24 * _span(w).start] - min(soc[24 * _span(w).start : 24 * _span(w).stop]),
    )
    days = _span(week)
    band = []
    for d in days if lowest else ():
        values = sorted(year[d] for year in lowest or ())
        n = len(values)
        band.append((values[int(0.1 * n)], values[min(n - 1, int(0.9 * n))]))
    return BadWeek(week + 1, days.start, tuple(soc[24 * days.start : 24 * days.stop]), tuple(band))
