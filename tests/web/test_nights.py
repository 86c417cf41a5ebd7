"""The interview sheet stands at once; its nights are counted beside it, told when they are known, and can be stopped."""

import time
from typing import Any

import pytest
from playwright.sync_api import expect
from tests.web.conftest import Asked, Served, unheard_of
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.services.issue import issue
from ohmwright.services.opening import open_rig
from ohmwright.services.year import year_of_opened
from ohmwright.web import wanted


def _told(bench: Asked, address: str = "trailer") -> str:
    until = time.monotonic() + 600.0
    while "are counted beside this sheet" in (said := bench.get(f"/jobs/{address}/interview/nights").text):
        assert time.monotonic() < until, "the nights were not counted"
        time.sleep(0.1)
    return said


def test_no_sheet_waits_for_the_year_and_its_figures_are_those_of_the_command(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The year of `ohmwright year`, from the same service, asked for here in this process."""

    def never(*_: Any) -> None:
        raise AssertionError("a year was run within the request")

    monkeypatch.setattr("ohmwright.services.year.typical_year", never)
    unheard_of(bench)
    page = bench.get("/jobs/trailer/interview")
    assert page.status_code == 200
    assert "are counted beside this sheet" in page.text
    told = _told(bench)
    monkeypatch.undo()
    year = year_of_opened(open_rig(str(bench.folder / "trailer"))).year
    for stay in year.stays:
        for figure in (stay.load_Wh_per_day, stay.array_Wh_per_day, stay.shortfall_Wh_per_day):
            assert f"{figure:,.0f} Wh" in told
    for promise in year.promises:
        assert promise.got in told
    assert 'id="stays-told" hx-swap-oob="true"' in told
    assert "are counted beside" not in bench.get("/jobs/trailer/interview").text, "it is kept"


def test_counting_can_be_stopped_and_begun_again(bench: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Held back here by a bench that is never quiet, so that there is something to stop."""
    monkeypatch.setattr("ohmwright.web.aside.Aside.rest_s", lambda _: 1.0)
    unheard_of(bench)
    assert "are counted beside" in bench.get("/jobs/trailer/interview").text
    assert bench.post("/jobs/trailer/interview/stop", {}).headers["location"] == "/jobs/trailer/interview"
    page = bench.get("/jobs/trailer/interview").text
    assert "Stopped: no nights were counted." in page
    assert "are counted beside" not in page, "looking at the sheet does not begin it again"
    monkeypatch.undo()
    assert bench.post("/jobs/trailer/interview/nights", {}).status_code == 303
    assert "Wh" in _told(bench)


def test_an_issued_revision_has_its_own_nights(bench: Asked) -> None:
    issue(str(bench.folder / "trailer"), "quoted", "Ada")
    assert "A typical year." in _told(bench, "trailer@A")


def test_a_year_that_cannot_be_told_says_why_and_is_not_tried_again_and_again(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[int] = []
    begin = wanted.begin_year

    def counted_begin(*about: Any) -> Any:
        begun.append(1)
        return begin(*about)

    monkeypatch.setattr(wanted, "begin_year", counted_begin)
    file = bench.folder / "trailer" / "rig.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(
        text.replace("place: Duluth MN, at-coordinates: 46.8 N 92.1 W 190 m", "place: Nowhere ZZ"),
        encoding="utf-8",
    )
    assert "The year cannot be told:" in _told(bench)
    assert "The year cannot be told:" in bench.get("/jobs/trailer/interview").text
    assert len(begun) == 1


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_what_is_typed_meanwhile_stays_typed(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/interview")
        page.get_by_text("Add a load by hand").click()
        page.locator("#hn").fill("deep-fridge")
        expect(page.locator("#nights")).to_contain_text("Week by week in the almanac", timeout=120_000)
        expect(page.locator("#stays-told")).to_contain_text("Wh")
        expect(page.locator("#hn")).to_have_value("deep-fridge")
