"""A change of plan in a real browser: other modules, the controller they destroy, its mend, the next revision, the order on paper."""

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.web.conftest import Served
from tests.web.test_browser import WIDE, browser

pytestmark = pytest.mark.slow


def test_other_modules_show_the_destroyed_controller_and_are_mended_issued_and_ordered(
    served: Served, tmp_path: Path
) -> None:
    with browser(served, WIDE) as page:
        job = f"{served.address}/jobs/trailer"
        page.goto(f"{job}/job")
        page.locator("#as").select_option("quoted")
        page.locator("#by").fill("Ada Holt")
        page.get_by_role("button", name="Issue A").click()
        expect(page.get_by_role("link", name="A", exact=True)).to_be_visible()

        page.goto(f"{job}/one-line?choose=M")
        page.get_by_text("Other modules, or another number of strings").click()
        page.locator("#st-part").select_option("module-410w")
        page.locator("#st-series").fill("3")
        page.locator("#st-strings").fill("1")
        page.locator("#st-cable").fill("pv 10 AWG")
        page.locator("#st-cable").press("Enter")
        first = page.locator("#follows tbody").nth(1).locator("tr").first
        expect(first).to_contain_text("Cold string voltage against the controller's maximum")
        expect(first).to_contain_text("129 V")
        expect(first).to_contain_text("DANGER")
        expect(page.locator("#follows .asked")).to_contain_text("1s6p → 3s1p")
        expect(page.locator("#notes")).to_contain_text("destroyed")
        expect(page.locator("#year-lines")).to_contain_text("kWh")

        page.goto(f"{job}/mend")
        page.get_by_role("button", name="Look for answers").click()
        answer = page.locator("li.note").filter(has_text="it is destroyed on a cold clear morning")
        expect(answer).to_be_visible()
        expect(answer).to_contain_text("pv-controller-85a-150v")
        answer.get_by_role("button", name=re.compile("^Accept")).click()
        expect(page.locator("#follows")).to_contain_text("pv-controller-85a-150v")
        expect(page.locator("#follows")).to_contain_text("DANGER cleared")

        page.goto(f"{job}/job")
        page.locator("#as").select_option("quoted")
        page.locator("#by").fill("Ada Holt")
        page.get_by_role("button", name="Issue B").click()
        expect(page.get_by_role("link", name="B", exact=True)).to_be_visible()

        page.goto(f"{job}/change-order")
        for side, letter in (("#old", "A"), ("#new", "B")):
            options = page.locator(f"{side} option").filter(has_text=re.compile(rf"\b{letter}\b"))
            page.locator(side).select_option(label=options.first.inner_text())
        page.get_by_role("button", name="Set them side by side").click()
        expect(page.locator("h1")).to_have_text("Change order")
        page.get_by_role("button", name="Make the paper to sign").click()
        link = page.locator("#paper").get_by_role("link", name=re.compile(r"\.pdf$")).first
        expect(link).to_be_visible()
        with page.expect_download() as loading:
            link.click()
        loading.value.save_as(tmp_path / "order.pdf")

    told = subprocess.run(
        ["pdftotext", str(tmp_path / "order.pdf"), "-"], capture_output=True, check=True, text=True
    ).stdout
    assert "410 W" in told
    assert "150 V" in told
