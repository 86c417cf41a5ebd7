"""The places sheet: parts stand where the file says, what it does not say is proposed, every move is a splice; by hand and by fields."""

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect
from tests.web.conftest import Asked, Served
from tests.web.test_browser import PHONE, WIDE, browser

from ohmwright.drawing.bays import front_of
from ohmwright.drawing.boards import plan_of
from ohmwright.rig.bay_fit import fits_in
from ohmwright.rig.expand import graph_of
from ohmwright.rig.standing import standing_in
from ohmwright.services.opening import open_rig

HX = {"hx-request": "true"}
#: Pixels of a drawing for a metre.
PX = 250.0


def stand(bench: Asked, part: str, words: str, **more: str) -> str:
    answer = bench.post(
        "/jobs/trailer/places/stand",
        {"opened": bench.opened("trailer"), f"stand.{part}": words, **more},
        headers=HX,
    )
    assert answer.status_code == 200
    return answer.text


def line_of(folder: Path, part: str) -> str:
    text = (folder / "trailer" / "rig.yaml").read_text(encoding="utf-8")
    return next(x for x in text.splitlines() if x.startswith(f"  {part}:"))


def drawn(page: str, part: str) -> tuple[float, float, float, float]:
    """The body of a part as it is drawn: left, top, width, height."""
    found = re.search(rf'data-part="{re.escape(part)}".*?class="body" x="([-\d.]+)" y="([-\d.]+)" width="([\d.]+)" height="([\d.]+)"', page)  # fmt: skip
    assert found, part
    return float(found[1]), float(found[2]), float(found[3]), float(found[4])


def test_parts_are_drawn_where_the_file_stands_them(reading: Asked) -> None:
    """By hand from the trailer's file: U2 at 0.1 0.1 m is 362 x 258 mm, U3 on the left wall shows its 70 mm of depth."""
    page = reading.get("/jobs/trailer/places").text
    assert drawn(page, "U2") == pytest.approx((0.1 * PX, (0.6 - 0.1 - 0.258) * PX, 0.362 * PX, 0.258 * PX), abs=0.06)  # fmt: skip
    assert drawn(page, "U3") == pytest.approx((0.0, (0.6 - 0.15 - 0.185) * PX, 0.07 * PX, 0.185 * PX), abs=0.06)  # fmt: skip
    assert "Proposed, not in the file" not in page.partition('id="place-side-bay"')[2].partition("</section>")[0]  # fmt: skip
    assert 'class="stood proposed' not in page
    assert 'class="stood proposed' in reading.get("/jobs/cabin/places").text


@pytest.mark.parametrize("job", ["trailer", "cabin"])
def test_what_is_proposed_stands_inside_and_clear_when_it_is_taken(reading: Asked, job: str) -> None:
    rig = open_rig(str(reading.folder / job)).rig
    for place in rig.host.places.values():
        front = front_of(rig, place)
        told = {s.part: s for s in front.stood}
        assert not set(front.left_over) & set(told)
        for a in told.values():
            if a.proposed:
                assert a.x_mm >= -1e-6
                assert a.x_mm + a.width_mm <= front.width_mm + 1e-6
                assert a.y_mm + a.height_mm <= front.height_mm + 1e-6


def test_a_move_is_one_line_of_the_file_and_undone_as_any_edit(bench: Asked) -> None:
    before = bench.text("trailer")
    page = stand(bench, "R1", "0.62 0.03 m")
    assert line_of(bench.folder, "R1").endswith("stands: 0.62 0.03 m}")
    pairs = [(a, b) for a, b in zip(before.splitlines(), bench.text("trailer").splitlines(), strict=True) if a != b]  # fmt: skip
    assert len(pairs) == 1
    assert "R1.stands" in page
    stand(bench, "R1", "")
    assert "stands" not in line_of(bench.folder, "R1")
    for _ in range(2):
        bench.post("/jobs/trailer/step", {"opened": bench.opened("trailer"), "by": "undo", "back": ""})
    assert bench.text("trailer") == before


def test_what_does_not_fit_stays_where_it_was_and_is_put_all_the_same_when_asked(bench: Asked) -> None:
    refused = stand(bench, "R1", "0.2 0.2 m")
    assert "R1 stands in U2" in refused
    assert "It stays where it was" in refused
    assert line_of(bench.folder, "R1").endswith("stands: 0.47 0.02 m}")
    page = stand(bench, "R1", "0.2 0.2 m", anyway="yes")
    assert line_of(bench.folder, "R1").endswith("stands: 0.2 0.2 m}")
    assert "stands in U2" in page
    assert "E26" in page
    assert "reaches 20 mm out of side-bay" in stand(bench, "R1", "0.8 0.03 m")


def test_without_script_what_does_not_fit_is_asked_once_more(bench: Asked) -> None:
    told = {"opened": bench.opened("trailer"), "stand.R1": "0.2 0.2 m", "was.R1": "0.47 0.02 m", "back": "side-bay"}  # fmt: skip
    answer = bench.post("/jobs/trailer/places/stand", told)
    assert answer.status_code == 422
    assert "R1 stands in U2" in answer.text
    assert 'name="anyway" value="yes"' in answer.text
    assert bench.post("/jobs/trailer/places/stand", {**told, "anyway": "yes"}).status_code == 303
    assert line_of(bench.folder, "R1").endswith("stands: 0.2 0.2 m}")


def test_words_that_are_no_position_are_refused_with_what_to_write(bench: Asked) -> None:
    for words, says in (("0.2 m", "is not 2 lengths"), ("0.2 0.2 m upside", "is not"), ("0.2 0.2 m left right", "two ways at once")):  # fmt: skip
        assert says in stand(bench, "R1", words)
        plain = {"opened": bench.opened("trailer"), "stand.R1": words}
        answer = bench.post("/jobs/trailer/places/stand", plain)
        assert answer.status_code == 422
        assert says in answer.text
    assert "there is no part" in stand(bench, "ZZ", "0.2 0.2 m")
    assert line_of(bench.folder, "R1").endswith("stands: 0.47 0.02 m}")


def test_all_are_stood_as_proposed_with_one_press(bench: Asked) -> None:
    file = bench.folder / "trailer" / "rig.yaml"
    file.write_text(re.sub(r", stands: (?:\{[^}]*\}|[^,}]*)", "", bench.text("trailer")), encoding="utf-8")
    page = bench.get("/jobs/trailer/places").text
    rooms = dict(re.findall(r'name="(room\.[^"]+)" value="([^"]+)"', page.partition('id="place-bunk-locker"')[2].partition("</section>")[0]))  # fmt: skip
    assert set(rooms) == {"room.B.1", "room.B.2", "room.B.3", "room.B.4", "room.F1", "room.F7"}
    told = {"opened": bench.opened("trailer"), "room": "yes", **rooms}
    assert bench.post("/jobs/trailer/places/stand", told).status_code == 303
    rig = open_rig(str(bench.folder / "trailer")).rig
    fits = fits_in(rig, rig.host.places["bunk-locker"])
    assert {f"room.{f.part}" for f in fits} == set(rooms)
    assert not [f for f in fits if f.overlaps or (f.over_m or 0.0) > 0.001]


def test_one_position_serves_the_bay_and_the_mounting_plan(bench: Asked) -> None:
    """A board of 800 x 500 mm at 50 50 mm: what stands at 600 200 mm in the bay is at 550 150 mm on it."""
    bench.put("trailer", "host.places.side-bay.board", "0.8 x 0.5 m")
    bench.put("trailer", "host.places.side-bay.board-at", "0.05 0.05 m")
    stand(bench, "U1", "0.6 0.2 m turned", anyway="yes")
    assert "on-board: 0.55 0.15 m turned" in line_of(bench.folder, "U1")
    rig = open_rig(str(bench.folder / "trailer")).rig
    place = rig.host.places["side-bay"]
    seat = next(s for s in plan_of(rig, graph_of(rig), place).seats if s.part.id == "U1")
    assert (seat.x_mm, seat.y_mm) == pytest.approx((550.0, 150.0))
    assert not seat.proposed
    assert (seat.width_mm, seat.height_mm) == (250.0, 185.0)
    inside = standing_in(rig.parts["U1"], place)
    assert inside is not None
    assert (inside.x_m, inside.y_m) == pytest.approx((0.6, 0.2))
    assert drawn(bench.get("/jobs/trailer/places").text, "U1")[0] == pytest.approx(0.6 * PX, abs=0.06)


def test_vents_by_name_and_one_alone_are_drawn_and_told(bench: Asked) -> None:
    bench.put("trailer", "host.places.side-bay.vent-high", "none")
    page = bench.get("/jobs/trailer/places").text.partition('id="place-side-bay"')[2].partition("</section>")[0]  # fmt: skip
    assert "one vent of 240 cm²" in page
    assert "One vent alone" in page
    named = "{louvre: {area: 120 cm2, at: 0.1 0.08 m}, mushroom: {area: 60 cm2, at: 0.8 0.55 m}}"
    told = {"opened": bench.opened("trailer"), "set.host.places.side-bay.vent-high": "", "was.host.places.side-bay.vent-high": "none"}  # fmt: skip
    bench.post("/jobs/trailer/put", told)
    bench.put("trailer", "host.places.side-bay.vents", named)
    page = bench.get("/jobs/trailer/places").text.partition('id="place-side-bay"')[2].partition("</section>")[0]  # fmt: skip
    assert "louvre 120 cm²; mushroom 60 cm²" in page
    assert f'value="{named}"' in page
    side = 6000**0.5 / 4
    assert f'x="{0.8 * PX - side / 2:.1f}" y="{0.05 * PX - side / 2:.1f}" width="{side:.1f}"' in page


def _part(page: Page, name: str) -> Locator:
    return page.locator(f'g.stood[data-part="{name}"]')


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_part_is_moved_turned_and_put_back_by_keyboard_alone(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/places")
        told = page.locator("#told")
        _part(page, "R1").focus()
        for _ in range(2):
            page.keyboard.press("ArrowRight")
        page.keyboard.press("ArrowUp")
        expect(told).to_have_text("R1 at 0.490 0.030 m")
        expect(page.locator("#follows .asked")).to_contain_text("R1.stands")
        assert line_of(served.folder, "R1").endswith("stands: 0.49 0.03 m}")
        expect(_part(page, "R1")).to_be_focused()
        for _ in range(2):
            page.keyboard.press("Shift+ArrowLeft")
        for _ in range(3):
            page.keyboard.press("Shift+ArrowUp")
        page.keyboard.press("Escape")
        expect(told).to_have_text("R1 at 0.490 0.030 m")
        page.keyboard.press("Delete")
        expect(_part(page, "R1")).to_have_attribute("data-told", "no")
        assert "stands" not in line_of(served.folder, "R1")
        page.get_by_role("button", name=re.compile("Undo")).focus()
        page.keyboard.press("Enter")
        expect(_part(page, "R1")).to_have_attribute("data-told", "yes")
        _part(page, "S1").focus()
        page.keyboard.press("r")
        expect(page.locator("#said, #told").first).to_be_attached()
        expect(_part(page, "S1")).to_have_attribute("data-turned", re.compile("yes|no"))


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_part_is_dragged_catches_on_its_neighbour_and_goes_back_where_it_does_not_fit(
    served: Served, size: tuple[int, int]
) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/places")
        _part(page, "R1").scroll_into_view_if_needed()

        def drag(x_m: float, y_m: float) -> None:
            box = _part(page, "R1").locator(".body").bounding_box()
            assert box is not None
            scale = box["width"] / 0.12
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + x_m * scale / 2, y - y_m * scale / 2, steps=4)
            page.mouse.move(x + x_m * scale, y - y_m * scale, steps=4)
            page.mouse.up()

        drag(0.055, -0.015)
        expect(page.locator("#follows .asked")).to_contain_text("R1.stands")
        # Near 0.525 m and 5 mm up: its left edge lies under the right edge of F4, and it stands on the floor.
        assert line_of(served.folder, "R1").endswith("stands: 0.53 0 m}")
        drag(-0.4, 0.3)
        expect(page.locator("#said")).to_contain_text("R1 stands in U2")
        expect(_part(page, "R1")).to_have_attribute("data-x", "0.53")
        assert line_of(served.folder, "R1").endswith("stands: 0.53 0 m}")


@pytest.mark.slow
def test_a_finger_drags_a_part_and_the_buttons_nudge_it(served: Served) -> None:
    with browser(served, PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(served.address + "/jobs/trailer/places")
        _part(page, "J1").scroll_into_view_if_needed()
        box = _part(page, "J1").locator(".body").bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        finger = page.context.new_cdp_session(page)
        finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        for step in range(1, 7):
            touch = {"type": "touchMove", "touchPoints": [{"x": x, "y": y + 3 * step}]}
            finger.send("Input.dispatchTouchEvent", touch)
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        expect(page.locator("#follows .asked")).to_contain_text("J1.stands")
        moved = re.search(r"stands: [\d.]+ ([\d.]+) 0.2 m right", line_of(served.folder, "J1"))
        assert moved is not None
        assert 0.3 < float(moved[1]) < 0.4
        up = page.locator("#place-side-bay ~ .moves").get_by_role("button", name="up 10 mm")
        size = up.bounding_box()
        assert size is not None
        assert min(size["width"], size["height"]) >= 44
        up.tap()
        expect(_part(page, "J1")).to_have_attribute("data-y", f"{float(moved[1]) + 0.01:.10g}")
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


@pytest.mark.slow
def test_the_places_work_without_scripts(served: Served) -> None:
    with browser(served, WIDE, java_script_enabled=False) as page:
        page.goto(served.address + "/jobs/trailer/places")
        page.get_by_text("Where parts stand in side-bay").click()
        page.get_by_label("R1", exact=True).fill("0.62 0.02 m")
        page.locator("details.standing[open]").get_by_role("button", name="Put them in").click()
        expect(page.locator("#follows .asked")).to_contain_text("R1.stands")
    assert line_of(served.folder, "R1").endswith("stands: 0.62 0.02 m}")


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_the_places_keep_nobody_out(served: Served, size: tuple[int, int]) -> None:
    with browser(served, size) as page:
        page.goto(served.address + "/jobs/trailer/places")
        page.get_by_text("Where parts stand in side-bay").click()
        assert Axe().run(page).response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
