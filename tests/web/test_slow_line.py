"""A telephone at the end of a slow line: few bytes, readable words before everything else is there."""

import re

import pytest
from fontTools.ttLib import TTFont
from playwright.sync_api import Page, Route, expect
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, browser

from ohmwright.web.packed import STATIC

pytestmark = pytest.mark.slow

#: 50 kB/s and 300 ms a way: a telephone at the edge of a cell.
SLOW = {"offline": False, "latency": 300, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
#: Nielsen, "Usability Engineering" (1993), chapter 5: ten seconds hold a person's attention.  From memory.
ATTENTION_S = 10.0
SHEETS = ("/", "/jobs/trailer/one-line", "/jobs/trailer/check", "/jobs/trailer/roof", "/jobs/trailer/papers")


def _slow(page: Page) -> None:
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", SLOW)


@pytest.mark.parametrize("path", SHEETS)
def test_a_sheet_with_nothing_kept_is_whole_within_ten_seconds_of_line(served: Served, path: str) -> None:
    """By its bytes and its ways, so that a busy machine does not count."""
    with browser(served, PHONE) as page:
        page.goto(served.address + path)
        page.evaluate("document.fonts.ready.then(() => 0)")
        told = page.evaluate(
            "[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')].map(e => e.transferSize)"
        )
        assert sum(told) / SLOW["downloadThroughput"] + 3 * SLOW["latency"] / 1000 < ATTENTION_S


def test_a_sheet_is_read_before_its_typefaces_are_there_and_they_come_once(served: Served) -> None:
    with browser(served, PHONE) as page:
        _slow(page)
        page.goto(served.address + "/jobs/trailer/one-line")
        words, faces = page.evaluate(
            """async () => {
              await document.fonts.ready;
              const faces = performance.getEntriesByType('resource').filter((e) => e.name.includes('/type/'));
              return [performance.getEntriesByName('first-contentful-paint')[0].startTime, faces.map((f) => f.responseEnd)];
            }"""
        )
        assert faces
        assert words < max(faces)
        assert all(
            f.endswith(".woff")
            for f in page.evaluate(
                "performance.getEntriesByType('resource').map(e => e.name).filter(n => n.includes('/type/'))"
            )
        ), "no whole face"
        page.goto(served.address + "/jobs/trailer/check")
        again = page.evaluate(
            "performance.getEntriesByType('resource').filter(e => e.name.includes('/static/')).map(e => e.transferSize)"
        )
        assert sum(again) == 0


def test_a_press_on_a_slow_line_is_answered_by_a_word(served: Served) -> None:
    held: list[Route] = []
    with browser(served, PHONE) as page:
        page.goto(served.address + "/new/nothing")
        page.locator("[name=title]").fill("Dunlin")
        page.locator("[name=name]").fill("dunlin")
        page.route("**/static/bench.js", lambda route: held.append(route))
        page.get_by_role("button", name="Begin").click(no_wait_after=True)
        expect(page.get_by_text("Sent, and waiting for the bench.")).to_be_visible()
        held[0].continue_()
        page.wait_for_url("**/jobs/dunlin/one-line")


def test_every_letter_of_the_sheets_is_in_the_small_faces_and_they_hold_what_the_style_sheet_says(
    served: Served,
) -> None:
    del served  # it makes the bundle
    style = (STATIC / "bench.css").read_text(encoding="utf-8")
    said = set(re.findall(r"unicode-range: ?([^;}]+)", style))
    assert len(said) == 1
    letters = {n for first, last in _spans(said.pop()) for n in range(first, last + 1)}
    files = sorted(STATIC.glob("type/*.woff"))
    assert len(files) == 5
    for file in files:
        with TTFont(file) as face:
            held = set(face["cmap"].getBestCmap())
        assert held <= letters, file.name
        assert set(map(ord, "0123456789 aeiouÄØßÅ²³°Ω·–→≤")) <= held, file.name
        assert file.stat().st_size < 40_000


def _spans(text: str) -> list[tuple[int, int]]:
    out = []
    for word in text.replace("u+", "U+").split(","):
        first, _, last = word.strip().removeprefix("U+").partition("-")
        out.append((int(first, 16), int(last or first, 16)))
    return out


def test_pages_are_packed_and_papers_that_are_packed_already_are_not(reading: Asked) -> None:
    sheet = reading.get("/jobs/trailer/one-line", **{"accept-encoding": "gzip"})
    assert sheet.headers["content-encoding"] == "gzip"
    assert int(sheet.headers["content-length"]) < len(sheet.content) / 5
    assert (
        "content-encoding"
        not in reading.get("/jobs/trailer/one-line", **{"accept-encoding": "identity"}).headers
    )
    face = next(STATIC.glob("type/*.woff")).name
    assert (
        "content-encoding" not in reading.get(f"/static/type/{face}", **{"accept-encoding": "gzip"}).headers
    )
