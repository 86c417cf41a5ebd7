"""Journeys over the almanac, the papers and the quick drawing in a real browser, wide and on a phone."""

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from tests.web.conftest import Served
from tests.web.test_browser import PHONE, WIDE, browser

pytestmark = pytest.mark.slow

SIZES = pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
PATIENCE_MS = 240_000


def _keeps_nobody_out(page: Page, size: tuple[int, int]) -> None:
    page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
    found = Axe().run(page).response["violations"]
    assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == [], page.url
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0], page.url


@SIZES
def test_a_stay_is_opened_to_its_hours_and_walked_by_keyboard_and_pointer(
    served: Served, size: tuple[int, int]
) -> None:
    with browser(served, size, color_scheme="dark" if size == PHONE else "light") as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/almanac")
        page.get_by_role("link", name=re.compile("^Stay 1")).click()
        told = page.locator("#strip [role=status]")
        expect(told).to_contain_text("day 1 to 184 of 184")
        expect(page.locator("svg.recorder polyline")).to_have_count(4)
        page.locator("#strip").focus()
        page.keyboard.press("+")
        expect(told).to_contain_text("day 47 to 138 of 184")
        page.keyboard.press("ArrowRight")
        expect(told).to_contain_text("day 93 to 184 of 184")
        page.keyboard.press("-")
        expect(told).to_contain_text("day 1 to 184 of 184")
        svg = page.locator("svg.recorder")
        svg.scroll_into_view_if_needed()
        for days in (92, 46, 23, 11):
            box = page.locator("svg.recorder rect").first.bounding_box()
            assert box is not None
            page.mouse.click(min(box["x"] + box["width"] / 2, size[0] - 40), box["y"] + box["height"] / 2)
            expect(page.locator("#strip")).to_have_attribute("data-days", str(days))
        expect(told).to_contain_text("by the hour")
        assert "days=11" in page.url
        page.reload()
        expect(told).to_contain_text("by the hour")
        _keeps_nobody_out(page, size)
        page.keyboard.press("Tab")


@pytest.mark.parametrize("size", [PHONE], ids=["phone"])
def test_a_finger_comes_nearer_and_the_targets_are_large_enough(
    served: Served, size: tuple[int, int]
) -> None:
    with browser(served, size, has_touch=True, is_mobile=True) as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/almanac/stay/1")
        page.locator("svg.recorder").scroll_into_view_if_needed()
        box = page.locator("svg.recorder rect").first.bounding_box()
        assert box is not None
        page.touchscreen.tap(box["x"] + 150, box["y"] + box["height"] / 2)
        expect(page.locator("#strip")).to_have_attribute("data-days", "92")
        for link in page.locator("a.step-to").all():
            box = link.bounding_box()
            assert box is not None
            assert box["height"] >= 44


@SIZES
def test_made_years_are_worked_out_while_the_sheet_is_left(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/almanac")
        begin = page.get_by_role("button", name="Work out 64 made years")
        made = page.get_by_role("heading", name="Other sizes of array and bank")
        expect(begin.or_(made).first).to_be_visible(timeout=PATIENCE_MS)
        if begin.count():  # once worked out they are kept, and the other size finds them
            begin.click()
            expect(page.locator("#going")).to_contain_text("Made years are worked out")
            page.goto(served.address + "/jobs/trailer/one-line")
            page.goto(served.address + "/jobs/trailer/almanac")
        expect(made).to_be_visible(timeout=PATIENCE_MS)
        expect(page.get_by_role("heading", name="What would buy nights back")).to_be_visible()
        expect(page.locator("svg.trade-off polygon")).to_have_count(1)
        _keeps_nobody_out(page, size)


@SIZES
def test_papers_are_begun_told_and_stopped(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/papers")
        page.get_by_role("button", name="Make the papers").click()
        expect(page.locator("#going")).to_contain_text("The papers are made: ")
        _keeps_nobody_out(page, size)
        page.get_by_role("button", name="Stop").click()
        expect(page.locator("main")).to_contain_text("Stopped.")
        expect(page.get_by_role("button", name="Make the papers")).to_be_enabled()


@SIZES
def test_the_drawing_follows_edit_after_edit_and_is_that_of_a_fresh_page(
    served: Served, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ohmwright.web.bench.AT_ONCE_S", 60.0)
    with browser(served, size) as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/one-line?choose=W12")
        asked: list[str] = []
        page.on("request", lambda r: asked.append(f"{r.method} {r.url.rpartition('/')[2].partition('?')[0]}"))
        for n, length in enumerate(("1.3 m", "1.7 m", "2.2 m")):
            field = page.get_by_label("length", exact=True)
            field.fill(length)
            field.press("Enter")
            expect(page.get_by_role("button", name="Undo")).to_contain_text(f"({n + 1})")
            now = page.locator("#now").get_attribute("data-opened")
            expect(page.locator("#circuit")).to_have_attribute("data-of", now or "")
            expect(page.locator('svg.circuit g[data-ref="W12"]').first).to_contain_text(length)
            expect(page.locator('#rows tr[data-row="W12"]')).to_contain_text(length)
            assert asked == ["POST put", "GET beat"] * (n + 1)
        expect(page.locator("#counted-lines")).to_contain_text("cable to cut")
        drawn = "[...document.querySelectorAll('svg.circuit')].map((s) => [...s.children].filter((c) => !c.matches('.brackets')).map((c) => c.outerHTML).join('')).join('')"
        notes = "document.querySelector('#notes').textContent.replace(/\\s+/g, ' ')"
        rows = "[...document.querySelectorAll('#rows tr[data-row]')].map((r) => r.outerHTML).join('')"
        edited = page.evaluate(drawn), page.evaluate(notes), page.evaluate(rows)
        page.reload()
        assert (page.evaluate(drawn), page.evaluate(notes), page.evaluate(rows)) == edited


@SIZES
def test_one_switch_turns_every_sheet_to_feet_and_back(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.set_default_timeout(60_000)
        page.goto(served.address + "/jobs/trailer/one-line?choose=W12")
        metric = page.locator('tr[data-row="W07"]').inner_text()
        page.get_by_role("button", name="ft lb °F").click()
        assert "39.4 ft" in page.locator('tr[data-row="W07"]').inner_text()
        expect(page.locator('svg.circuit g[data-ref="W07"]').first).to_contain_text("ft")
        expect(page.get_by_label("length", exact=True)).to_have_value("0.9 m")
        for sheet in ("check", "job", "places", "interview", "roof", "settings", "almanac", "papers"):
            page.goto(f"{served.address}/jobs/trailer/{sheet}")
            text = page.evaluate(
                "(() => { const m = document.querySelector('main').cloneNode(true); m.querySelectorAll('h1, bdi, option, textarea').forEach((e) => e.remove()); return m.textContent; })()"
            )
            assert not re.search(r"(?<![\w.,])\d[\d.,]* (?:m|kg|°C|degC)(?![\w²³·/%])", text), sheet
        page.goto(served.address + "/jobs/trailer/one-line?choose=W12")
        page.get_by_role("button", name="m kg °C").click()
        assert page.locator('tr[data-row="W07"]').inner_text() == metric


def test_every_sheet_prints_without_its_tools_and_no_page_is_left_empty(
    served: Served, tmp_path: Path
) -> None:
    import subprocess

    with browser(served, WIDE) as page:
        page.set_default_timeout(60_000)
        for sheet in (
            "one-line",
            "check",
            "almanac",
            "almanac/stay/1",
            "job",
            "interview",
            "papers",
            "places",
            "roof",
        ):
            page.goto(f"{served.address}/jobs/{'boat' if sheet == 'roof' else 'trailer'}/{sheet}")
            page.emulate_media(media="print", color_scheme="dark")
            for tool in page.locator("nav.names, form.appearance, .steps, .windows a").all():
                assert not tool.is_visible(), sheet
            assert page.evaluate("getComputedStyle(document.body).backgroundColor") in ("rgb(255, 255, 255)", "rgba(0, 0, 0, 0)")  # fmt: skip
            page.emulate_media(media="null", color_scheme="light")
            file = tmp_path / "sheet.pdf"
            file.write_bytes(page.pdf(prefer_css_page_size=True))
            text = subprocess.run(
                ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
            ).stdout
            pages = text.split("\f")[:-1]
            if sheet == "roof":
                assert "M1.1.1" in pages[0], "the plan stands whole on the first page"
                assert "3300" in pages[0]
                assert "900" in pages[0]
            assert all(len(p.split()) >= 12 for p in pages), [len(p.split()) for p in pages]
