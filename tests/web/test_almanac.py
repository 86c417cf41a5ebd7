"""The almanac: weeks, tally strokes, stays by their hours, other sizes; all of them the figures of the year itself."""

import re

import pytest
from tests.web.conftest import Asked

from ohmwright.services.almanac import typical
from ohmwright.services.opening import open_rig
from ohmwright.services.strip import HOURLY_DAYS, stays_of, strip_of
from ohmwright.services.year import year_of_opened
from ohmwright.web.scale import scale_of
from ohmwright.web.strips import HIGH, WIDE, pictures
from ohmwright.working import OhmwrightError


def _one(reading: Asked, demo: str):  # type: ignore[no-untyped-def]
    return typical(open_rig(str(reading.folder / demo)))


@pytest.mark.parametrize("demo", ["trailer", "boat", "cabin"])
def test_the_stays_together_are_the_year(reading: Asked, demo: str) -> None:
    year = _one(reading, demo)
    strips = [strip_of(year.one, n) for n, _, _ in stays_of(year.one)]
    assert sum(s.whole_days for s in strips) <= 365
    lost = sum(len(s.events) for s in strips)
    assert lost == sum(w.usual for w in year.almanac.weeks)
    for strip in strips:
        assert all(lane.top >= max(lane.high) - 1e-9 for lane in strip.lanes)


def test_a_stretch_by_the_hour_holds_the_hours_of_the_year(reading: Asked) -> None:
    one = _one(reading, "trailer").one
    strip = strip_of(one, 1, first=10, days=3)
    first_day = one.plan.stays[0].first_day + 10
    assert strip.hourly
    charge = next(lane for lane in strip.lanes if lane.unit == "%")
    assert charge.mean == pytest.approx(
        [100 * s for s in one.accounts.soc[24 * first_day : 24 * first_day + 72]]
    )


def test_a_stay_over_new_year_is_in_the_order_it_is_lived(reading: Asked) -> None:
    one = _one(reading, "trailer").one
    strip = strip_of(one, 2)
    assert (strip.dates[0].month, strip.dates[-1].month) == (10, 4)
    assert not strip.hourly


def test_a_stretch_that_reaches_beyond_the_stay_is_moved_into_it(reading: Asked) -> None:
    strip = strip_of(_one(reading, "trailer").one, 1, first=9999, days=HOURLY_DAYS)
    assert strip.first + strip.days == strip.whole_days
    with pytest.raises(OhmwrightError, match="there is no stay 7"):
        strip_of(_one(reading, "trailer").one, 7)


def test_every_point_of_a_strip_lies_in_its_lane_and_no_flag_covers_another(reading: Asked) -> None:
    drawn = pictures(strip_of(_one(reading, "trailer").one, 1))
    for picture in drawn.lanes:
        for pair in picture.line.split():
            x, y = (float(v) for v in pair.split(","))
            assert 0 <= x <= WIDE
            assert 0 <= y <= HIGH
    places = [(row, x) for x, row, _ in drawn.flags]
    assert all(a == b or a[0] != b[0] or abs(a[1] - b[1]) >= 28 for a in places for b in places)


def test_a_stay_is_an_address_with_or_without_scripts(reading: Asked) -> None:
    page = reading.get("/jobs/trailer/almanac/stay/1?from=30&days=7").text
    assert "day 31 to 37 of 184" in page
    assert "<h1>" in page
    piece = reading.get("/jobs/trailer/almanac/stay/1?from=30&days=7", **{"hx-request": "true"}).text
    assert "<h1>" not in piece
    assert 'id="strip"' in piece
    for bad in ("0", "9", "x", "1?from=-3&days=x", "1?from=99999999999"):
        assert reading.get(f"/jobs/trailer/almanac/stay/{bad}").status_code in (200, 404)


@pytest.mark.slow
def test_the_scale_holds_the_sizes_of_the_year_and_marks_the_rig_as_it_stands(reading: Asked) -> None:
    opened = open_rig(str(reading.folder / "trailer"))
    told = year_of_opened(opened, years=16, with_sizes=True).year.by_chance["sizes"]
    scale = scale_of(told)
    assert scale is not None
    ticks = [(r.bank_Ah, t) for r in scale.ruled for t in r.ticks]
    assert len(ticks) == len(told["rows"])  # type: ignore[index]
    now = [(ah, t.array_W) for ah, t in ticks if t.is_now]
    assert now == [(800.0, 1200.0)], "six modules of 200 W, four batteries of 200 Ah"
    assert scale_of(None) is None


def test_the_week_rows_are_fifty_two_and_their_strokes_the_nights_of_the_year(reading: Asked) -> None:
    page = reading.get("/jobs/trailer/almanac").text
    table = page.partition("<h2>By week</h2>")[2].partition("</table>")[0]
    assert len(re.findall(r'<th scope="row">', table)) == 52
    nights = sum(int(n) for n in re.findall(r'aria-label="(\d+) nights?"', table))
    assert nights == sum(w.usual for w in _one(reading, "trailer").almanac.weeks)


def test_spans_of_days_stand_in_words(reading: Asked) -> None:
    """The cabin's file: its first stay is `06-15..10-10`."""
    for sheet in ("almanac", "almanac/stay/1"):
        page = re.sub(r"<[^>]*>", "", reading.get(f"/jobs/cabin/{sheet}").text)
        assert "15 June to 10 October" in page, sheet
        assert not re.search(r"\d\d-\d\d\.\.\d\d-\d\d", page), sheet
