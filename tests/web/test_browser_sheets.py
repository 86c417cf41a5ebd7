"""Journeys over the roof, mend and change order sheets in a real browser: by pointer, by finger and by keyboard alone."""

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from tests.web.conftest import Served
from tests.web.test_browser import PHONE, WIDE, browser

pytestmark = pytest.mark.slow

TAKES = re.compile(r"Shade takes \d+\.\d\d % of the year of M in the open, was \d")


def _laid(folder: Path, module: str) -> str:
    text = (folder / "trailer" / "rig.yaml").read_text(encoding="utf-8")
    found = re.search(rf"[{{ ]{re.escape(module)}: ([^,}}]+)", text.partition("laid:")[2])
    assert found is not None
    return found[1]


def _module(page: Page, name: str):  # type: ignore[no-untyped-def]
    return page.locator(f'g.module[data-module="{name}"]')


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_module_is_moved_and_turned_by_keyboard_alone(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/roof")
        told = page.locator("#told")
        for _ in range(60):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.dataset.module") == "M.5.1":
                break
        expect(_module(page, "M.5.1")).to_be_focused()
        assert (
            page.evaluate(
                "parseFloat(getComputedStyle(document.activeElement.querySelector('polygon')).strokeWidth)"
            )
            >= 3
        )
        for _ in range(3):
            page.keyboard.press("ArrowRight")
        page.keyboard.press("ArrowDown")
        expect(told).to_have_text("M.5.1 at 1.795 1.475 m")
        expect(told).to_contain_text(TAKES)
        expect(told).to_contain_text("M.5.1 lies at 1.795 1.475 m.")
        assert _laid(served.folder, "5.1") == "1.795 1.475 m"
        expect(_module(page, "M.5.1")).to_be_focused()
        expect(page.locator("#follows .asked")).to_contain_text("laid")
        page.keyboard.press("r")
        expect(told).to_contain_text("over the outline")
        expect(page.locator("#said")).to_contain_text("It stays where it was")
        expect(_module(page, "M.5.1")).to_have_attribute("data-turned", "no")
        assert _laid(served.folder, "5.1") == "1.795 1.475 m"
        for _ in range(4):
            page.keyboard.press("Shift+ArrowRight")
        page.keyboard.press("Escape")
        expect(told).to_contain_text("M.5.1 at 1.795 1.475 m")
        page.get_by_role("button", name=re.compile("Undo")).focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("button", name=re.compile("Do again"))).to_be_enabled()
        assert _laid(served.folder, "5.1") == "1.72 1.50 m"


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_module_is_dragged_catches_on_its_neighbour_and_goes_back_where_it_does_not_fit(
    served: Served, size: tuple[int, int]
) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/roof")
        scale = float(page.locator("#plan").get_attribute("data-k") or 0) * page.evaluate(
            "document.querySelector('#plan').getBoundingClientRect().width / 1000"
        )
        _module(page, "M.5.1").scroll_into_view_if_needed()

        def drag(x_m: float, y_m: float) -> None:
            box = _module(page, "M.5.1").locator("polygon").bounding_box()
            assert box is not None
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.25
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + x_m * scale / 2, y - y_m * scale / 2, steps=4)
            page.mouse.move(x + x_m * scale, y - y_m * scale, steps=4)
            page.mouse.up()

        drag(-0.02, 0.0)
        expect(page.locator("#told")).to_contain_text(TAKES)
        assert _laid(served.folder, "5.1") == "1.69 1.5 m", "its left edge lies on the right edge of M.6.1"
        drag(2.2, 0.0)
        expect(page.locator("#said")).to_contain_text("lies on vent")
        expect(_module(page, "M.5.1")).to_have_attribute("data-x", "1.69")
        expect(page.locator("g.module.amiss")).to_have_count(0)
        points = _module(page, "M.5.1").locator("polygon").get_attribute("points")
        page.reload()
        assert _module(page, "M.5.1").locator("polygon").get_attribute("points") == points
        assert _laid(served.folder, "5.1") == "1.69 1.5 m"


def test_a_finger_drags_a_module_and_the_buttons_nudge_and_turn_it(served: Served) -> None:
    with browser(served, PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(served.address + "/jobs/trailer/roof")
        box = _module(page, "M.5.1").locator("polygon").bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        finger = page.context.new_cdp_session(page)
        finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        for step in range(1, 9):
            finger.send(
                "Input.dispatchTouchEvent",
                {"type": "touchMove", "touchPoints": [{"x": x + 4 * step, "y": y}]},
            )
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        expect(page.locator("#told")).to_contain_text(TAKES)
        moved = float(_laid(served.folder, "5.1").split()[0])
        assert 2.0 < moved < 2.6
        down = page.get_by_role("button", name="down 25 mm")
        size = down.bounding_box()
        assert size is not None
        assert min(size["width"], size["height"]) >= 44
        down.tap()
        expect(page.locator("#told")).to_contain_text("M.5.1 lies at")
        expect(_module(page, "M.5.1")).to_have_attribute("data-y", "1.475")
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


def test_the_roof_plan_works_without_scripts(served: Served) -> None:
    with browser(served, WIDE, java_script_enabled=False) as page:
        page.goto(served.address + "/jobs/trailer/roof")
        page.get_by_label("M.5.1", exact=True).last.fill("2.0 1.5 m")
        page.get_by_role("button", name="Put them in").click()
        expect(page.locator("#follows .asked")).to_contain_text("laid")
    assert _laid(served.folder, "5.1") == "2.0 1.5 m"


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_answers_are_looked_for_while_the_sheet_is_left_and_one_is_accepted(
    served: Served, size: tuple[int, int]
) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/mend")
        page.get_by_role("button", name="Look for answers").click()
        expect(page.locator("#going")).to_contain_text("Looking for answers")
        page.goto(served.address + "/jobs/trailer/job")
        page.goto(served.address + "/jobs/trailer/mend")
        expect(page.locator("#answer-1")).to_be_visible()
        page.locator("#answer-2").get_by_role("button", name="Pass over it").click()
        expect(page.locator("#answer-2")).to_contain_text("passed over")
        page.get_by_role("button", name="Accept answer 1", exact=True).click()
        expect(page.locator("#answer-1 .word")).to_have_text("accepted")
        expect(page.locator("#follows")).to_contain_text("cleared")
        found = Axe().run(page).response["violations"]
        assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_two_rigs_are_set_side_by_side_and_print_on_two_pages(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/change-order")
        page.get_by_label("to", exact=True).select_option("rig-swapped.yaml")
        page.get_by_role("button", name="Set them side by side").click()
        expect(page.locator("h2", has_text="What follows, before and after")).to_be_visible()
        pdf = page.pdf(prefer_css_page_size=True)
        assert 1 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 2


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_these_sheets_keep_nobody_out(served: Served, size: tuple[int, int]) -> None:
    """axe-core's rules; contrast in the dark version too."""
    with browser(served, size, color_scheme="dark" if size == PHONE else "light") as page:
        for path in (
            "trailer/roof",
            "boat/roof?place=arch",
            "cabin/roof",
            "van/roof",
            "trailer/mend",
            "trailer/change-order?old=working&new=rig-swapped.yaml",
        ):
            page.goto(f"{served.address}/jobs/{path}")
            page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
            found = Axe().run(page).response["violations"]
            assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == [], path
            assert page.evaluate("document.documentElement.scrollWidth") <= size[0], path
