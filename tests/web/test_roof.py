"""The roof sheet: its figures are those of the floors below, every change is a splice, and what does not fit is refused."""

import re
import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.web.conftest import DEMOS, Asked

from ohmwright.rig.laying import lay
from ohmwright.rig.read import read_rig
from ohmwright.roof.array import shade_losses
from ohmwright.roof.fit import roof_fit
from ohmwright.roof.outline import area_m2
from ohmwright.services.opening import Opened, open_rig
from ohmwright.services.roof import Surface, shadows, surfaces
from ohmwright.services.year import normal_weather

HX = {"hx-request": "true"}


def _lay(bench: Asked, module: str, place: str, **more: str) -> str:
    answer = bench.post(
        "/jobs/trailer/roof/lay?stay=1&day=21+Dec",
        {"opened": bench.opened("trailer"), f"lay.{module}": place, **more},
        headers=HX,
    )
    assert answer.status_code == 200
    return answer.text


def _one_line_differs(before: str, after: str) -> tuple[str, str]:
    pairs = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(pairs) == 1
    return pairs[0]


def test_shade_on_the_sheet_is_what_the_floor_below_reckons(reading: Asked) -> None:
    opened = open_rig(str(reading.folder / "boat"))
    stay = opened.rig.use.stays[1]
    page = reading.get("/jobs/boat/roof?place=sprayhood&stay=2").text
    (flexible,) = (s for s in shade_losses(opened.rig, normal_weather(stay), stay) if s.array == "M3")
    told = re.sub(r"<[^>]*>", "", page)
    assert f"Shade takes {100 * flexible.year.lost_ratio:.2f} % of the year" in told
    assert flexible.suffers_least == "parallel"
    assert (
        f"Wired in parallel it would suffer less: {100 * (1 - flexible.year.kept['parallel']):.2f} %" in page
    )
    for month in flexible.months:
        assert f'<td class="fig"><b>{100 * month.lost_ratio:.1f}</b></td>' in page


def test_what_the_plan_finds_is_what_the_fit_says(reading: Asked) -> None:
    fits = roof_fit(open_rig(str(reading.folder / "trailer")).rig)[0]
    page = reading.get("/jobs/trailer/roof").text
    assert len(fits) == 6
    for fit in fits:
        assert fit.clear_m is not None
        assert f"{fit.clear_m:.3g} m clear of {fit.nearest}" in page


@pytest.mark.parametrize("job", DEMOS)
def test_every_laid_module_is_drawn_to_one_scale(reading: Asked, job: str) -> None:
    for surface in surfaces(open_rig(str(reading.folder / job)).rig):
        page = reading.send("GET", f"/jobs/{job}/roof", params={"place": surface.place.id}).text
        drawn = re.findall(r'data-module="([^"]+)".*?<polygon points="([^"]+)"', page)
        laid = [m for m in surface.modules if m.corners]
        assert [name for name, _ in drawn] == [m.id for m in laid if surface.outline]
        scale = re.search(r'data-k="([\d.]+)"', page)
        for (_, points), m in zip(drawn, laid, strict=False):
            assert scale is not None
            corners = tuple((float(x), float(y)) for x, y in (p.split(",") for p in points.split()))
            assert area_m2(corners) / float(scale[1]) ** 2 == pytest.approx(area_m2(m.corners), rel=0.01)


def _trailer(reading: Asked) -> tuple[Opened, Surface]:
    opened = open_rig(str(reading.folder / "trailer"))
    return opened, surfaces(opened.rig)[0]


def test_a_shadow_at_noon_points_away_from_the_sun_and_is_as_long_as_its_height_asks(reading: Asked) -> None:
    """At true noon the sun stands 90 - latitude + declination high, due south (Duffie and Beckman 1.6.6, from memory)."""
    from math import radians, tan

    _, surface = _trailer(reading)
    vent = surface.obstacles[0]
    noon = next(s for s in shadows(surface, 46.8, 355, 0.0) if s.hour == 12)
    assert vent.at is not None
    assert vent.size is not None
    reach = max(x for x, _ in noon.polygon) - (vent.at[0] + vent.size[0])
    assert reach == pytest.approx((0.23 - 0.03) / tan(radians(90 - 46.8 - 23.44)), rel=0.01)
    assert {round(y, 6) for _, y in noon.polygon} == {1.45, 1.85}


def test_on_the_day_of_equal_night_morning_and_afternoon_mirror_each_other(reading: Asked) -> None:
    _, surface = _trailer(reading)
    morning, _, evening = shadows(surface, 46.8, 80, 90.0)
    assert area_m2(morning.polygon) == pytest.approx(area_m2(evening.polygon), rel=0.02)
    assert not shadows(surface, 80.0, 355, 0.0)


def test_a_module_laid_elsewhere_changes_one_line_and_undo_brings_it_back(bench: Asked) -> None:
    before = bench.text("trailer")
    text = _lay(bench, "M.5.1", "3.0 1.5 m")
    old, new = _one_line_differs(before, bench.text("trailer"))
    assert new == old.replace("5.1: 1.72 1.50 m", "5.1: 3.0 1.5 m")
    assert 'data-module="M.5.1" data-x="3" data-y="1.5"' in text
    assert "data-beat" in text
    assert 'hx-trigger="load"' in text
    answer = bench.post(
        "/jobs/trailer/step",
        {"opened": bench.opened("trailer"), "by": "undo", "back": "/jobs/trailer/roof?day=21+Jun"},
    )
    assert answer.headers["location"] == "/jobs/trailer/roof?day=21+Jun"
    assert bench.text("trailer") == before


def test_what_a_move_costs_is_told_in_words(bench: Asked) -> None:
    was = bench.opened("trailer")
    bench.get("/jobs/trailer/roof")
    _lay(bench, "M.5.1", "3.025 1.5 m")
    told = bench.get(f"/jobs/trailer/roof/shade?stay=1&was={was}&module=M.5.1").text
    said = re.search(r'<p id="told"[^>]*>([^<]+)</p>', told)
    assert said is not None
    assert re.match(
        r"M\.5\.1 lies at 3\.025 1\.500 m\. Shade takes 2\.\d\d % of the year of M in the open, was 0\.18 %\.",
        said[1],
    )


def test_where_it_does_not_fit_it_is_not_put_unless_somebody_insists(bench: Asked) -> None:
    before = bench.text("trailer")
    for place, why in (
        ("3.3 0.1 m", "M.2.1 lies on M.1.1"),
        ("4.5 1.3 m", "lies on vent"),
        ("5.95 0.9 m turned", "M.2.1 reaches 90 mm over the outline"),
        ("-0.1 0.9 m", "M.2.1 reaches 100 mm over the outline"),
    ):
        refused = _lay(bench, "M.2.1", place)
        assert why in refused
        assert "It stays where it was" in refused
        assert bench.text("trailer") == before
    _lay(bench, "M.2.1", "3.3 0.1 m", anyway="yes")
    assert "2.1: 3.3 0.1 m" in bench.text("trailer")
    assert "lies on M.1.1" in bench.get("/jobs/trailer/roof").text


def test_a_place_that_is_none_is_refused_with_what_to_write(bench: Asked) -> None:
    before = bench.text("trailer")
    for place in (
        "banana",
        "1 m",
        "1 2 kg",
        "1 2 m sideways",
        "{a: b}",
        "1 2 m}, x: {",
        "nan nan m",
        "1 2 m # ",
    ):
        assert "Not put" in _lay(bench, "M.5.1", place), place
        assert bench.text("trailer") == before


def test_only_modules_can_be_laid(bench: Asked) -> None:
    for name in ("U1", "M", "nobody", "M.9.9", "../x", "<img>"):
        answer = bench.post(
            "/jobs/trailer/roof/lay", {"opened": bench.opened("trailer"), f"lay.{name}": "1 1 m"}
        )
        assert answer.status_code == 422, name
        assert "<img>" not in answer.text


def test_two_who_lay_at_once_do_not_cover_each_other(bench: Asked) -> None:
    opened = bench.opened("trailer")
    _lay(bench, "M.5.1", "3.0 1.5 m")
    answer = bench.post("/jobs/trailer/roof/lay", {"opened": opened, "lay.M.6.1": "0.3 1.5 m"}, headers=HX)
    assert "changed by someone else" in answer.text
    assert 'name="set.parts.M.laid.6.1" value="0.3 1.5 m"' in answer.text
    assert "6.1: 0.20 1.50 m" in bench.text("trailer")


def test_an_obstacle_is_put_told_otherwise_and_taken_away(bench: Asked) -> None:
    before = bench.text("trailer")
    base = {"place": "roof", "name": "mast-step"}

    def send(**more: str) -> int:
        return bench.post(
            "/jobs/trailer/roof/obstacle?day=21+Jun", {"opened": bench.opened("trailer"), **base, **more}
        ).status_code

    new = {
        "how": "new",
        "at": "5.0 1.0 m",
        "size": "0.2 x 0.2 m",
        "height": "300 mm",
        "open": "",
        "above": "",
        "note": "a # b: {c}",
    }
    assert send(**new) == 303
    assert send(**new) == 422, "a second of that name"
    rig = open_rig(str(bench.folder / "trailer")).rig
    step = rig.host.places["roof"].obstacles["mast-step"]
    assert (step.at, step.size, getattr(step.height, "value", None), step.note) == (
        (5.0, 1.0),
        (0.2, 0.2),
        0.3,
        "a # b: {c}",
    )
    assert send(height="0.5 m", **{"was.height": "300 mm"}, note="", **{"was.note": "a # b: {c}"}) == 303
    told = open_rig(str(bench.folder / "trailer")).rig.host.places["roof"].obstacles["mast-step"]
    assert (getattr(told.height, "value", None), told.note) == (0.5, "")
    assert send(how="take") == 303
    assert bench.text("trailer") == before
    for bad in (
        {"name": "<b>"},
        {"name": "a.b"},
        {"name": ""},
        {"place": "attic"},
        {"height": "tall"},
        {"height": "-1 m"},
        {"at": ""},
    ):
        assert send(**{**new, **bad}) == 422, bad
    assert bench.text("trailer") == before


def test_an_outline_is_typed_with_its_unit(bench: Asked) -> None:
    data = {"opened": bench.opened("trailer"), "place": "roof", "outline": "21.5 x 7.5 ft"}
    assert bench.post("/jobs/trailer/roof/outline", data).status_code == 303
    outline = open_rig(str(bench.folder / "trailer")).rig.host.places["roof"].outline
    assert outline == pytest.approx((6.5532, 2.286))
    for bad in ("6.6 x 2.3", "6.6 m", "a x b m", "0"):
        assert (
            bench.post(
                "/jobs/trailer/roof/outline",
                {"opened": bench.opened("trailer"), "place": "roof", "outline": bad},
            ).status_code
            == 422
        ), bad


def test_a_bare_roof_is_told_its_outline_and_its_modules_are_laid_beside_each_other(
    bench: Asked, demo_jobs: Path
) -> None:
    shutil.copytree(demo_jobs / "van", bench.folder / "van")
    assert "is not told yet" in bench.get("/jobs/van/roof").text
    bench.post(
        "/jobs/van/roof/outline", {"opened": bench.opened("van"), "place": "roof", "outline": "3.2 x 1.7 m"}
    )
    offers = dict(
        re.findall(r'name="lay\.([^"]+)" value="([^"]+)">Lay it at', bench.get("/jobs/van/roof").text)
    )
    assert list(offers) == ["M.1.1", "M.1.2"]
    for module, place in offers.items():
        assert (
            bench.post(
                "/jobs/van/roof/lay", {"opened": bench.opened("van"), f"lay.{module}": place}
            ).status_code
            == 303
        )
    rig = open_rig(str(bench.folder / "van")).rig
    assert all(not f.overlaps and f.overhang_m == 0.0 for f in roof_fit(rig)[0])
    assert all(rig.parts[m].laid is not None for m in offers)


def test_an_issued_revision_has_nothing_to_move(bench: Asked) -> None:
    bench.post("/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "IR"})
    page = bench.get("/jobs/trailer@A/roof").text
    assert "data-fixed" in page
    assert "Put them in" not in page
    assert (
        bench.post(
            "/jobs/trailer@A/roof/lay", {"opened": bench.opened("trailer"), "lay.M.5.1": "3.3 1.5 m"}
        ).status_code
        == 422
    )


@pytest.mark.parametrize(
    "query",
    [
        "place=%3Cimg%3E",
        "stay=99999999999",
        "stay=-1",
        "heading=1e9",
        "heading=NaN",
        "day=%3Cscript%3E",
        "was=x",
    ],
)
def test_a_strange_address_shows_the_first_of_everything(reading: Asked, query: str) -> None:
    page = reading.get(f"/jobs/trailer/roof?{query}")
    assert page.status_code == 200
    assert "<img" not in page.text


def test_a_hostile_name_in_the_file_stays_text(bench: Asked) -> None:
    file = bench.folder / "trailer" / "rig.yaml"
    evil = "<img src=x onerror=alert(1)>"
    file.write_text(
        bench.text("trailer")
        .replace("{vent: {at:", f"{{'{evil}': {{at:")
        .replace("note: lid of the galley vent", f"note: '\"{evil}'"),
        encoding="utf-8",
    )
    page = bench.get("/jobs/trailer/roof").text
    assert "&lt;img" in page
    assert "<img" not in page


_PLACES = st.builds(
    lambda x, y, t: f"{x / 1000:g} {y / 1000:g} m{' turned' if t else ''}",
    st.integers(0, 5000),
    st.integers(0, 2000),
    st.booleans(),
)


@settings(max_examples=8, deadline=None)
@given(
    moves=st.lists(
        st.tuples(st.sampled_from(["M3.1.1", "M3.1.2", "M1.1.1"]), st.one_of(st.just(""), _PLACES)),
        max_size=4,
    )
)
def test_a_module_lies_where_it_was_laid_last_and_all_others_stay(
    demo_jobs: Path, moves: list[tuple[str, str]]
) -> None:
    opened = open_rig(str(demo_jobs / "boat"))
    text, rig = opened.rig.text, opened.rig
    for module, place in moves:
        was = {p.id: (p.laid, p.turned) for p in rig.parts.values() if p.id != module}
        text = lay(text, opened.path, rig, module, place)
        rig = read_rig(text, opened.path, opened.shelf)
        assert {p.id: (p.laid, p.turned) for p in rig.parts.values() if p.id != module} == was
        got = rig.parts[module]
        assert (
            f"{got.laid[0]:g} {got.laid[1]:g} m{' turned' if got.turned else ''}" if got.laid else ""
        ) == place


@pytest.mark.parametrize("place", ["arch", "sprayhood"])
def test_what_throws_the_shadow_is_drawn_or_named_as_too_far_off(reading: Asked, place: str) -> None:
    """The boat's file: the boom begins 1.4 m beside the arch and lies across the sprayhood, the mast stands 5.6 m from the arch."""
    page = reading.get(f"/jobs/boat/roof?place={place}").text
    plan = page.partition('<svg class="roof"')[2].partition("</svg>")[0]
    wide = float(re.search(r'viewBox="0 0 (\d+)', plan)[1])  # type: ignore[index]
    rects = re.findall(r'<rect class="obstacle thick" x="(-?[\d.]+)" y="(-?[\d.]+)" width="([\d.]+)"', plan)
    boom = max(rects, key=lambda r: float(r[2]))
    assert -1e-6 < float(boom[0]) < wide - 100, "its end can be seen"
    text = re.search(r'<text class="obstacle" x="([\d.]+)"[^>]*>boom', plan)
    assert text
    assert 0 < float(text[1]) < wide, "so can its name"
    assert ("Too far off to be drawn: mast." in page) == (place == "arch")


def test_heights_on_the_plan_follow_the_units_of_its_dimensions(reading: Asked) -> None:
    """By hand: the vent's 230 mm is 9.055 in, next to 9 1/16; the roof's 6600 mm is 259.84 in, 21 ft 7 13/16."""
    page = reading.get("/jobs/trailer/roof", cookie="units=us").text
    plan = page.partition('<svg class="roof"')[2].partition("</svg>")[0]
    assert ">vent 9 1/16&#34;<" in plan
    assert """>21&#39;-7 13/16&#34;<""" in plan
    assert "vent 230" in reading.get("/jobs/trailer/roof").text
