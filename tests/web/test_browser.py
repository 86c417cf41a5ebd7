"""Journeys in a real browser, wide and on a phone: the work is done, the console stays silent, nothing leaves the machine."""

import itertools
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect, sync_playwright
from tests.web.conftest import Served

from ohmwright.rig.read import read_rig
from ohmwright.services.opening import shop_shelf
from ohmwright.store.jobs import Job

pytestmark = pytest.mark.slow

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDE, PHONE = (1400, 900), (390, 844)
#: A condition is waited for; this long without it is a failure on any machine, whatever else it has to do.
PATIENCE_MS = 300_000


@contextmanager
def browser(served: Served, size: tuple[int, int], **more: Any) -> Iterator[Page]:
    """A page whose console must stay silent and whose requests must stay on this machine."""
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = chromium.new_context(viewport={"width": size[0], "height": size[1]}, **more).new_page()
        heard: list[str] = []
        page.on("console", lambda m: heard.append(m.text))
        page.on("pageerror", lambda e: heard.append(str(e)))
        page.on(
            "request",
            lambda r: (
                None
                if r.url.startswith((served.address, "data:"))
                else heard.append(f"left the machine: {r.url}")
            ),
        )
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        yield page
        chromium.close()
        assert heard == []


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_thinner_cable_is_tried_seen_to_be_a_danger_and_undone(
    served: Served, size: tuple[int, int]
) -> None:
    file = served.folder / "trailer" / "rig.yaml"
    before = file.read_text(encoding="utf-8")
    with browser(served, size) as page:
        page.goto(served.address + "/")
        page.get_by_role("link", name="trailer", exact=True).click()
        page.locator('a[data-choose="W20"]').click()
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "W20")
        expect(page.locator("path.brackets")).not_to_have_count(0)
        page.get_by_label("cable", exact=True).fill("12 AWG 105C red")
        page.get_by_label("cable", exact=True).press("Enter")
        block = page.locator("#follows tbody").nth(1).locator("tr").first
        expect(block).to_contain_text("DANGER")
        expect(block).to_contain_text("W20")
        expect(page.locator("body")).to_have_attribute("data-beat", "year")
        expect(page.locator("svg.circuit").first).to_contain_text("12 AWG")
        page.get_by_role("button", name=re.compile("Undo")).click()
        expect(page.get_by_role("button", name=re.compile("Do again"))).to_be_enabled()
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert file.read_text(encoding="utf-8") == before


def test_a_wrong_word_is_refused_beside_the_field_and_stays_typed(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(served.address + "/jobs/trailer/one-line?choose=W20")
        page.get_by_label("cable", exact=True).fill("banana")
        page.get_by_label("cable", exact=True).press("Tab")
        expect(page.locator("#said")).to_contain_text("names no size of cable")
        expect(page.get_by_label("cable", exact=True)).to_have_value("banana")


def test_a_device_chosen_in_the_drawing_opens_its_row_by_mouse_and_rows_by_keyboard(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(served.address + "/jobs/trailer/one-line")
        box = page.locator('svg.circuit g[data-ref="U1"]').first.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "U1")
        assert "choose=U1" in page.url
        row = page.locator('a[data-choose="F5"]')
        row.focus()
        page.keyboard.press("Enter")
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "F5")
        page.reload()
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "F5")


def test_two_windows_on_one_file_do_not_cover_each_other(served: Served) -> None:
    with browser(served, WIDE) as page:
        other = page.context.new_page()
        page.goto(served.address + "/jobs/trailer/one-line?choose=W12")
        other.goto(served.address + "/jobs/trailer/one-line?choose=W13")
        page.get_by_label("length", exact=True).fill("1.9 m")
        page.get_by_label("length", exact=True).press("Enter")
        expect(page.locator("#follows .asked")).to_contain_text("W12.length")
        other.get_by_label("length", exact=True).fill("2.9 m")
        other.get_by_label("length", exact=True).press("Enter")
        expect(other.locator("#said")).to_contain_text("changed by someone else")
        expect(other.locator("#said")).to_contain_text("W12.length")
        other.get_by_role("button", name="Put mine on top of theirs").click()
        expect(other.get_by_label("length", exact=True)).to_have_count(0)
    text = (served.folder / "trailer" / "rig.yaml").read_text(encoding="utf-8")
    assert "length: 1.9 m" in text
    assert "length: 2.9 m" in text


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_no_sheet_keeps_anyone_out(served: Served, size: tuple[int, int]) -> None:
    """axe-core's rules; contrast in the dark version too."""
    sheets = [
        f"/jobs/trailer/{s}"
        for s in (
            "job",
            "one-line?choose=F2",
            "check",
            "interview?find=pump",
            "places",
            "almanac",
            "papers",
            "why?what=A1",
        )
    ]
    with browser(served, size, color_scheme="dark" if size == PHONE else "light") as page:
        for path in (
            "/",
            "/shelf/add?kind=fuse",
            "/shelf/part/fuse-class-t-300a",
            "/shelf?job=trailer",
            "/shelf/part/module-200w?job=trailer",
            "/?find=boat",
            *sheets,
            "/jobs/van/check",
        ):
            page.goto(served.address + path)
            found = Axe().run(page).response["violations"]
            assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == [], path
            assert page.evaluate("document.documentElement.scrollWidth") <= size[0], path


def test_the_bench_works_without_scripts(served: Served) -> None:
    with browser(served, WIDE, java_script_enabled=False) as page:
        page.goto(served.address + "/jobs/trailer/one-line?choose=W12")
        page.get_by_label("length", exact=True).fill("1.9 m")
        page.get_by_role("button", name="Put it in").click()
        expect(page.locator("#follows .asked")).to_contain_text("W12.length")


def test_a_bench_that_is_killed_while_saving_leaves_a_whole_file(demo_jobs: Path, tmp_path: Path) -> None:
    folder = tmp_path / "jobs"
    shutil.copytree(demo_jobs / "trailer", folder / "trailer")
    file = folder / "trailer" / "rig.yaml"
    for n in range(3):
        life_s = 1.0 + 0.37 * n
        with subprocess.Popen(
            [sys.executable, "-m", "ohmwright", "bench", str(folder), "--port", "0"],
            stdout=subprocess.PIPE,
            text=True,
        ) as child:
            killer = threading.Timer(PATIENCE_MS / 1000, child.kill)
            killer.start()
            try:
                assert child.stdout is not None
                address = re.search(r"http://\S+", child.stdout.readline())
                assert address is not None
                with httpx.Client(base_url=address[0], timeout=PATIENCE_MS / 1000) as client:
                    _put(client, 1)
                    killer.cancel()
                    killer = threading.Timer(life_s, child.kill)
                    killer.start()
                    _put_until_gone(client)
            finally:
                killer.cancel()
                child.kill()
        text = file.read_text(encoding="utf-8")
        rig = read_rig(text, str(file), shop_shelf(Job(str(folder / "trailer"))))
        assert re.fullmatch(r"(0\.9|\d\.\d\d) m", getattr(rig.runs["W12"].length, "text", ""))


def _put_until_gone(client: httpx.Client) -> None:
    """Put one length after another until the bench is no more."""
    try:
        for n in itertools.count(2):
            _put(client, n)
    except httpx.TransportError:
        return


def _put(client: httpx.Client, n: int) -> None:
    page = client.get("/jobs/trailer/job").text
    token, opened = (re.search(rf'data-{k}="([^"]+)"', page) for k in ("token", "opened"))
    assert token
    assert opened
    data = {"token": token[1], "opened": opened[1], "set.W12.length": f"{1 + n / 100:.2f} m"}
    client.post("/jobs/trailer/put", data=data)
