"""Somebody who has never seen the bench: what is wrong is told in short, what is put is answered, nothing is a dead end."""

import re
import time

import pytest
from playwright.sync_api import Route, expect
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.services.opening import today
from ohmwright.working import Figure, parse

TOUCHED = ("/", "/new/nothing", "/shelf", "/shelf/add?kind=fuse", "/jobs/trailer/job", "/jobs/trailer/one-line?choose=W20",
           "/jobs/trailer/one-line?new=part&find=fuse", "/jobs/trailer/check", "/jobs/trailer/mend", "/jobs/trailer/settings",
           "/jobs/trailer/papers")  # fmt: skip
#: Targets of a hand are at least 44 px high (WCAG 2.2, 2.5.5, from memory); links in a sentence are exempt there.
SMALL = """() => {
  for (const d of document.querySelectorAll('details')) d.open = true;
  return [...document.querySelectorAll('a, button, input:not([type=hidden]):not([type=radio]), select, summary')].filter((e) => {
    const box = e.getBoundingClientRect();
    if (!box.height || e.closest('.unseen, .skip, svg')) return false;
    const sentence = e.tagName === 'A' && getComputedStyle(e).display === 'inline' && e.closest('p, td, li, span');
    return box.height < 43.5 && !sentence;
  }).map((e) => `${e.tagName} ${e.getBoundingClientRect().height} ${e.textContent.trim().slice(0, 30)}`);
}"""


def _missing(bench: Asked, **more: str) -> dict[str, str]:
    return {"opened": bench.opened("trailer"), "back": "/jobs/trailer/check?put=missing#missing", **more}


def _torque(bench: Asked) -> Figure:
    line = next(w for w in bench.text("trailer").splitlines() if w.lstrip().startswith("F7:"))
    given = parse(line.partition("torque: ")[2].rstrip("}"))
    assert isinstance(given, Figure)
    return given


def test_six_strings_with_one_fault_are_one_line_and_all_that_is_a_danger_or_fails_stands_there(
    reading: Asked,
) -> None:
    page = reading.get("/jobs/trailer/check").text
    short = page.partition('id="short"')[2].partition("</table>")[0]
    for n in range(1, 7):
        assert f">M.{n}</a>" in short
    assert short.count("String fuse between its two limits") == 1
    dangers = int(re.findall(r"(\d+) dangers found", page)[0])
    told = [row for row in short.split("<tr>") if "DANGER" in row]
    count = sum(row.count("note-ref") + sum(map(int, re.findall(r"and (\d+) more", row))) for row in told)
    assert count == dangers
    assert short.index("DANGER") < short.index("FAILS")


def test_a_missing_figure_is_put_with_its_page_of_a_document_that_the_file_did_not_know(bench: Asked) -> None:
    sent = {
        "origin": "new",
        "document": 'Blade fuses: "data" sheet',
        "of": "2024-05-01",
        "set.F7.torque": "4 N.m",
        "page.F7.torque": "p. 3",
        "set.settings.U3.equalise": "none",
    }
    answer = bench.post("/jobs/trailer/check/missing", _missing(bench, **sent))
    assert answer.status_code == 303
    assert answer.headers["location"].endswith("?put=missing#missing")
    torque = _torque(bench)
    assert (torque.value, torque.origin.page) == (4.0, "p3")
    text = bench.text("trailer")
    assert re.search(rf"\b{torque.origin.tag}: .*Blade fuses", text)
    assert "equalise: none" in text
    page = bench.get(answer.headers["location"].partition("#")[0]).text
    assert "F7.torque 4 N.m" in page.partition('id="missing"')[2].partition("</p>")[0]


@pytest.mark.parametrize(
    ("origin", "page", "kind"),
    [
        ("o", "", "source"),
        ("s", "12", "shop"),
        ("", "", "typed"),
        ("", "m 2026-05-02", "measured"),
        ("today", "", "measured"),
    ],
)
def test_a_missing_figure_may_be_measured_said_or_of_nobody_yet(
    bench: Asked, origin: str, page: str, kind: str
) -> None:
    origin = f"m {today()}" if origin == "today" else origin
    sent = {"origin": origin, "set.F7.torque": "4 N.m", "page.F7.torque": page}
    assert bench.post("/jobs/trailer/check/missing", _missing(bench, **sent)).status_code == 303
    assert _torque(bench).origin.kind == kind


def test_a_page_of_no_document_is_refused_and_stays_written(bench: Asked) -> None:
    before = bench.text("trailer")
    sent = {"origin": "", "set.F7.torque": "4 N.m", "page.F7.torque": "3"}
    answer = bench.post("/jobs/trailer/check/missing", _missing(bench, **sent))
    assert answer.status_code == 422
    assert "not said which document" in answer.text
    assert 'value="4 N.m"' in answer.text
    nothing = bench.post("/jobs/trailer/check/missing", _missing(bench, origin="new", document=""))
    assert nothing.status_code == 422
    assert "title of the document is missing" in nothing.text
    assert bench.text("trailer") == before


def test_each_field_of_a_missing_figure_has_its_heading_on_a_phone_and_says_what_a_value_looks_like(
    reading: Asked,
) -> None:
    table = (
        reading.get("/jobs/trailer/check")
        .text.partition('table class="ruled missing')[2]
        .partition("</table>")[0]
    )
    cells = re.findall(r"<td([^>]*)><input", table)
    assert {c.strip() for c in cells} == {'data-l="value"', 'data-l="condition"', 'data-l="page"'}
    assert 'placeholder="like 12 N.m"' in table


def test_an_issue_is_answered_and_leads_to_the_papers(bench: Asked) -> None:
    answer = bench.post(
        "/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "Ines"}
    )
    page = bench.get(answer.headers["location"]).text
    assert "Revision A is issued" in page
    assert 'href="/jobs/trailer@A/papers"' in page
    assert "is issued</b>" not in bench.get("/jobs/trailer/job?issued=Q").text


def test_a_new_part_is_kept_with_no_job_that_nobody_chose(reading: Asked) -> None:
    select = reading.get("/shelf/add?kind=fuse").text.partition('name="to"')[2].partition("</select>")[0]
    assert "required" in select
    assert re.search(r'<option value="(shop)?">', select)


@pytest.mark.parametrize("piece", [False, True], ids=["page", "piece of the sheet"])
def test_a_form_that_meets_a_change_of_another_hand_is_put_once_more_as_it_was_written(
    bench: Asked, piece: bool
) -> None:
    opened = bench.opened("trailer")
    bench.put("trailer", "W12.length", "1.9 m")
    written = {
        "opened": opened,
        "kind": "load",
        "name": "lantern",
        "power": "7 W",
        "back": "/jobs/trailer/interview#loads",
    }
    headers = {"hx-request": "true"} if piece else {}
    answer = bench.post("/jobs/trailer/add", written, headers=headers)
    assert answer.status_code == (200 if piece else 409)
    assert "changed by someone else" in answer.text
    assert "W12.length" in answer.text
    form = answer.text.partition('action="/jobs/trailer/add"')[2].partition("</form>")[0]
    again = dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form))
    assert again["opened"] == bench.opened("trailer")
    assert bench.send("POST", "/jobs/trailer/add", data=again).status_code == 303
    text = bench.text("trailer")
    assert "lantern: {" in text
    assert "1.9 m" in text


def test_a_page_is_a_number_and_what_was_left_empty_can_be_written_on_the_refusal(bench: Asked) -> None:
    sent = {
        "kind": "fuse",
        "part": "fuse-strip-40a",
        "sheet": "Strip fuses",
        "dated": "2024-05-01",
        "to": "trailer",
        "value.rated": "40",
        "condition.rated": "",
        "page.rated": "1",
    }
    refused = bench.post("/shelf/add", sent)
    assert refused.status_code == 422
    assert 'name="condition.rated"' in refused.text
    taken = bench.post("/shelf/add", {**sent, "value.rated": "40 A", "condition.rated": "25 degC"})
    assert taken.status_code == 303
    kept = "".join(f.read_text(encoding="utf-8") for f in (bench.folder / "trailer").rglob("*.yaml"))
    assert "40 A @ 25 degC (d1 p1)" in kept


def test_a_text_that_is_far_too_long_is_refused_and_comes_back_too(bench: Asked) -> None:
    sent = {
        "kind": "load",
        "name": "lantern",
        "power": "7 W",
        "said": "x" * 10_000,
        "back": "/jobs/trailer/interview",
    }
    answer = bench.post("/jobs/trailer/add", {**sent, "opened": bench.opened("trailer")})
    assert answer.status_code == 422
    assert "longer than 4000 characters" in answer.text
    assert 'value="lantern"' in answer.text
    part = {"kind": "fuse", "part": "fuse-strip-40a", "sheet": "x", "dated": "2024-05-01", "to": "trailer"}
    answer = bench.post("/shelf/add", {**part, "value.rated": "9" * 10_000, "condition.rated": ""})
    assert answer.status_code == 422
    assert 'value="fuse-strip-40a"' in answer.text


def test_ends_of_runs_are_told_without_the_brackets_of_the_file(reading: Asked) -> None:
    for sheet in ("one-line", "one-line?choose=W01"):
        rows = (
            reading.get(f"/jobs/trailer/{sheet}").text.partition('id="schedule"')[2].partition("</table>")[0]
        )
        told = re.sub(r"<[^>]*>", " ", rows)
        assert "+ FS1.line, − XJ.a.-" in told
        assert "{" not in told


def test_a_load_that_was_looked_up_is_called_by_the_word_it_was_found_by(reading: Asked) -> None:
    def called(find: str) -> str:
        page = reading.get(f"/jobs/trailer/interview?find={find}&take=1").text
        return str(re.findall(r'id="hn"[^>]* value="([^"]*)"', page)[0])

    assert called("kettle") == "kettle"
    assert called("fridge") == "", "the trailer has one of that name"
    assert called("kettle%20%3Cb%3E") == ""


@pytest.mark.slow
def test_after_a_rename_keyboard_and_address_go_on_where_the_part_is(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(served.address + "/jobs/trailer/one-line?choose=M")
        page.get_by_text("Rename M").click()
        page.locator("#new-id").fill("MA")
        page.locator("#new-id").press("Enter")
        expect(page.locator("#chosen")).to_be_focused()
        expect(page.locator("#chosen h2")).to_contain_text("MA")
        assert "choose=MA" in page.url


@pytest.mark.slow
def test_on_a_phone_a_value_that_was_put_is_answered_beside_its_field(served: Served) -> None:
    with browser(served, PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(served.address + "/jobs/trailer/one-line?choose=W20")
        field = page.locator('[name="set.W20.cable"]')
        field.fill("14 AWG 105C red")
        field.press("Enter")
        expect(page.locator(".put-told")).to_contain_text("Put in. What follows: ")
        expect(field).to_be_focused()
        page.locator(".put-told a").tap()
        expect(page.locator("#follows h2")).to_be_in_viewport()


@pytest.mark.slow
@pytest.mark.parametrize("path", TOUCHED)
def test_what_a_finger_presses_is_large_enough(served: Served, path: str) -> None:
    with browser(served, PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(served.address + path)
        assert page.evaluate(SMALL) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


@pytest.mark.slow
def test_a_press_too_many_puts_no_second_part_in(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(served.address + "/jobs/trailer/one-line?new=part&find=fuse")
        page.locator("#found input[name=part]").first.check()
        page.locator("#found").get_by_role("button", name="Put it in", exact=True).dblclick()
        expect(page.locator("tr.chosen")).to_have_count(1)
        page.wait_for_load_state("networkidle")
        assert page.locator("#steps button").first.inner_text() == "Undo (1)"


@pytest.mark.slow
def test_a_second_field_that_is_changed_while_the_first_is_on_its_way_is_put_too(served: Served) -> None:
    file = served.folder / "trailer" / "rig.yaml"
    with browser(served, WIDE) as page:
        page.goto(served.address + "/jobs/trailer/one-line?choose=W20")
        page.route("**/put", _late)
        for name, value in (("length", "2.2 m"), ("cable", "4 AWG 105C red")):
            field = page.locator(f'[name="set.W20.{name}"]')
            field.fill(value)
            field.press("Enter")
        expect(page.locator("#follows .asked")).to_contain_text("4 AWG")
        expect(page.locator('[name="was.W20.cable"]')).to_have_value("4 AWG 105C red")
    line = next(w for w in file.read_text(encoding="utf-8").splitlines() if w.lstrip().startswith("W20:"))
    assert "2.2 m" in line
    assert "4 AWG" in line


def _late(route: Route) -> None:
    time.sleep(0.5)
    route.continue_()
