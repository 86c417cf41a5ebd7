"""A small van drawn from nothing with pointer and keyboard, checked, issued and printed; the same steps on a phone."""

import re
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect
from tests.web.conftest import Served
from tests.web.hands import Hands
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services.opening import shop_shelf

pytestmark = pytest.mark.slow

#: The id it gets, words typed, the part chosen, more fields.
PARTS: tuple[tuple[str, str, str, dict[str, str]], ...] = (
    ("B", "battery lfp 100 12v", "LFP battery 12.8 V 100 Ah", {}),
    ("M", "module 230", "PV module 230 W", {}),
    ("U1", "controller 20", "PV controller 20 A 100 V", {}),
    ("F1", "class t 80", "Class T fuse 80 A", {}),
    ("F2", "small 30", "Small DC fuse 30 A", {}),
    ("XP", "busbar 100", "Busbar 100 A with 6 studs", {"id": "XP"}),
    ("XN", "busbar 100", "Busbar 100 A with 6 studs", {"id": "XN"}),
    ("PD", "panel dc 6", "DC panel with 6 ways", {"id": "PD", "ways": "10 A, 5 A, 5 A"}),
)
#: Ends, and the length of the cable. What is pressed in the drawing stands in brackets.
RUNS = (
    ("M", "U1.pv", "3 m"),
    ("U1.bat.+", "F2.line", "0.4 m"),
    ("F2.load", "XP", "0.2 m"),
    ("B.+", "F1.line", "0.15 m"),
    ("F1.load", "XP", "0.4 m"),
    ("B.-", "XN", "0.5 m"),
    ("U1.bat.-", "XN", "0.5 m"),
    ("XP", "PD.feed", "1.2 m"),
)
LOADS = (
    ("compressor fridge", "Compressor fridge 50–80 L", "fridge", "PD.1", "2 m"),
    ("light", "Reading light", "light", "PD.2", "3 m"),
    ("water pump", "", "pump", "PD.3", "3 m"),
)


def rig_of(served: Served, job: str) -> Rig:
    file = served.folder / job / "rig.yaml"
    return read_rig(file.read_text(encoding="utf-8"), str(file), shop_shelf())


def begin(page: Page, hands: Hands, job: str) -> None:
    hands.press(page.get_by_role("link", name="Begin from nothing"))
    hands.type(page.get_by_label("what people call it"), "Sprat, a small van")
    hands.type(page.get_by_label("folder: small letters"), job)
    hands.type(page.get_by_label("whose it is"), "Ines")
    hands.press(page.get_by_role("button", name="Begin", exact=True))
    expect(page.get_by_text("Nothing is drawn yet")).to_be_visible()


def add_part(
    page: Page, hands: Hands, name: str, find: str, title: str, more: dict[str, str], button: str
) -> None:
    hands.type(page.locator("#find-part"), find)
    expect(page.locator("#found input[name=find]")).to_have_value(find)
    hands.press(page.get_by_label(title, exact=True).first)
    for field, value in more.items():
        hands.type(page.locator(f"#part-{field}"), value)
    hands.press(page.get_by_role("button", name=button, exact=True))
    expect(page.locator("tr.chosen")).to_have_attribute("data-row", name)
    expect(page.locator("#find-part" if "more" in button else "#chosen h2").first).to_be_visible()


def lay(page: Page, hands: Hands, start: str, stop: str, length: str, button: str) -> None:
    hands.type(page.locator("#end-from"), start, "Tab")
    expect(page.locator("#end-from")).to_have_value(re.compile(rf"^{re.escape(start)}"))
    hands.type(page.locator("#end-to"), stop, "Tab")
    expect(page.locator("#run-cable")).not_to_have_value("")
    hands.type(page.locator("#run-length"), length)
    laid = page.locator("#new-run h2 span").inner_text()
    hands.press(page.get_by_role("button", name=button, exact=True))
    expect(page.locator("tr.chosen")).to_have_attribute("data-row", laid)


def add_load(page: Page, hands: Hands, find: str, line: str, name: str, way: str, length: str) -> None:
    hands.type(page.locator("#find"), find, "Enter")
    rows = page.locator("#found tbody tr")
    row: Locator = rows.filter(has_text=line).first if line else rows.first
    hands.press(row.get_by_role("link", name=re.compile("^Take")))
    hands.type(page.get_by_label("call it").first, name)
    hands.choose(page.locator("#hh"), way)
    hands.type(page.locator("#hc"), "2 x 2.5 mm2 105C")
    hands.type(page.locator("#hl"), length)
    hands.press(page.locator("#add").get_by_role("button", name="Add it"))
    expect(page.locator("#loads ~ form table").first).to_contain_text(name)


def test_a_small_van_is_drawn_from_nothing_checked_issued_and_printed_in_under_ten_minutes(
    served: Served, tmp_path: Path
) -> None:
    with browser(served, WIDE) as page:
        hands = Hands(page)
        page.goto(served.address + "/")
        begin(page, hands, "sprat")
        hands.press(page.get_by_role("link", name="Nothing is drawn yet"))
        for part in PARTS[:-1]:
            add_part(page, hands, *part, "Put it in, and one more")
        add_part(page, hands, *PARTS[-1], "Put it in")
        hands.step("parts")

        hands.press(page.get_by_role("link", name="Lay a run").first)
        for start, stop, length in RUNS[:-1]:
            lay(page, hands, start, stop, length, "Lay it, and one more")
        lay(page, hands, *RUNS[-1], "Lay it")
        hands.step("runs")
        rig = rig_of(served, "sprat")
        assert [c.pole for c in rig.runs["W08"].cores] == ["+", "-"]
        assert rig.runs["W01"].cable.text == "pv 4 mm2"

        hands.press(page.get_by_text("Put a device into W08"))
        hands.choose(page.locator("#cut-part"), "fuse-dc-small-20a-80v")
        hands.choose(page.locator("#cut-pole"), "+")
        hands.press(page.get_by_role("button", name="Put it into W08"))
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "F3")
        hands.step("fuse for the panel")

        hands.press(page.get_by_role("link", name="Nothing takes power yet"))
        for load in LOADS:
            add_load(page, hands, *load)
        for spot, text in (("#s3", "Lyon, France"), ("#s5", "60"), ("#s8", "-5 degC (o)")):
            hands.type(page.locator(spot), text)
        for spot, day in (("#s1", "2026-01-01"), ("#s2", "2026-12-31")):
            page.locator(spot).fill(day)
            hands.presses, hands.keys = hands.presses + 1, hands.keys + 8
        hands.press(page.locator("#s3").locator("xpath=ancestor::form").get_by_role("button", name="Add it"))
        expect(page.locator("svg.calendar")).to_be_visible()
        hands.press(page.get_by_text("Add a promise"))
        hands.type(page.locator("#p1"), "summer by the sea")
        hands.type(page.locator("#p2"), "3")
        hands.type(page.locator("#p5"), "three days and the fridge stays cold")
        hands.press(page.locator("#p1").locator("xpath=ancestor::form").get_by_role("button", name="Add it"))
        expect(page.locator("aside")).to_contain_text("carries the loads for")
        hands.step("loads, stay, promise")

        hands.press(page.get_by_role("link", name=re.compile("Settings")))
        for key, value in (("absorption", "14.2 V"), ("equalise", "none")):
            hands.type(page.locator("#set-U1").get_by_label(key, exact=True), value)
        hands.press(page.locator("#set-U1").get_by_role("button", name="Put them in"))
        expect(page.locator("#follows")).to_contain_text("settings.U1")
        hands.step("settings")

        hands.press(page.get_by_role("link", name=re.compile("Check")).first)
        expect(page.locator("h1")).to_have_text("Check")
        expect(page.locator(".notes").first).not_to_contain_text("W08")

        hands.press(page.get_by_role("link", name=re.compile("Job$")))
        hands.choose(page.locator("#as"), "quoted")
        hands.type(page.locator("#by"), "Ada Holt")
        hands.press(page.get_by_role("button", name="Issue A"))
        expect(page.get_by_role("link", name="A", exact=True)).to_be_visible()
        hands.step("issued")

        hands.press(page.get_by_role("link", name=re.compile("Papers")))
        hands.press(page.get_by_role("button", name=re.compile("Make")))
        link = page.get_by_role("link", name=re.compile(r"\.pdf$")).first
        expect(link).to_be_visible()
        with page.expect_download() as loading:
            hands.press(link)
        loading.value.save_as(tmp_path / "paper.pdf")
        hands.step("printed")
        (tmp_path / "steps.txt").write_text("\n".join(hands.log))

    assert hands.seconds < 600, hands.log
    told = subprocess.run(
        ["pdftotext", str(tmp_path / "paper.pdf"), "-"], capture_output=True, check=True, text=True
    ).stdout
    assert "Sprat" in told
    text = (served.folder / "sprat" / "rig.yaml").read_text(encoding="utf-8")
    assert text.startswith("# Sprat, a small van.")
    assert max(map(len, text.splitlines())) < 240
    rig = rig_of(served, "sprat")
    assert len(rig.use.loads) == 3
    assert (served.folder / "sprat" / "issued" / "A.rig.yaml").is_file()


def test_two_presses_in_the_drawing_name_the_ends_of_a_run(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(f"{served.address}/jobs/trailer/one-line?new=run")
        page.locator('svg.circuit g[data-ref="XP"]').first.click(force=True)
        expect(page.locator("#end-from")).to_have_value(re.compile(r"^XP\.\d+$"))
        page.locator('svg.circuit g[data-ref="XN"]').first.click(force=True)
        expect(page.locator("#end-to")).to_have_value(re.compile(r"^XN\.\d+$"))
        expect(page.locator("#run-cable")).to_be_visible()
        expect(page).to_have_url(re.compile("new=run"))


def test_the_main_steps_are_done_on_a_phone(served: Served) -> None:
    with browser(served, PHONE) as page:
        hands = Hands(page)
        page.goto(served.address + "/")
        begin(page, hands, "whelk")
        hands.press(page.get_by_role("link", name="Nothing is drawn yet"))
        add_part(page, hands, *PARTS[0], "Put it in, and one more")
        add_part(page, hands, *PARTS[3], "Put it in")
        hands.press(page.get_by_role("link", name="Lay a run").first)
        lay(page, hands, "B.+", "F1.line", "0.15 m", "Lay it")
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
        hands.press(page.get_by_role("button", name=re.compile("Undo")))
        expect(page.locator("#chosen")).to_be_visible()
    assert "W01" not in rig_of(served, "whelk").runs


def test_a_part_and_a_run_are_put_in_with_the_keyboard_alone(served: Served) -> None:
    with browser(served, WIDE) as page:
        page.goto(f"{served.address}/jobs/trailer/one-line?new=part")
        expect(page.locator("#find-part")).to_be_focused()
        page.keyboard.type("small dc 30")
        expect(page.get_by_label("Small DC fuse 30 A", exact=True)).to_be_visible()
        _tab_to(page, "input[name=part]")
        page.keyboard.press("Space")
        _tab_to(page, "button.go")
        page.keyboard.press("Enter")
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", "F8")

        page.goto(f"{served.address}/jobs/trailer/one-line?new=run")
        expect(page.locator("#end-from")).to_be_focused()
        page.keyboard.type("XP")
        page.keyboard.press("Tab")
        expect(page.locator("#end-from")).to_have_value(re.compile(r"XP\.\d"))
        _tab_to(page, "#end-to")
        page.keyboard.type("F8.line")
        page.keyboard.press("Tab")
        expect(page.locator("#run-cable")).not_to_have_value("")
        _tab_to(page, "#run-length")
        page.keyboard.type("0.3 m")
        page.keyboard.press("Enter")
        expect(page.locator("tr.chosen")).to_have_attribute("data-row", re.compile("^W"))
    assert any(r.stop == "F8.line" for r in rig_of(served, "trailer").runs.values())


def _tab_to(page: Page, what: str) -> None:
    """Go on with the tabulator until what is wanted has the focus."""
    for _ in range(60):
        if page.evaluate("(what) => Boolean(document.activeElement?.matches(what))", what):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{what} cannot be reached with the keyboard")


def test_the_schedule_is_reached_from_the_keyboard_without_walking_through_the_drawing(
    served: Served,
) -> None:
    """The drawing of the trailer has more than a hundred devices; a row is a few keys away from the top of the sheet."""
    with browser(served, WIDE) as page:
        page.goto(f"{served.address}/jobs/trailer/one-line")
        for _ in range(2):
            page.keyboard.press("Tab")
        expect(page.locator(":focus")).to_have_text("to the schedules")
        page.keyboard.press("Enter")
        for _ in range(12):
            page.keyboard.press("Tab")
            if page.locator(":focus").get_attribute("data-choose"):
                break
        row = page.locator(":focus").get_attribute("data-choose")
        assert row
        page.keyboard.press("Enter")
        expect(page.locator("#chosen h2")).to_contain_text(row)
