"""Every sheet of every demo job: it answers, it is a proper page, and its figures are those of the commands."""

import html
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.web.conftest import DEMOS, Asked

from ohmwright.cli.program import program
from ohmwright.services.compare import compare, compare_json
from ohmwright.web import app as web_app

SHEETS = (
    "job",
    "one-line",
    "check",
    "mend",
    "interview",
    "places",
    "roof",
    "almanac",
    "change-order",
    "papers",
)
ALONE = ("/", "/shelf", "/shelf?find=fuse", "/shelf/add?kind=fuse", "/shelf/part/fuse-class-t-300a")


class _Page(HTMLParser):
    """What a page is made of, as far as these tests ask."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.lang = ""
        self.headings: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        given = dict(attrs)
        if tag == "html":
            self.lang = given.get("lang") or ""
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(tag)
        if given.get("id"):
            self.ids.append(str(given["id"]))


def _pages() -> list[str]:
    return [*ALONE, *(f"/jobs/{job}/{sheet}" for job in DEMOS for sheet in SHEETS)]


@pytest.mark.parametrize("path", _pages())
def test_every_sheet_is_a_proper_page(reading: Asked, path: str) -> None:
    answer = reading.get(path)
    assert answer.status_code == 200
    page = _Page()
    page.feed(answer.text)
    assert page.lang == "en"
    assert page.headings.count("h1") == 1
    assert len(page.ids) == len(set(page.ids))


@pytest.mark.parametrize("path", _pages())
def test_no_sheet_holds_script_or_style_of_its_own_or_reaches_outside(reading: Asked, path: str) -> None:
    answer = reading.get(path)
    page = _Page()
    page.feed(answer.text)
    assert "style" not in page.tags
    assert not [a for a in page.attributes if a[0] == "style" or a[0].startswith("on")]
    assert re.findall(r"<script([^>]*)>", re.sub(r"\?\w+", "", answer.text)) == [
        ' src="/static/bench.js" defer'
    ]
    places = [v for k, v in page.attributes if k in ("src", "href", "action", "hx-post", "hx-get")]
    assert not [p for p in places if re.match(r"(?!data:)[a-z]+:|//", p)]


def test_the_policy_lets_nothing_in_from_outside(reading: Asked) -> None:
    policy = reading.get("/").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def _json(*words: str) -> dict[str, object]:
    done = CliRunner().invoke(program, [*words, "--json"], standalone_mode=False)
    told: dict[str, object] = json.loads(done.stdout)
    return told


@pytest.mark.parametrize("job", DEMOS)
def test_the_check_sheet_says_what_the_command_says(reading: Asked, job: str) -> None:
    told = _json("check", str(reading.folder / job))
    page = reading.get(f"/jobs/{job}/check").text
    assert str(told["statement"]) in page
    findings = told["findings"]
    assert isinstance(findings, list)
    open_ones = [f for f in findings if f["verdict"] in ("fail", "warn", "cannot-tell", "overridden")]
    assert len(re.findall(r'id="note-\d+"', reading.get(f"/jobs/{job}/one-line").text)) == len(open_ones)
    by_verdict = told["by_verdict"]
    assert isinstance(by_verdict, dict)
    assert f"{by_verdict['pass']} in order" in page


def test_currents_of_the_schedule_are_those_of_flows(reading: Asked) -> None:
    cases = _json("flows", str(reading.folder / "trailer"))["cases"]
    assert isinstance(cases, dict)
    page = reading.get("/jobs/trailer/one-line?list=runs").text
    for run, cores in {"W12": ("W12",), "W20": ("W20",), "W07": ("W07.+", "W07.-")}.items():
        most = max(
            abs(c["runs"][core]["current_A"]) for c in cases.values() for core in cores if core in c["runs"]
        )
        row = re.search(rf'<tr data-row="{run}".*?</tr>', page, re.DOTALL)
        assert row is not None
        assert f">{most:.3g}</a></td>" in row[0]


def test_the_almanac_adds_up_to_the_year_of_the_command(reading: Asked) -> None:
    from ohmwright.services.almanac import typical
    from ohmwright.services.opening import open_rig
    from ohmwright.services.year import YearDone, year_json

    told = _json("year", str(reading.folder / "trailer"), "--years", "1")
    opened = open_rig(str(reading.folder / "trailer"))
    made = typical(opened).almanac
    answer = json.loads(json.dumps(year_json(YearDone(opened, made.year))))
    for key in ("years", "seed", "months", "stays", "promises", "notes", "assumptions", "ledger_kWh"):
        assert answer[key] == told[key], key
    months = told["months"]
    assert isinstance(months, list)
    assert len(made.weeks) == 52
    for name, summed in (
        ("unserved_kWh", sum(w.unserved_kWh for w in made.weeks)),
        ("load_kWh", sum(w.wants_kWh for w in made.weeks)),
    ):
        assert summed == pytest.approx(sum(m[name] for m in months), rel=1e-9)
    sun = sum(m["array_kWh"] + m["curtailed_kWh"] for m in months)
    assert sum(w.sun_kWh for w in made.weeks) == pytest.approx(sun, rel=1e-9)


@pytest.mark.slow
def test_the_almanac_of_made_years_is_the_year_of_the_command(reading: Asked) -> None:
    from ohmwright.services.almanac import almanac_of
    from ohmwright.services.opening import open_rig
    from ohmwright.services.year import YearDone, year_json

    told = _json("year", str(reading.folder / "trailer"), "--years", "64")
    opened = open_rig(str(reading.folder / "trailer"))
    made = almanac_of(opened, 64)
    answer = json.loads(json.dumps(year_json(YearDone(opened, made.year))))
    for key in (
        "years",
        "seed",
        "months",
        "stays",
        "nights_lost",
        "promises",
        "verdict",
        "darkest",
        "bought",
    ):
        assert answer[key] == told[key], key
    weeks = told["by_chance"]
    assert isinstance(weeks, dict)
    assert [w.bad for w in made.weeks] == [round(w["nights_lost_one_in_ten"]) for w in weeks["weeks"]]
    assert len(made.bad.soc) == 168
    assert all(0.0 <= low <= high <= 1.0 for low, high in made.bad.band)


def test_choosing_opens_the_row_of_what_an_address_belongs_to(reading: Asked) -> None:
    for address, row in (
        ("B.1.F", "B"),
        ("W07.+", "W07"),
        ("fridge.branch.+", "fridge"),
        ("M.1.1.short_circuit", "M"),
    ):
        page = reading.send("GET", "/jobs/trailer/one-line", params={"choose": address}).text
        assert re.search(rf'<tr data-row="{row}" class="chosen"', page), address


def test_a_figure_and_a_verdict_can_be_asked_why(reading: Asked) -> None:
    verdict = reading.get("/jobs/trailer/why?what=A5&subject=W07.%2B").text
    assert "pocket calculator" in verdict
    assert "turns at" in verdict
    assert "What uses it" in reading.get("/jobs/trailer/why?what=M.short_circuit").text


def test_what_is_not_there_is_said_with_what_to_do(reading: Asked) -> None:
    for path in (
        "/nix",
        "/jobs/nobody/one-line",
        "/jobs/..%2f..%2fetc/job",
        "/jobs/trailer@Z/job",
        "/shelf/part/nix",
    ):
        answer = reading.get(path)
        assert answer.status_code == 404, path
        assert "Not done" in answer.text


def test_no_word_of_the_ones_to_avoid_stands_on_a_sheet(reading: Asked) -> None:
    """Words of screens that this one must not remind of; common practice, no source."""
    banned = re.compile(
        r"\b(dashboard|overview|portal|widget|insights|health score|device list|remote console)\b",
        re.IGNORECASE,
    )
    for path in _pages():
        assert not banned.search(re.sub(r"<[^>]+>", " ", reading.get(path).text)), path


def test_the_style_sheet_knows_no_green_no_yellow_and_no_motion() -> None:
    from ohmwright.web.serve import STATIC

    style = (STATIC.parent / "assets" / "bench.css").read_text(encoding="utf-8")
    assert not re.search(r"transition|animation|@keyframes|border-radius: *[1-9]", style)
    for code in re.findall(r"#[0-9A-Fa-f]{6}", style):
        r, g, b = (int(code[i : i + 2], 16) for i in (1, 3, 5))
        light = max(r, g, b) - min(r, g, b) < 40
        assert light or not (g > r and g > b), code
        assert light or not (r > 180 and g > 150 and b < 120), code


def test_every_address_leads_to_a_function_that_is_there() -> None:
    """Sheets are imported when they are first asked for: a name that leads nowhere would show only then."""
    source = (Path(web_app.__file__)).read_text(encoding="utf-8")
    names = re.findall(r'\b(?:page|form)\("(\w+\.\w+)"\)', source)
    assert len(names) > 40
    for name in names:
        assert callable(web_app.named(name)), name


def test_mass_price_and_cable_of_what_follows_are_those_of_the_command(bench: Asked) -> None:
    old = bench.folder / "trailer" / "rig.yaml"
    was = bench.opened("trailer")
    kept = bench.folder / "before.yaml"
    kept.write_text(old.read_text(encoding="utf-8"), encoding="utf-8")
    bench.get("/jobs/trailer/one-line")
    bench.put("trailer", "W07.length", "15 m")
    beat = bench.get(f"/jobs/trailer/beat?was={was}&becomes={bench.opened('trailer')}&drawn=1").text
    counted = beat.partition("event: counted")[2].partition("event: ")[0]
    told = compare_json(compare(str(kept), str(old), with_papers=False))
    moved = [f for f in told["figures"] if f["name"].startswith(("mass of", "price of", "cable to cut"))]
    assert moved
    rows = re.findall(r"<tr>.*?</tr>", counted.replace("\ndata: ", "\n"), re.DOTALL)
    assert len(rows) == len(moved)
    for row, figure in zip(rows, moved, strict=True):
        cells = [re.sub(r"[^\d.]", "", c) for c in re.findall(r'class="fig">([^<]*)<', row)]
        assert float(cells[0]) == pytest.approx(figure["before"], rel=6e-4), figure["name"]
        assert float(cells[1]) == pytest.approx(figure["after"], rel=6e-4), figure["name"]
        assert ("cable to cut, 2 x 2 AWG" in row) == (figure["name"] == "cable to cut"), "which cable"


def test_a_drawing_in_us_units_is_laid_out_in_inches(reading: Asked) -> None:
    metric = reading.get("/jobs/trailer/one-line?sheet=roof-plan").text
    us = reading.get("/jobs/trailer/one-line?sheet=roof-plan", cookie="units=us").text
    whole = re.findall(r">6\.60<", metric)  # the roof's length in the file is 6.6 m
    assert whole
    # 6.6 m by the definition of the inch: 259.84 in, 21 ft and 7.84 in, 13 sixteenths.
    assert re.search(r">21'-7 13/16(?:\"|&quot;)<", us)
    assert not re.search(r">6\.60<", us)
    assert re.search(r">\d+ (?:ft|in), scale [^<(]+ \(1:\d+\)<", us)


def test_what_holds_for_a_run_is_told_beside_its_row_and_can_be_asked_why(reading: Asked) -> None:
    """The passes of `ohmwright check` about W20; the derivation of its current shows the published table with its cells."""
    page = reading.get("/jobs/trailer/one-line?choose=W20").text
    told = html.unescape(page.partition('class="chosen-box"')[2].partition('class="rows"')[0])
    findings = _json("check", str(reading.folder / "trailer"))["findings"]
    assert isinstance(findings, list)
    passed = [f for f in findings if f["subject"] == "W20" and f["verdict"] == "pass"]
    assert len(passed) >= 2
    for f in passed:
        assert f["message"] in told
        address = f"/jobs/trailer/why?what={f['rule'].replace('/', '%2F')}&subject=W20"
        assert address in told
        assert "Worked, for a pocket calculator" in reading.get(address).text
