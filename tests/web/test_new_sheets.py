"""The sheets on which a rig grows: open to everybody, wide and on a phone, without scripts, and held against hostile words."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.checks.heat import bays
from ohmwright.rig.read import read_rig
from ohmwright.services.desk import Desk
from ohmwright.services.new import HOSTS
from ohmwright.services.opening import open_rig, shop_shelf
from ohmwright.store.jobs import Job

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "B: {is: battery}",
    "a\nparts: {}",
    "{{ 7 * 7 }}",
    "'; DROP TABLE",
    "../../etc/passwd",
    "x" * 5000,
    "\u202eevil",
    "&lt;b&gt;",
)


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_the_sheets_of_building_keep_nobody_out(served: Served, size: tuple[int, int]) -> None:
    """axe-core's rules; contrast in the dark version too."""
    with browser(served, size, color_scheme="dark" if size == PHONE else "light") as page:
        for path in (
            "/new/nothing",
            "/shelf?show=shop",
            *(
                f"/jobs/trailer/{s}"
                for s in (
                    "settings",
                    "places",
                    "interview?find=fridge&take=1",
                    "one-line?new=part&find=panel",
                    "one-line?new=run&from=XP&to=PD.feed",
                    "one-line?choose=W20",
                    "one-line?choose=M",
                    "one-line?choose=B",
                    "one-line?sheet=three-line",
                    "one-line?sheet=board",
                    "why?what=A1",
                )
            ),
        ):
            page.goto(served.address + path)
            page.evaluate(
                "() => document.querySelectorAll('main details').forEach((d) => { d.open = true; })"
            )
            found = Axe().run(page).response["violations"]
            assert [(v["id"], v["nodes"][0]["html"][:160]) for v in found] == [], path
            assert page.evaluate("document.documentElement.scrollWidth") <= size[0], path


@pytest.mark.slow
def test_a_rig_grows_without_scripts(served: Served) -> None:
    with browser(served, WIDE, java_script_enabled=False) as page:
        page.goto(f"{served.address}/jobs/trailer/one-line?new=part&find=small+30")
        page.get_by_label("Small DC fuse 30 A", exact=True).check()
        page.get_by_role("button", name="Put it in", exact=True).click()
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "F8")
        page.goto(f"{served.address}/jobs/trailer/one-line?new=run&from=XP&to=F8.line")
        page.get_by_label("length of the cable").fill("0.3 m")
        page.get_by_role("button", name="Lay it", exact=True).click()
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", re.compile("^W"))
        page.get_by_text("Rename", exact=False).first.click()
        page.get_by_role("button", name=re.compile("^Take W")).click()
        expect(page.locator("tr.chosen")).to_have_count(0)


@pytest.mark.parametrize("host", HOSTS)
@pytest.mark.parametrize("country", ["eu", "us"])
def test_a_job_from_nothing_reads_as_a_rig_of_its_rule_set(bench: Asked, host: str, country: str) -> None:
    name = f"{host}-{country}"
    page = bench.get(f"/new/nothing?host={host}").text
    places = dict(re.findall(r'name="(place\.\d)"[^>]*value="([^"]*)"', page))
    regimes = {f"regime.{n}": "outside" if n == 1 else "cabin" for n in range(1, 7)}
    told = {
        "name": name,
        "title": "Sprat: a <b>rig</b>, ours",
        "host": host,
        "country": country,
        "owner": "Ines",
    }
    answer = bench.post("/new/nothing", {**told, "wants": "a week, no plug", **places, **regimes})

    assert answer.status_code == 303
    rig = read_rig(bench.text(name), "x", shop_shelf(Job(str(bench.folder / name))))
    assert rig.job.rules == f"{country}-{'vehicle' if host in ('van', 'trailer') else host}"
    assert rig.job.title == told["title"]
    assert "a week, no plug" in rig.use.answers["wants"]
    sheet = bench.get(f"/jobs/{name}/one-line").text
    assert "Nothing is drawn yet" in sheet
    assert "<b>rig</b>" not in sheet


@pytest.mark.parametrize("word", HOSTILE)
def test_hostile_words_in_the_forms_of_building_change_nothing_or_stay_text(bench: Asked, word: str) -> None:
    before = bench.text("trailer")
    opened = bench.opened("trailer")
    token = bench.token()
    for to, data in (
        ("parts", {"part": "fuse-bolt-30a", "id": word}),
        ("parts", {"part": word}),
        ("parts", {"part": "fuse-bolt-30a", "place": word}),
        ("runs", {"from": word, "to": "XN", "cable": "6 AWG"}),
        ("runs", {"from": "XP", "to": "XN", "cable": word, "length": "1 m"}),
        ("cut-in", {"run": word, "part": "fuse-bolt-30a"}),
        ("cut-in", {"run": "W20", "part": "fuse-bolt-30a", "metres": word}),
        ("take-out", {"name": word}),
        ("rename", {"name": "F1", "id": word}),
        ("bank", {"name": "SB", "count": word}),
        ("strings", {"name": "M", "part": word, "series": "3", "strings": "1"}),
        ("places/put", {"how": "place", "name": word}),
        ("places/put", {"how": "way", "from": "roof", "to": "galley", "length": word}),
        ("interview/seasons", {"season.fridge.duty.summer": word}),
    ):
        for headers in ({}, {"hx-request": "true"}):
            answer = bench.post(
                f"/jobs/trailer/{to}", {"opened": opened, **data}, token=token, headers=headers
            )
            assert answer.status_code in (200, 303, 404, 413, 422), (to, data)
            assert "<script>alert" not in answer.text
            assert "onerror=alert(1)>" not in answer.text.replace(
                "&#34;&gt;&lt;img src=x onerror=alert(1)&gt;", ""
            )
            assert "at fault" not in answer.text, (to, data)
    assert bench.text("trailer") == before


def test_what_someone_else_wrote_is_not_covered_by_a_new_part(bench: Asked) -> None:
    opened = bench.opened("trailer")
    bench.put("trailer", "W12.length", "1.9 m")
    answer = bench.post("/jobs/trailer/parts", {"opened": opened, "part": "fuse-bolt-30a"})

    assert answer.status_code == 409
    assert "W12.length" in answer.text
    assert 'name="part" value="fuse-bolt-30a"' in answer.text, (
        "what was asked for is brought back, to be put on top"
    )


def test_seasons_are_written_as_one_line_and_all_or_none(bench: Asked) -> None:
    opened = bench.opened("trailer")
    names = {
        f"season.pump.hours.{s}": v
        for s, v in (("summer", "1 h"), ("shoulder", "0.5 h"), ("winter", "0.2 h"))
    }
    bench.post("/jobs/trailer/interview/seasons", {"opened": opened, **names})
    assert "hours: 1 h summer / 0.5 h shoulder / 0.2 h winter" in bench.text("trailer")

    before = bench.text("trailer")
    lacking = {**names, "season.pump.hours.winter": ""}
    bench.post("/jobs/trailer/interview/seasons", {"opened": bench.opened("trailer"), **lacking})
    assert bench.text("trailer") == before


def test_every_setting_of_a_device_has_its_line_and_a_new_one_is_written(bench: Asked) -> None:
    page = bench.get("/jobs/trailer/settings").text
    for key in (
        "supply-limit",
        "charge",
        "absorption",
        "equalise",
        "cut-off",
        "ground-relay",
        "grid-voltage",
    ):
        assert f'name="set.settings.U2.{key}"' in page
    bench.put("trailer", "settings.U1.end-current", "8 A (m 2026-05-02)", back="/jobs/trailer/settings")

    assert "end-current: 8 A (m 2026-05-02)}" in bench.text("trailer")
    row = bench.get("/jobs/trailer/settings").text.partition('name="set.settings.U1.end-current"')[2][:600]
    assert "2026-05-02" in row


def test_an_emptied_field_takes_its_value_out_and_a_needed_one_is_refused(bench: Asked) -> None:
    line = next(x for x in bench.text("trailer").splitlines() if x.strip().startswith("W12:"))
    length = re.search(r"length: ([^,}]+)", line)
    assert length
    was = {"was.W12.length": length[1]}
    bench.post("/jobs/trailer/put", {"opened": bench.opened("trailer"), "set.W12.length": "", **was})
    now = next(x for x in bench.text("trailer").splitlines() if x.strip().startswith("W12:"))
    assert "length" not in now

    before = bench.text("trailer")
    bench.post(
        "/jobs/trailer/put", {"opened": bench.opened("trailer"), "set.W12.cable": "", "was.W12.cable": "x"}
    )
    assert bench.text("trailer") == before


@pytest.mark.parametrize("word", HOSTILE[:6])
@pytest.mark.parametrize("field", ["title", "owner", "by", "wants", "place.1"])
def test_hostile_first_words_stay_text_or_are_refused(bench: Asked, field: str, word: str) -> None:
    told = {
        "name": "sprat",
        "title": "Sprat",
        "host": "van",
        "country": "eu",
        "place.1": "roof",
        "regime.1": "outside",
    }
    answer = bench.post("/new/nothing", {**told, field: word})
    pages = [answer.text]
    if answer.status_code == 303:
        pages += [bench.get(f"/jobs/sprat/{s}").text for s in ("job", "one-line", "interview", "places")]
    for page in pages:
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "at fault" not in page


def test_a_place_and_a_way_are_named_and_a_place_in_use_stays(bench: Asked) -> None:
    def post(**data: str) -> str:
        return bench.post("/jobs/trailer/places/put", {"opened": bench.opened("trailer"), **data}).text

    post(how="place", name="wardrobe", regime="cabin", size="0.6 x 0.5 x 1.2 m")
    post(**{"how": "way", "from": "wardrobe", "to": "galley", "length": "1.8 m", "underbody": "true"})
    text = bench.text("trailer")
    assert "wardrobe: {regime: cabin, size: 0.6 x 0.5 x 1.2 m}" in text
    assert "wardrobe - galley: {length: 1.8 m, underbody: true}" in text
    assert "sits in side-bay" in post(how="take-place", name="side-bay")
    post(how="take-way", name="wardrobe - galley")
    post(how="take-place", name="wardrobe")
    assert "wardrobe" not in bench.text("trailer")


def test_a_bank_is_made_of_one_battery_with_links(bench: Asked) -> None:
    bench.post(
        "/jobs/trailer/parts",
        {"opened": bench.opened("trailer"), "part": "battery-lfp-100ah-12v", "id": "B9"},
    )
    data = {
        "name": "B9",
        "count": "2",
        "as": "chain",
        "takeoff": "diagonal",
        "link": "2/0 AWG 105C",
        "link-length": "0.3 m",
    }
    bench.post("/jobs/trailer/bank", {"opened": bench.opened("trailer"), **data})
    rig = read_rig(bench.text("trailer"), "x", shop_shelf(Job(str(bench.folder / "trailer"))))

    assert "B9.link1" in rig.runs
    assert rig.parts["B9.2"].record.id == "battery-lfp-100ah-12v"


def test_why_shows_the_published_table_with_the_cells_it_took(reading: Asked) -> None:
    """NFPA 70 Table 690.7(A): 1.23 at -31 to -35 degC, seen in a second hand."""
    page = reading.get("/jobs/trailer/why?what=array/cold-voltage&subject=M.1.1").text
    if "The table it used" not in page:
        page = reading.get("/jobs/trailer/why?what=A1").text
    assert "The table it used: Voltage correction of crystalline silicon modules" in page
    assert re.search(r'<tr class="chosen"><th scope="row">-35</th><td class="fig"><b>1\.23</b>', page)


def test_studs_named_for_one_end_are_not_kept_for_another(bench: Asked) -> None:
    first = bench.get("/jobs/trailer/one-line?new=run&from=XP&to=PD.feed").text
    plus = re.search(r'name="pole\.\+" value="([^"]*)"', first)
    assert plus
    assert plus[1].startswith("XP.")
    query = f"from=XN&was.from={plus[1]}&to=PD.feed&was.to=PD.feed&pole.%2B={plus[1]}&pole.-="
    second = bench.get(f"/jobs/trailer/one-line?new=run&{query}").text
    minus = re.search(r'name="pole\.-" value="([^"]*)"', second)
    assert minus
    assert minus[1].startswith("XN.")
    assert f'name="pole.+" value="{plus[1]}"' not in second or minus[1] != plus[1]


def test_every_bay_is_drawn_to_one_scale_and_tells_its_heat(reading: Asked) -> None:
    page = reading.get("/jobs/trailer/places").text
    drawn = re.findall(r'viewBox="-18 -\d+ (\d+) \d+".*?aria-label="[\w-]+, ([\d.]+) m wide.*?<rect x="0" y="0" width="([\d.]+)"', page, re.DOTALL)  # fmt: skip
    assert len(drawn) == 2
    assert len({view for view, _, _ in drawn}) == 1, "columns of one width, so one scale"
    assert len({round(float(px) / float(metres), 1) for _, metres, px in drawn}) == 1
    warm = bays(Desk(str(reading.folder)).look("trailer").study)["side-bay"]
    assert warm.air is not None
    told = re.sub(r"<[^>]*>", "", page)
    assert f"give off {warm.loss_W:.0f} W: its air gets to {warm.air.value:.2g} °C, and" in told


def test_a_run_tells_the_device_that_it_stands_behind(reading: Asked) -> None:
    """By the trailer's file F6 stands in the only way from the bar to W20, and every string has its own fuse."""
    page = reading.get("/jobs/trailer/one-line?choose=W20").text
    assert "run, through side-bay - galley, behind F6 60 A" in page
    row = page.partition('data-row="W01"')[2].partition("</tr>")[0]
    assert "behind FS1<" in row


def test_vents_and_opening_are_drawn_where_the_file_has_them_and_a_default_says_so(bench: Asked) -> None:
    """Two squares of half the free area each: 120 cm2 is 110 mm, in pixels of 4 mm; positions by hand from the file's metres."""
    page = bench.get("/jobs/trailer/places").text
    assert "Where they sit is not told:" in page
    assert "drawn at the lower left corner: where it sits is not told" in page
    bench.put("trailer", "host.places.side-bay.vent-low", "0.10 0.08 m")
    bench.put("trailer", "host.places.side-bay.vent-high", "0.80 0.50 m")
    bench.put("trailer", "host.places.side-bay.opening-at", "0.2 0.05 m")
    page = bench.get("/jobs/trailer/places").text
    side = 12000**0.5 / 4
    for x_m, y_m in ((0.1, 0.08), (0.8, 0.5)):
        left, top = x_m * 250 - side / 2, (0.6 - y_m) * 250 - side / 2
        assert f'<rect x="{left:.1f}" y="{top:.1f}" width="{side:.1f}" height="{side:.1f}"' in page
    assert '<rect x="50.0" y="12.5" width="112.5" height="125.0" fill="none" stroke="#4A5257"' in page
    assert "is not told" not in page.partition('id="place-side-bay"')[2].partition("</section>")[0]
    air = bays(Desk(str(bench.folder)).look("trailer").study)["side-bay"]
    told = re.sub(r"<[^>]*>", "", page)
    assert f"{air.flow_m3_per_h:.2g} m3/h of it go through the vents" in told
    bench.put("trailer", "host.places.side-bay.vent-high", "1.50 0.50 m")
    assert "The upper vent is told to sit outside the size of the place." in bench.get("/jobs/trailer/places").text  # fmt: skip
    bench.put("trailer", "host.places.side-bay.vent-high", "0.80 0.02 m")
    assert "warm air draws nothing through them" in bench.get("/jobs/trailer/places").text


def test_what_a_way_passes_is_changed_and_an_empty_way_is_taken_out(bench: Asked) -> None:
    """The trailer's file: the way to the hitch lies under the floor, the one to the roof passes a gland in the sun."""
    page = bench.get("/jobs/trailer/places").text
    assert 'name="was.host.ways.side-bay - hitch.underbody" value="yes"' in page
    assert 'name="was.host.ways.roof - side-bay.glands" value="1"' in page
    assert "Take side-bay - hitch out" not in page, "runs lie in it"
    for key, value in (("glands", "2"), ("conduit", "yes"), ("hottest", "60 degC"), ("bulkhead", "1")):
        assert bench.put("trailer", f"host.ways.side-bay - hitch.{key}", value).status_code == 303
    way = open_rig(str(bench.folder / "trailer")).rig.host.ways["side-bay - hitch"]
    assert (way.glands, way.words["conduit"], way.words["bulkhead"]) == (2, "yes", "1")
    assert way.words["hottest"] == "60 degC"
    told = {"opened": bench.opened("trailer"), "set.host.ways.side-bay - hitch.underbody": "", "was.host.ways.side-bay - hitch.underbody": "yes"}  # fmt: skip
    bench.post("/jobs/trailer/put", told)
    assert "underbody" not in open_rig(str(bench.folder / "trailer")).rig.host.ways["side-bay - hitch"].words
    new = {"opened": bench.opened("trailer"), "how": "way", "from": "galley", "to": "living", "length": "2 m", "back": "ways"}  # fmt: skip
    assert bench.post("/jobs/trailer/places/put", new).status_code == 303
    assert "Take galley - living out" in bench.get("/jobs/trailer/places").text
    gone = {"opened": bench.opened("trailer"), "how": "take-way", "name": "galley - living", "back": "ways"}
    assert bench.post("/jobs/trailer/places/put", gone).status_code == 303
    assert "galley - living" not in bench.text("trailer")
