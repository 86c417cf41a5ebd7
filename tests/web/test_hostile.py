"""A hundred texts that would do harm, in every field that a job stores: on every sheet they stay text, and nothing runs."""

import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from playwright.sync_api import Page
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, WIDE, browser

OPENINGS = ("", '"', "'", '">', "'>", "</title>", "</textarea>", "</style>", "</svg>", "-->")
DEEDS = (
    "<script>hit()</script>",
    "<img src=x onerror=hit()>",
    "<svg onload=hit()>",
    "<a href=javascript:hit()>here</a>",
    '<iframe srcdoc="<script>parent.hit()</script>"></iframe>',
    "{{ 7 * 7 }}{% for a in b %}",
    "onfocus=hit() autofocus x=",
    "<form action=javascript:hit()><button>go</button></form>",
    "&lt;script&gt;hit()&lt;/script&gt;",
    "<p hx-get=/ hx-trigger=load hx-on::load=hit()>",
)
PAYLOADS = tuple(f"{opening}{deed}" for opening in OPENINGS for deed in DEEDS)
SHEETS = ("job", "one-line?choose=W12", "one-line?choose=fridge", "check", "mend", "interview", "places", "settings", "roof",
          "almanac", "almanac/stay/1", "change-order", "papers", "follows", "why?what=array/flat-mount&subject=M")  # fmt: skip
#: Every free text of the demo trailer, by what stands before it.
FIELDS = (
    'title: "Larkspur, field-station trailer of a river-survey crew"',
    "note: Invented people and parts. Sun is taken from the climate table of the place, not from the sun hours in older notes; typed temperatures stay.",
    "title: said by the owner",
    "note: lid of the galley vent",
    "note: ahead of the axle",
    "note: under the lower bunk",
    'said: "We are never more than six nights from a socket."',
    "by: crew lead",
    'said: "Coffee and eggs at the same time."',
    "name: six nights unplugged in summer",
    "sleeps: two in the bunk over the locker",
    "winter: stored outdoors without a socket; telephone signal there",
    "why: owner declines tilt frame",
    "title: induction and coffee on the bank",
)


def test_there_are_a_hundred_of_them() -> None:
    assert len(set(PAYLOADS)) == 100


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _spoilt(text: str, payloads: Iterator[str]) -> str:
    for plain in FIELDS:
        key = plain.partition(":")[0]
        assert plain in text, plain
        text = text.replace(plain, f"{key}: {_quoted(next(payloads))}", 1)
    return text


class Strange(HTMLParser):
    """What must not be in a page: scripts of its own, handlers, addresses that are programs, foreign frames."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        if tag in ("iframe", "object", "embed", "base", "math"):
            self.found.append(tag)
        if tag == "script" and not re.fullmatch(r"/static/bench\.js\?\w*", told.get("src") or ""):
            self.found.append("script")
        if tag == "img" and not (told.get("src") or "").startswith("/jobs/"):
            self.found.append("img")
        for name, value in attrs:
            word = (value or "").strip().lower()
            if name.startswith(("on", "hx-on")) or name == "style" or word.startswith("javascript:"):
                self.found.append(f"{tag} {name}")
            if name in ("hx-get", "hx-post", "action", "href") and not word.startswith(
                ("/", "?", "#", "data:image/svg+xml")
            ):
                self.found.append(f"{tag} {name}={word[:40]}")


def _cycled(begin: int) -> Iterator[str]:
    while True:
        yield PAYLOADS[begin % len(PAYLOADS)]
        begin += 1


@pytest.mark.slow
def test_in_every_stored_field_they_stay_text(bench: Asked) -> None:
    plain = bench.text("trailer")
    for n in range(
        0, len(PAYLOADS), 4
    ):  # in 25 rounds every field holds 25 of them, and every text stands 14 times
        text = _spoilt(plain, _cycled(n * 7 + n // 4))
        (bench.folder / "trailer" / "rig.yaml").write_text(text, encoding="utf-8")
        for sheet in ("/", *(f"/jobs/trailer/{s}" for s in SHEETS)):
            page = bench.get(sheet)
            assert page.status_code == 200, sheet
            strange = Strange()
            strange.feed(page.text)
            assert strange.found == [], sheet
            assert "49" not in re.findall(r"title>([^<]*)</title", page.text)


def _all_at_once(folder: Path) -> None:
    """One job with a hundred answers, a payload each, and payloads in every other field."""
    file = folder / "trailer" / "rig.yaml"
    text = _spoilt(file.read_text(encoding="utf-8"), _cycled(0))
    answers = "".join(f"    q{n}: {_quoted(p)}\n" for n, p in enumerate(PAYLOADS))
    file.write_text(text.replace("  answers:\n", f"  answers:\n{answers}", 1), encoding="utf-8")


def _visited(page: Page, address: str) -> None:
    for sheet in ("/", *(f"/jobs/trailer/{s}" for s in SHEETS)):
        page.goto(address + sheet)
        page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = true))")
        for element in page.locator("main a, main summary").all()[:3]:
            element.focus()
        assert page.evaluate("window.hits") == 0, sheet


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_in_a_browser_nothing_of_it_runs(served: Served, size: tuple[int, int]) -> None:
    for other in ("boat", "cabin", "van"):
        shutil.rmtree(served.folder / other)
    _all_at_once(served.folder)
    with browser(served, size) as page:
        page.add_init_script("window.hits = 0; window.hit = () => { window.hits += 1; }")
        page.on("dialog", lambda d: pytest.fail(d.message))
        _visited(page, served.address)
