"""The energy page shows what the year looks like: months, bad week, sizes; with one year of weather only what one year can tell."""

from dataclasses import replace

import numpy as np
import pytest
from tests.papers.packs import DEMOS, Made, material

from ohmwright.energy.low_week import lowest_week
from ohmwright.energy.types import Year
from ohmwright.papers.catalogue import words
from ohmwright.papers.doc import Chart, Doc, Heading, Table, Text
from ohmwright.papers.energy_page import energy_page
from ohmwright.services.opening import open_rig
from ohmwright.services.year_kept import year_kept


def _page(year: Year) -> Doc:
    return energy_page(replace(material("boat/rig.yaml", words()), year=year))


@pytest.fixture(scope="module")
def many() -> Year:
    """Sixteen years of the boat, with what the page draws."""
    return year_kept(open_rig(str(DEMOS / "boat" / "rig.yaml")), years=16, for_page=True)


@pytest.fixture(scope="module")
def one() -> Year:
    """One year of the boat."""
    return year_kept(open_rig(str(DEMOS / "boat" / "rig.yaml")), years=1, for_page=True)


def test_years_of_chance_give_three_charts_each_with_a_caption_of_its_own(many: Year) -> None:
    page = _page(many)
    charts = [b for b in page.blocks if isinstance(b, Chart)]
    captions = [c.caption for c in charts]
    assert len(charts) == len(set(captions)) == 3
    for chart, unit in zip(charts, ("kWh", "charge of the bank, %", "rated power of the array, W"), strict=True):  # fmt: skip
        assert unit in chart.svg
    for title in (b.text for b in page.blocks if isinstance(b, Heading)):
        assert not any(f">{title}</text>" in c.svg or c.caption.startswith(title) for c in charts), title


def test_nights_lost_by_age_are_those_of_the_year_and_no_fewer_if_the_bank_ages_most(many: Year) -> None:
    table = next(b for b in _page(many).blocks if isinstance(b, Table) and "grows older" in b.title)
    ages = many.by_chance["ages"]
    assert isinstance(ages, dict)
    assert [row[0] for row in table.rows] == ["new", *(str(r["year_of_life"]) for r in ages["rows"])]
    assert len(table.rows) == 4
    for _, least, most in table.rows:
        assert isinstance(least, float)
        assert isinstance(most, float)
        assert least <= most


def test_one_year_gives_the_months_and_its_lowest_week_and_says_what_it_cannot_show(one: Year) -> None:
    page = _page(one)
    charts = [b for b in page.blocks if isinstance(b, Chart)]
    assert len(charts) == 2
    assert "one in ten" not in "".join(c.svg for c in charts)
    assert all("one year that was run" in c.caption for c in charts)
    assert words().say("energy.one-year-charts") in [b.text for b in page.blocks if isinstance(b, Text)]


def test_the_lowest_week_is_the_one_a_reference_library_finds(one: Year) -> None:
    soc = np.array(one.soc_by_hour)
    means = [np.roll(soc, -24 * d)[:168].mean() for d in range(365)]
    week = lowest_week(one.soc_by_hour)
    assert week is not None
    assert np.mean(week["soc"]) == pytest.approx(min(means), abs=1e-9)
    month, day = (int(x) for x in week["first_day"].split("-"))
    at = (np.datetime64(f"2025-{month:02}-{day:02}") - np.datetime64("2025-01-01")).astype(int)
    assert means[at] == pytest.approx(min(means), abs=1e-9)
    assert lowest_week(()) is None


def test_poppler_reads_the_axes_on_the_printed_page(trailer: Made) -> None:
    for told in ("energy of the month, kWh", "charge of the bank, %", "midnight at the ticks"):
        assert trailer.has("energy.pdf", told)
