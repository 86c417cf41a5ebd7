"""The register of a shop: many jobs, each checked once, found by a word, none hidden by one that cannot be read."""

import os
import re
import shutil
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.services.desk import MOST_LOOKS
from ohmwright.web.app import app_of
from ohmwright.web.bench import Bench
from ohmwright.web.warmth import MOST_WARM, Warmth

SMALL = """\
ohmwright: 1
job: {id: NAME, title: "NAME, a van", rules: eu-vehicle 2023, stage: quoted}
host: {kind: van, places: {locker: {regime: cabin}}, ways: {}}
parts:
  B: {is: battery-lfp-100ah-12v, at: locker}
runs:
"""


@pytest.fixture
def many(tmp_path: Path) -> tuple[Bench, Asked]:
    """More jobs than studies are kept of, and one that cannot be read."""
    for n in range(MOST_LOOKS + 6):
        folder = tmp_path / f"job-{n:02d}"
        folder.mkdir()
        (folder / "rig.yaml").write_text(SMALL.replace("NAME", f"job-{n:02d}"), encoding="utf-8")
        os.utime(folder / "rig.yaml", (1_700_000_000 + n, 1_700_000_000 + n))
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "rig.yaml").write_text("ohmwright: 1\nparts: {B: [\n", encoding="utf-8")
    bench = Bench(str(tmp_path))
    bench.warmth = Warmth(bench)
    return bench, Asked(app_of(bench), tmp_path)


def _checked(bench: Bench, asked: Asked) -> str:
    warmth = bench.warmth
    assert warmth is not None
    warmth.begin()
    until = time.monotonic() + 300.0
    while "being checked" in (page := asked.get("/").text):
        assert time.monotonic() < until
        time.sleep(0.1)
    return page


def test_every_job_of_many_is_checked_once_and_the_newest_stay_ready(many: tuple[Bench, Asked]) -> None:
    bench, asked = many
    page = _checked(bench, asked)
    assert "not opened yet" not in page
    rows = re.findall(r'<th scope="row"><a href="/jobs/([\w-]+)/one-line">', page)
    assert len(rows) == MOST_LOOKS + 7
    assert page.count('data-l="cannot tell">–') == 1, "the broken one alone has no figures"
    assert "broken/rig.yaml:2:13" in page
    ready = [n for n in bench.desk.names() if n != "broken" and bench.desk.at_hand(n)]
    assert ready == [f"job-{n:02d}" for n in range(MOST_LOOKS + 6)][-len(ready) :]
    assert MOST_WARM - 1 <= len(ready) <= MOST_WARM


def test_a_job_in_hand_is_not_driven_off_by_the_checking_of_others(many: tuple[Bench, Asked]) -> None:
    bench, asked = many
    bench.desk.look("job-00")
    _checked(bench, asked)
    assert bench.desk.at_hand("job-00")


def test_a_job_that_changes_is_counted_again_and_one_that_goes_is_gone(many: tuple[Bench, Asked]) -> None:
    bench, asked = many
    page = _checked(bench, asked)
    file = asked.folder / "job-03" / "rig.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("job-03, a van", "Otter, a van"), encoding="utf-8"
    )
    assert "Otter" not in page
    assert "Otter, a van" in asked.get("/").text
    shutil.rmtree(asked.folder / "job-04")
    assert "job-04" not in asked.get("/").text


def test_jobs_are_found_by_their_words(many: tuple[Bench, Asked]) -> None:
    bench, asked = many
    _checked(bench, asked)
    page = asked.get("/?find=JOB-07+van").text
    assert re.findall(r'<th scope="row"><a href="/jobs/([\w-]+)/one-line">', page) == ["job-07"]
    assert "1 of them here" in page
    assert "<option>job-08</option>" in page, "an old job can be copied whatever was searched"
    assert "No job answers to that." in asked.get("/?find=zebra").text
    assert 'href="/jobs/broken/one-line"' in asked.get("/?find=cannot+be+read").text
    assert "<script>alert" not in asked.get("/?find=%3Cscript%3Ealert(1)").text


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_title_of_one_long_word_pushes_no_figure_off_the_sheet(
    served: Served, size: tuple[int, int]
) -> None:
    file = served.folder / "van" / "rig.yaml"
    word = "Donaudampfschifffahrtsgesellschaftskapitaenskajuetenschluessel" * 4
    file.write_text(
        file.read_text(encoding="utf-8").replace("Bramble, camper van, rescue", word), encoding="utf-8"
    )
    with browser(served, size) as page:
        page.goto(f"{served.address}/jobs/van/job")
        page.goto(f"{served.address}/")
        row = page.locator("tr", has=page.locator('a[href="/jobs/van/one-line"]'))
        expect(row).to_contain_text("dangers")
        for cell in row.locator("td").all():
            box = cell.bounding_box()
            assert box
            assert box["x"] + box["width"] <= size[0], "the row lies within the sheet"


def test_a_job_that_goes_while_the_register_is_read_hides_no_other(
    many: tuple[Bench, Asked], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The names were read, then a folder went: what asks for its age, its files or its figures meets nothing there."""
    bench, asked = many
    names = bench.desk.names()
    shutil.rmtree(asked.folder / "job-05")
    monkeypatch.setattr(type(bench.desk), "names", lambda _: names)
    assert set(bench.desk.newest()) == set(names)
    page = asked.get("/")
    assert page.status_code == 200
    assert "job-06" in page.text
