"""The further sheets hold what the model holds, overlap nowhere, and come out the same every time."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from importlib import resources
from typing import Literal
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont

from ohmwright.circuit.proofs import prove
from ohmwright.drawing.ac_rows import ac_states
from ohmwright.drawing.bonding import earth_cores
from ohmwright.drawing.frame import SIZES, room
from ohmwright.drawing.further import all_further, names_for
from ohmwright.drawing.lettering import lettered_in
from ohmwright.drawing.lint import lint, lint_ink
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.places import centre_of, trial_of
from ohmwright.drawing.roof_plan import DATES, clipped, sun_at, surfaces_of
from ohmwright.drawing.routes_plan import runs_in
from ohmwright.drawing.shapes import Polyline, Sheet, Text, box_of
from ohmwright.drawing.sizes import arranged, passes
from ohmwright.drawing.svg import svg_of
from ohmwright.papers.units import lettering
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.rig.standing import Extent, extent_of
from ohmwright.roof.outline import area_m2
from ohmwright.working import known

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]
DEMOS = ("trailer", "boat", "cabin", "van")


@pytest.fixture(scope="module")
def sets(draw: Draw) -> dict[str, dict[str, tuple[Sheet, ...]]]:
    return {name: dict(all_further(*draw(name)[:2])) for name in DEMOS}


Sets = dict[str, dict[str, tuple[Sheet, ...]]]


def texts_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return [s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text)]


def refs_of(sheets: tuple[Sheet, ...]) -> set[str]:
    return {e.get("data-ref", "") for s in sheets for e in ElementTree.fromstring(svg_of(s)).iter()}


@pytest.mark.parametrize("name", DEMOS)
def test_every_rig_has_every_sheet(draw: Draw, sets: Sets, name: str) -> None:
    assert tuple(sets[name]) == names_for(draw(name)[0])


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_overlaps_on_any_sheet(sets: Sets, name: str) -> None:
    assert {k: [str(f) for f in lint_ink(s)] for k, s in sets[name].items()} == {k: [] for k in sets[name]}


@pytest.mark.parametrize("us", [False, True])
@pytest.mark.parametrize(("series", "symbols"), [("iso", "us"), ("us", "iec")])
@pytest.mark.parametrize("name", DEMOS)
def test_nothing_overlaps_with_the_symbols_of_one_country_on_the_sheets_of_the_other(
    draw: Draw, name: str, series: Literal["iso", "us"], symbols: Literal["iec", "us"], us: bool
) -> None:
    rig, graph, _ = draw(name)
    rig = replace(rig, job=replace(rig.job, sheets=series, symbols=symbols))
    with lettered_in(lettering(us)):
        circuit = circuit_sheets(Circuit(rig, graph))
        further = dict(all_further(rig, graph))
    assert [str(f) for f in lint(circuit, rig)] == []
    assert {k: [str(f) for f in lint_ink(s)] for k, s in further.items()} == {k: [] for k in further}


@pytest.mark.parametrize("us", [False, True])
@pytest.mark.parametrize("name", DEMOS)
def test_no_capital_on_any_sheet_is_lower_than_two_millimetres_and_a_tenth(
    draw: Draw, name: str, us: bool
) -> None:
    # The least that this project prints on a drawing; ISO 3098 (from memory) counts lettering by its capitals, which are
    # measured here from the face itself and not from our table of it.
    rig, graph, _ = draw(name)
    with lettered_in(lettering(us)):
        sheets = [s for _, made in all_further(rig, graph) for s in made]
    face = TTFont(str(resources.files("ohmwright.papers") / "fonts" / "SourceSans3-Regular.ttf"))
    capital = face["OS/2"].sCapHeight / face["head"].unitsPerEm
    assert min(t.em for s in sheets for t in s.shapes() if isinstance(t, Text)) * capital >= 2.1 - 0.005


@pytest.mark.parametrize("name", DEMOS)
def test_every_sheet_bears_its_number_and_cautions(sets: Sets, name: str) -> None:
    for sheets in sets[name].values():
        numbered = [
            s for s in sheets if re.fullmatch(r"[A-Z]+-\d+", s.name)
        ]  # a drill template has a bar to measure instead
        for sheet in numbered:
            told = texts_of((sheet,))
            assert "CAUTIONS" in told
            assert f"{sheet.name} of {len(numbered)}" in told


@pytest.mark.parametrize("name", DEMOS)
def test_the_same_rig_gives_the_same_bytes(draw: Draw, sets: Sets, name: str) -> None:
    again = dict(all_further(*draw(name)[:2]))
    for key, sheets in sets[name].items():
        assert [svg_of(s) for s in sheets] == [svg_of(s) for s in again[key]]


@pytest.mark.parametrize("name", DEMOS)
def test_a_plan_without_a_scale_reaches_over_half_of_its_sheet(sets: Sets, name: str) -> None:
    for key in ("routes", "bonding", "earthing", "ac-states", "three-line"):
        for sheet in sets[name].get(key, ()):
            size = next(s for s, sides in SIZES.items() if sides == (sheet.width, sheet.height))
            left, top, right, bottom = room(size).drawing
            box = box_of(s for g in sheet.groups if g.ref for s in g.shapes)
            assert box is not None
            reach = max((box[2] - left) / (right - left), (box[3] - top) / (bottom - top))
            assert reach > 0.5, (key, sheet.name, size)
            assert box[2] <= right + 0.01, (key, sheet.name)
            assert box[3] <= bottom + 0.01, (key, sheet.name)


# ------------------------------------------------------------------------------------------------- AC states


@pytest.mark.parametrize("name", DEMOS)
def test_no_raw_name_of_a_state_stands_in_the_table(draw: Draw, sets: Sets, name: str) -> None:
    raw = {v for v in draw(name)[1].variables if "." in v}
    told = " ".join(texts_of(sets[name]["ac-states"]))
    assert raw
    assert [v for v in raw if v in told] == []
    assert "plugged in at both ends" in told


@pytest.mark.parametrize("name", DEMOS)
def test_states_and_joins_are_counted_as_the_proof_counts_them(draw: Draw, name: str) -> None:
    # Two ways to the same facts: the proof counts joins over all states at once, the table asks state by state.
    rig, graph, _ = draw(name)
    states = ac_states(rig, graph)
    assert states is not None
    proved = prove(rig, graph)["neutral-earth"].facts["joins"]
    assert isinstance(proved, dict)
    assert sum(r.states for r in states.rows) == states.count
    for end, counts in proved.items():
        owner = graph.elements[end].owner if end in graph.elements else ""
        if graph.elements.get(end) is None or graph.elements[end].role != "inverter":
            continue
        mine: dict[str, int] = {}
        for row in states.rows:
            for island in row.islands:
                if island.source == owner:
                    key = " + ".join(island.joins) or "none"
                    mine[key] = mine.get(key, 0) + row.states
        for key, n in mine.items():
            assert n <= counts[key], (end, key)


def test_the_vans_inverter_has_no_join_while_the_cord_is_out(draw: Draw) -> None:
    states = ac_states(*draw("van")[:2])
    assert states is not None
    alone = [r for r in states.rows if [i.source for i in r.islands] == ["U2"]]
    assert sum(r.states for r in alone if not r.islands[0].joins) == 13
    both = [r for r in states.rows if len(r.islands) == 2]
    assert both, "shore and inverter feed one island through the two-ended cord"


def test_the_boats_limit_is_the_supply_limit_of_its_settings(sets: Sets) -> None:
    assert any("6\u00a0A (U2 supply limit)" in t for t in texts_of(sets["boat"]["ac-states"]))


# ------------------------------------------------------------------------------------------------- places


def test_the_centre_of_what_is_added_is_the_sum_of_moments(draw: Draw) -> None:
    rig = draw("trailer")[0]
    centre = centre_of(rig)
    rows = [
        (m.value, p.at)
        for part in rig.parts.values()
        if not (part.strings or part.join) and (m := known(part.figure("mass"))) is not None
        and (p := rig.host.places.get(part.place)) is not None and p.at is not None
    ]  # fmt: skip
    assert centre.mass_kg == pytest.approx(sum(m for m, _ in rows))
    assert centre.at is not None
    assert centre.at[0] == pytest.approx(sum(m * at[0] for m, at in rows if at) / centre.mass_kg)


@pytest.mark.parametrize("name", DEMOS)
def test_boxes_never_overlap_and_stay_on_their_floor(draw: Draw, name: str) -> None:
    rig = draw(name)[0]
    for place in rig.host.places.values():
        spots = trial_of(rig, place).spots
        for i, a in enumerate(spots):
            if place.size is not None:
                assert a.x_mm + a.width_mm <= place.size[0] * 1000 + 1e-6
                assert a.y_mm + a.depth_mm <= place.size[1] * 1000 + 1e-6
            for b in spots[i + 1 :]:
                apart = (
                    a.x_mm + a.width_mm <= b.x_mm + 1e-6 or b.x_mm + b.width_mm <= a.x_mm + 1e-6
                    or a.y_mm + a.depth_mm <= b.y_mm + 1e-6 or b.y_mm + b.depth_mm <= a.y_mm + 1e-6
                )  # fmt: skip
                assert apart, (a.part, b.part)


def test_a_floor_too_small_leaves_boxes_over(draw: Draw) -> None:
    rig = draw("trailer")[0]
    parts = [
        (p, e)
        for p in rig.parts.values()
        if p.count == 1 and p.kind.name == "battery" and (e := extent_of(p)) is not None
    ]
    spots, left_over = arranged(parts, 1400.0, 700.0)
    assert left_over == []
    assert len(spots) == len(parts)
    assert arranged(parts, 500.0, 200.0)[0] == []


def test_a_box_goes_through_an_opening_on_its_smallest_face() -> None:
    box = Extent(522.0, 240.0, 218.0)
    assert passes(box, (220.0, 241.0))
    assert not passes(box, (217.0, 600.0))


@pytest.mark.parametrize("name", DEMOS)
def test_every_part_in_a_place_stands_on_the_sheet_of_places(draw: Draw, sets: Sets, name: str) -> None:
    rig = draw(name)[0]
    ashore = {p.id for p in rig.host.places.values() if p.words.get("ashore") or p.regime == "buried"}
    wanted = {
        p.id for p in rig.parts.values()
        if p.place and p.place not in ashore and p.kind.name not in ("module", "mounting") and not p.join
    }  # fmt: skip
    assert wanted - refs_of(sets[name]["places"]) == set()


# ------------------------------------------------------------------------------------------------- roof


@pytest.mark.parametrize("name", DEMOS)
def test_every_module_stands_on_the_roof_plan(draw: Draw, sets: Sets, name: str) -> None:
    rig = draw(name)[0]
    modules = {p.id for p in rig.parts.values() if p.kind.name == "module" and not p.strings}
    assert modules - refs_of(sets[name]["roof-plan"]) == set()


def test_a_module_is_drawn_at_the_scale_that_is_named(draw: Draw, sets: Sets) -> None:
    rig = draw("trailer")[0]
    sheet = sets["trailer"]["roof-plan"][0]
    scale = next(int(t.rpartition("1:")[2]) for t in texts_of((sheet,)) if "scale 1:" in t)
    length = known(rig.parts["M.1.1"].figure("length"))
    assert length is not None
    outline = next(
        s for g in sheet.groups if g.ref == "M.1.1" for s in g.shapes if isinstance(s, Polyline) and s.closed
    )
    xs = [p[0] for p in outline.points]
    assert (max(xs) - min(xs)) * scale == pytest.approx(length.value * 1000)


@pytest.mark.parametrize("name", ["trailer", "boat"])
def test_every_obstacle_with_a_position_has_its_dimensions(draw: Draw, sets: Sets, name: str) -> None:
    rig = draw(name)[0]
    told = texts_of(sets[name]["roof-plan"])
    for surface in surfaces_of(rig):
        for o in surface.place.obstacles.values():
            if o.at is None or o.size is None or surface.outline is None:
                continue
            line = f"{o.id}: {o.at[0]:.2f} / {o.at[1]:.2f}, {o.size[0]:.2f} × {o.size[1]:.2f}"
            assert any(line in t for t in told), o.id
            inside = o.at[0] + o.size[0] <= surface.outline[0] and o.at[1] + o.size[1] <= surface.outline[1]
            if inside:
                assert f"{o.at[0]:.2f}" in told
                assert f"{surface.outline[0] - o.at[0] - o.size[0]:.2f}" in told


def test_the_sun_stands_where_the_almanac_has_it() -> None:
    # Noon height is 90 - latitude + declination; declination at the solstices 23.44 deg (Explanatory Supplement to
    # the Astronomical Almanac, value from memory), at the March equinox within a day's 0.4 deg of 0.
    for name, declination, within in (
        ("21 June", 23.44, 0.05),
        ("21 December", -23.44, 0.05),
        ("21 March", 0.0, 0.5),
    ):
        days = dict(DATES)[name]
        bearing, elevation = sun_at(46.8, days, 12.0)
        assert elevation == pytest.approx(90 - 46.8 + declination, abs=within)
        assert bearing == pytest.approx(180.0, abs=0.01)
    assert dict(DATES)["21 June"] == (date(2026, 6, 21) - date(2000, 1, 1)).days


def test_a_shadow_is_cut_at_the_outline() -> None:
    square = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    assert area_m2(clipped(square, (2.0, 2.0))) == pytest.approx(1.0)
    assert clipped(((3.0, 3.0), (4.0, 3.0), (4.0, 4.0)), (2.0, 2.0)) == ()


def test_unknown_positions_are_listed(draw: Draw, sets: Sets) -> None:
    rig = draw("van")[0]
    assert surfaces_of(rig)
    told = " ".join(texts_of(sets["van"]["roof-plan"]))
    assert "NOT KNOWN" in told
    assert "size ?" in told


# ------------------------------------------------------------------------------------------------- ways and earth


@pytest.mark.parametrize("name", DEMOS)
def test_every_way_bears_its_runs(draw: Draw, sets: Sets, name: str) -> None:
    rig = draw(name)[0]
    sheets = sets[name]["routes"]
    assert set(rig.host.ways) | set(rig.host.places) <= refs_of(sheets)
    for way in rig.host.ways:
        words = " ".join(
            s.text
            for sheet in sheets
            for g in sheet.groups
            if g.ref == way
            for s in g.shapes
            if isinstance(s, Text)
        ).split()
        assert set(runs_in(rig, way)) <= set(words)


@pytest.mark.parametrize("name", DEMOS)
def test_every_conductor_of_earth_stands_on_the_plan(draw: Draw, sets: Sets, name: str) -> None:
    rig, graph, _ = draw(name)
    sheets = sets[name].get("bonding") or sets[name]["earthing"]
    told = " ".join(texts_of(sheets))
    for run, core in earth_cores(rig, graph):
        assert f"{core.a} – {core.b}" in told, run.id
    assert set(rig.metal) <= refs_of(sheets)


def test_what_a_boat_lacks_is_said(sets: Sets) -> None:
    assert any("anodes" in t for t in texts_of(sets["boat"]["bonding"]))
    assert any("not known" in t for t in texts_of(sets["cabin"]["earthing"]))


@pytest.mark.parametrize("name", DEMOS)
def test_the_board_sheet_says_what_is_missing(sets: Sets, name: str) -> None:
    told = texts_of(sets[name]["board"])
    assert any(t.startswith("PROPOSED, not measured") for t in told)
    assert "HOLES NOT IN THE FILE: maker's template" in told
    assert any("____" in t for t in told)
