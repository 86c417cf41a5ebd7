"""Charts of the year for the energy page, each with its caption, and nights lost as the bank grows older."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.svg import svg_of
from ohmwright.drawing.year_charts import bad_week_chart, months_chart, sizes_chart
from ohmwright.energy.low_week import lowest_week
from ohmwright.energy.types import Year
from ohmwright.papers.doc import Block, Chart, Column, Heading, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.papers.phrases import told_sheet


def months_picture(m: Material, y: Year) -> Chart:
    """Wanted and given by month."""
    key = "energy.chart-months" if y.years > 1 else "energy.chart-months-one"
    return _chart(m, months_chart([asdict(r) for r in y.months]), m.words.say(key, years=y.years))


def bad_week(m: Material, y: Year) -> Iterator[Block]:
    """The bad week by chance, else the lowest one of the year that was run."""
    w, chance = m.words, y.by_chance.get("bad_week")
    told = chance if isinstance(chance, Mapping) else lowest_week(y.soc_by_hour) if y.years == 1 else None
    if told is None:
        return
    yield Heading(w.say("energy.bad-week"), 2)
    key = "energy.chart-week" if told["year"] is not None else "energy.chart-week-one"
    yield _chart(m, bad_week_chart(told), w.say(key, years=y.years))


def sizes(m: Material, y: Year) -> Iterator[Block]:
    """Nights lost against array and bank, and what that comes to in words."""
    w, told = m.words, y.by_chance.get("sizes")
    if isinstance(told, Mapping):
        yield Heading(w.say("energy.sizes"), 2)
        yield _chart(m, sizes_chart(told), w.say("energy.chart-sizes", years=told["years"]))
        yield Text(_sentence(str(told["words"])))
    elif y.years == 1:
        yield Text(w.say("energy.one-year-charts"), "note")


def buys(m: Material, most: int = 0) -> Iterator[Block]:
    """What would buy nights back, the most first; `most` keeps those that help for sure, so many of them."""
    w, y = m.words, m.year
    found = y.bought if y is not None else ()
    if most:
        found = tuple(b for b in found if b.saved > 2 * b.error)[:most]
    if y is None or not found:
        return
    yield Heading(w.say("energy.bought"), 2)
    yield Points(tuple(_sentence(b.words) for b in found))
    if not most:
        yield Text(w.say("energy.bought-note", years=y.by_chance.get("bought_years", y.years)), "note")


def nights_by_age(m: Material, y: Year) -> Iterator[Block]:
    """Nights lost in one year in ten by year of the bank's life, between the two ends of its ageing."""
    w, told = m.words, y.by_chance.get("ages")
    if not isinstance(told, Mapping):
        return
    new = told["new_one_in_ten"]
    rows: list[tuple[Any, ...]] = [(w.say("energy.new"), new, new)]
    rows += [
        (f"{r['year_of_life']}", r["nights_one_in_ten_least"], r["nights_one_in_ten_most"])
        for r in told["rows"]
    ]
    yield Table(
        (
            Column(w.say("energy.life")),
            Column(w.say("energy.aged-least"), 0),
            Column(w.say("energy.aged-most"), 0),
        ),
        tuple(rows),
        title=w.say("energy.nights-by-age"),
    )
    error = max(r["nights_error"] for r in told["rows"])
    yield Text(w.say("energy.nights-by-age-note", years=told["years"], error=f"{error:.1f}"), "note")


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _chart(m: Material, sheet: Sheet, caption: str) -> Chart:
    drawn = told_sheet(sheet, m.words, m.rig)
    return Chart(svg_of(drawn), drawn.description, caption, drawn.width)
