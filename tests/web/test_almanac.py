"""The almanac: weeks, tally strokes, stays by their hours, other sizes; all of them the figures of the year itself."""

import json
import re
import time
from html import unescape
from typing import Any

import pytest
from click.testing import CliRunner
from playwright.sync_api import expect
from tests.web.conftest import Asked, Served, ended, unheard_of
from tests.web.test_browser import PHONE, browser
from tests.web.test_browser import WIDE as SCREEN

from ohmwright.cli.program import program
from ohmwright.services.almanac import typical
from ohmwright.services.desk import Desk
from ohmwright.services.opening import open_rig
from ohmwright.services.strip import HOURLY_DAYS, stays_of, strip_of
from ohmwright.services.year import year_of_opened
from ohmwright.web.app import make_app
from ohmwright.web.aside import Aside
from ohmwright.web.bench import Bench
from ohmwright.web.scale import scale_of
from ohmwright.web.strips import HIGH, WIDE, pictures
from ohmwright.web.wanted import begin_year
from ohmwright.web.warmth import Warmth
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
    typical(open_rig(str(reading.folder / "trailer")))
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


def test_the_week_rows_are_fifty_two_and_their_strokes_the_nights_of_the_year(
    reading: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ohmwright.web.almanac.kept_almanac", lambda *_: None)  # of another test
    page = _when_run(reading, "almanac")
    table = page.partition("<h2>By week</h2>")[2].partition("</table>")[0]
    assert len(re.findall(r'<th scope="row">', table)) == 52
    nights = sum(int(n) for n in re.findall(r'aria-label="(\d+) nights?"', table))
    assert nights == sum(w.usual for w in _one(reading, "trailer").almanac.weeks)


def test_spans_of_days_stand_in_words(reading: Asked) -> None:
    """The cabin's file: its first stay is `06-15..10-10`."""
    typical(open_rig(str(reading.folder / "cabin")))
    for sheet in ("almanac", "almanac/stay/1"):
        page = re.sub(r"<[^>]*>", "", reading.get(f"/jobs/cabin/{sheet}").text)
        assert "15 June to 10 October" in page, sheet
        assert not re.search(r"\d\d-\d\d\.\.\d\d-\d\d", page), sheet


WAITS = "The typical year of this rig is worked out beside this sheet"


def _when_run(bench: Asked, sheet: str) -> str:
    """The sheet once its year has been run."""
    bench.get(f"/jobs/trailer/{sheet}")
    return ended(bench, "trailer", "year", 600.0) and bench.get(f"/jobs/trailer/{sheet}").text


@pytest.mark.parametrize("sheet", ["almanac", "almanac/stay/1"])
def test_no_sheet_waits_for_the_year_and_it_takes_its_place_when_it_is_there(
    bench: Asked, monkeypatch: pytest.MonkeyPatch, sheet: str
) -> None:
    def never(*_: Any) -> None:
        raise AssertionError("a year was run within the request")

    monkeypatch.setattr("ohmwright.energy.year.one_year", never)
    unheard_of(bench)
    bench.get("/jobs/trailer/job")
    page = bench.get(f"/jobs/trailer/{sheet}")
    assert page.status_code == 200
    assert WAITS in page.text
    assert "look again" in page.text, "for whoever has no scripts"
    assert "print this sheet again" in page.text
    until = time.monotonic() + 600
    while (state := bench.get("/jobs/trailer/year/state")).status_code == 200:
        assert time.monotonic() < until
        time.sleep(0.05)
    assert state.headers["hx-refresh"] == "true"
    there = bench.get(f"/jobs/trailer/{sheet}").text
    assert WAITS not in there
    assert "kWh" in there


@pytest.mark.parametrize("size", [SCREEN, PHONE], ids=["wide", "phone"])
def test_in_a_browser_the_year_takes_its_place_by_itself(served: Served, size: tuple[int, int]) -> None:
    unheard_of(served)
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/almanac")
        expect(page.get_by_text("The worst week:")).to_be_visible(timeout=600_000)
        page.get_by_role("link", name="week 41").click()
        expect(page.get_by_role("heading", name="Why: the worst week is week 41")).to_be_visible()
        page.get_by_role("link", name="week 41, 8 October to 14 October").first.click()
        page.get_by_role("link", name="13 October", exact=True).click()
        page.get_by_role("link", name="12 to 13 h").click()
        expect(page.get_by_role("heading", name="13 October, 12 to 13 h")).to_be_visible()
        wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, "nothing reaches beyond the page"


def test_the_interview_the_almanac_and_the_second_beat_run_one_year(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    answer = Aside.answer

    def counted(aside: Aside, do: Any, *about: Any) -> Any:
        made = answer(aside, do, *about)
        asked.extend([do.__name__] if made is not None else [])
        return made

    monkeypatch.setattr(Aside, "answer", counted)
    monkeypatch.setattr("ohmwright.web.aside.QUIET_S", 0.0)
    unheard_of(bench)
    bench.get("/jobs/trailer/almanac")
    bench.get("/jobs/trailer/interview")
    same = bench.opened("trailer")
    stream = bench.get(f"/jobs/trailer/beat?was={same}&becomes={same}&drawn=1").text
    assert "The energy year stays as it was." in stream
    _when_run(bench, "almanac")
    assert asked == ["typical_of_text"]


def test_a_year_outlives_the_bench_that_ran_it(bench: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    unheard_of(bench)
    bench.get("/jobs/trailer/almanac")
    assert "By week" in _when_run(bench, "almanac")
    monkeypatch.setattr(Aside, "answer", None)
    after = Asked(make_app(str(bench.folder)), bench.folder)
    assert "By week" in after.get("/jobs/trailer/almanac").text


def test_a_text_that_was_changed_meanwhile_needs_no_year(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Held back by a bench that is never quiet."""
    monkeypatch.setattr("ohmwright.web.aside.Aside.rest_s", lambda _: 1.0)
    unheard_of(bench)
    look = Desk(str(bench.folder)).look("trailer")
    held = Bench(str(bench.folder))
    work = begin_year(held, look)
    unheard_of(bench)
    work.wait(30.0)
    assert not work.going
    assert (work.stopped, work.trouble) == (False, "")


def test_a_stopped_year_is_begun_again_on_request_alone(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ohmwright.web.aside.Aside.rest_s", lambda _: 1.0)
    unheard_of(bench)
    assert WAITS in bench.get("/jobs/trailer/almanac").text
    assert bench.post("/jobs/trailer/year/stop", {}).headers["location"] == "/jobs/trailer/almanac"
    for sheet in ("almanac", "almanac/stay/1"):
        page = bench.get(f"/jobs/trailer/{sheet}").text
        assert "Stopped: the typical year was not worked out." in page
        assert WAITS not in page
    assert bench.post("/jobs/trailer/year", {}).headers["location"] == "/jobs/trailer/almanac"
    assert WAITS in bench.get("/jobs/trailer/almanac").text


def test_a_year_that_cannot_be_told_says_so_in_its_place(bench: Asked) -> None:
    file = bench.folder / "trailer" / "rig.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(
        text.replace("place: Duluth MN, at-coordinates: 46.8 N 92.1 W 190 m", "place: Nowhere ZZ"),
        encoding="utf-8",
    )
    bench.get("/jobs/trailer/almanac")
    page = _when_run(bench, "almanac")
    assert "The year cannot be told:" in page
    assert "Nowhere ZZ" in page


def test_an_idle_bench_has_the_years_of_its_jobs_at_hand(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    unheard_of(bench)
    held = Bench(str(bench.folder))
    look = held.desk.look("trailer")
    assert held.desk.typical_at_hand(look) is None
    monkeypatch.setattr("ohmwright.web.warmth.PATIENCE_S", 0.05)
    warmth = Warmth(held)
    warmth.begin()
    until = time.monotonic() + 600
    while held.desk.typical_at_hand(look) is None:
        assert time.monotonic() < until
        time.sleep(0.1)


# ------------------------------------------------------------------------------------------ why

LINK = re.compile(r'<a class="ask" href="([^"]+)">(.*?)</a>', re.DOTALL)
VALUE = re.compile(r'<p class="lead"><b>([^<]+)</b></p>')


def _asked_why(page: str) -> list[tuple[str, str]]:
    """Address and words of every figure of a page that can be asked why."""
    return [(unescape(href), re.sub(r"<[^>]*>", "", told)) for href, told in LINK.findall(page)]


def _is_near(told: str, value: float) -> bool:
    """Whether a figure as it is printed is that value: within half of its last digit, or of its three digits."""
    printed = re.search(r"-?[\d\u202f,]*\.?\d+", told)
    assert printed
    text = re.sub(r"[\u202f,]", "", printed[0])
    step = 10.0 ** -len(text.partition(".")[2])
    return abs(float(text) - value) <= max(0.501 * step, 0.0051 * abs(value))


@pytest.mark.parametrize("demo", ["trailer", "cabin"])
def test_behind_every_figure_of_the_almanac_stands_its_derivation_which_comes_to_it(
    reading: Asked, demo: str
) -> None:
    typical(open_rig(str(reading.folder / demo)))
    page = reading.get(f"/jobs/{demo}/almanac").text
    for cell in re.findall(r'<td class="fig">(.*?)</td>', page, re.DOTALL):
        assert 'class="ask"' in cell, f"a figure without a why: {cell}"
    asked = _asked_why(page)
    assert len(asked) > 52 * 5 + 12 * 5 + 10
    lost = re.compile("nights?-lost")
    for href, told in asked[::3]:
        answer = reading.get(href)
        assert answer.status_code == 200, href
        value = VALUE.search(answer.text)
        if "promise" in href or "year/sun&subject=year" in href.replace("%2F", "/"):
            continue
        assert value, href
        number = float(value[1].split()[0])
        if told in ("–", "no night–"):
            assert number < 0.05
        elif "worst-week" in href or "worst-week" in unescape(href):
            assert told in answer.text
        elif not lost.search(href):
            assert _is_near(told, number), (href, told, number)


def test_strokes_of_nights_lost_are_what_their_derivation_counts(reading: Asked) -> None:
    typical(open_rig(str(reading.folder / "trailer")))
    page = reading.get("/jobs/trailer/almanac").text
    strokes = re.findall(
        r'href="([^"]+nights-lost[^"]+)"><span class="tally" role="img" aria-label="(\d+) night', page
    )
    assert strokes
    for href, many in strokes:
        value = VALUE.search(reading.get(unescape(href)).text)
        assert value
        assert value[1].removesuffix(" nights") == many


@pytest.mark.parametrize("sheet", ["almanac/stay/1", "almanac/stay/1?from=120&days=4", "interview"])
def test_stays_and_interview_can_be_asked_why(reading: Asked, sheet: str) -> None:
    typical(open_rig(str(reading.folder / "trailer")))
    asked = _asked_why(reading.get(f"/jobs/trailer/{sheet}").text)
    assert asked
    for href, told in asked[:: max(len(asked) // 30, 1)]:
        answer = reading.get(href)
        assert answer.status_code == 200, (href, told)
        value = VALUE.search(answer.text)
        if value and told.endswith(" Wh") and "promise" not in href:
            assert _is_near(told, float(value[1].split()[0])), (href, told, value[1])


@pytest.mark.parametrize("sheet", ["places", "roof/shade"])
def test_heat_of_bays_and_what_shade_takes_can_be_asked_why(reading: Asked, sheet: str) -> None:
    asked = _asked_why(reading.get(f"/jobs/trailer/{sheet}").text)
    assert asked
    for href, told in asked:
        answer = reading.get(href)
        assert answer.status_code == 200, href
        value = VALUE.search(answer.text)
        assert value, href
        if not told.endswith(" %"):  # of the shade the page ends at the energy
            assert abs(float(value[1].split()[0]) - float(told.split()[0])) <= 0.05 * float(told.split()[0])


def test_what_follows_can_be_asked_why(bench: Asked) -> None:
    """More duty of the fridge: energy not served, of the rig as it is now."""
    was = bench.opened("trailer")
    bench.put("trailer", "fridge.duty", "0.9 summer / 0.6 shoulder")
    now = bench.opened("trailer")
    stream = bench.get(f"/jobs/trailer/beat?was={was}&becomes={now}&drawn=1").text.replace("\ndata: ", "")
    found = re.search(r'<a href="([^"]+)">energy not served in the year</a></td>(.*?)</tr>', stream)
    assert found
    becomes = re.findall(r'class="fig">([^<]*)<', found[2])[1]
    value = VALUE.search(bench.get(unescape(found[1])).text)
    assert value
    assert float(value[1].split()[0]) == pytest.approx(float(becomes.split()[0]), rel=6e-4)


def test_money_mass_and_cable_add_up_to_what_is_counted(reading: Asked) -> None:
    from ohmwright.change.follows import mass
    from ohmwright.services.opening import open_study

    study = open_study(str(reading.folder / "trailer"))[1]
    money = study.rig.job.currency
    price = sum(x.price * x.count for x in study.takeoff.parts if x.price is not None and x.currency == money)
    for what, value in ((f"parts/price&subject={money}", float(price)), ("parts/mass", mass(study.takeoff))):
        told = VALUE.search(reading.get(f"/jobs/trailer/why?what={what}").text)
        assert told
        assert float(told[1].split()[0]) == pytest.approx(value, rel=1e-5)
    assert VALUE.search(reading.get("/jobs/trailer/why?what=cable/price").text)


def test_current_and_drop_of_every_run_can_be_asked_why(reading: Asked) -> None:
    asked = _asked_why(reading.get("/jobs/trailer/one-line?list=runs").text)
    assert len(asked) >= 2 * 40
    for href, told in asked:
        answer = reading.get(href)
        assert answer.status_code == 200
        value = VALUE.search(answer.text)
        assert value
        number = float(value[1].split()[0])
        unit = {"mV": 1e-3, "µV": 1e-6, "kA": 1e3}.get(told.split()[-1], 1.0)
        assert _is_near(told, number / unit) or abs(number) < 1e-6, (href, told, value[1])


def test_why_says_the_same_in_the_command(reading: Asked) -> None:
    where = str(reading.folder / "trailer")
    typical(open_rig(where))
    for what, subject in (("year/sun", "week-41"), ("run/drop", "W07"), ("place/air", "side-bay")):
        told = CliRunner().invoke(program, ["why", where, what, subject, "--json"])
        assert told.exit_code == 0
        page = reading.get(f"/jobs/trailer/why?what={what}&subject={subject}").text
        value = VALUE.search(page)
        assert value
        answer = json.loads(told.output)
        assert answer["value"] == pytest.approx(float(value[1].split()[0]), rel=1e-5)
        assert (answer["what"], answer["schema"]) == (what, 1)
        for step in answer["steps"]:
            assert step["substituted"] in unescape(page)


def test_why_of_a_year_that_is_not_there_yet_waits_for_it(bench: Asked) -> None:
    unheard_of(bench)
    page = bench.get("/jobs/trailer/why?what=year/sun&subject=week-41").text
    assert WAITS in page
    assert "look again" in page
    ended(bench, "trailer", "year", 600.0)
    assert VALUE.search(bench.get("/jobs/trailer/why?what=year/sun&subject=week-41").text)


def test_why_of_made_years_that_are_not_there_offers_them(bench: Asked) -> None:
    unheard_of(bench)
    page = bench.get("/jobs/trailer/why?what=made/nights-lost&subject=usual").text
    assert "have not been worked out yet" in page
    assert "Work out the made years" in page
