"""The three-line sheet: every conductor of the graph once, with its ends where the file has them."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from xml.etree import ElementTree

import pytest

from ohmwright.drawing.lint import lint
from ohmwright.drawing.readback import conductors_inked, differences
from ohmwright.drawing.shapes import Line, Pin, Sheet, Text
from ohmwright.drawing.svg import svg_of
from ohmwright.drawing.three_line import CAUTIONS, ThreeLine, three_line_sheets
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.landing import loose_ends
from ohmwright.rig.model import Rig

ALL = ("small", "split", "trailer", "van", "cabin", "boat")


Made = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]


@pytest.fixture(scope="module")
def made(draw: Made) -> Made:
    @cache
    def make(name: str) -> tuple[Rig, Graph, tuple[Sheet, ...]]:
        rig, graph, _ = draw(name)
        return rig, graph, three_line_sheets(ThreeLine(rig, graph))

    return make


def texts_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return [s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text)]


@pytest.mark.parametrize("name", ALL)
def test_the_net_read_from_the_ink_is_the_net_of_the_file(made: Made, name: str) -> None:
    assert differences(*made(name)) == []


@pytest.mark.parametrize("name", ALL)
def test_nothing_overlaps_and_every_part_and_run_is_named(made: Made, name: str) -> None:
    rig, _, sheets = made(name)
    assert [str(f) for f in lint(sheets, rig)] == []


@pytest.mark.parametrize("name", ALL)
def test_every_conductor_of_the_graph_is_drawn_exactly_once(made: Made, name: str) -> None:
    _, graph, sheets = made(name)
    assert conductors_inked(sheets) == dict.fromkeys(graph.conductors, 1)


@pytest.mark.parametrize("name", ALL)
def test_both_ends_of_every_conductor_stand_at_its_terminals(made: Made, name: str) -> None:
    rig, graph, sheets = made(name)
    ends: dict[str, set[str]] = {}
    for sheet in sheets:
        pins: dict[tuple[float, float], set[str]] = {}
        for s in sheet.shapes():
            if isinstance(s, Pin):
                pins.setdefault((round(s.x, 2), round(s.y, 2)), set()).update(t for _, t in s.nodes)
        for s in sheet.shapes():
            if isinstance(s, Line) and s.layer == "conductor":
                for x, y in ((s.x1, s.y1), (s.x2, s.y2)):
                    ends.setdefault(s.key, set()).update(pins.get((round(x, 2), round(y, 2)), ()))
    cores = {c.id: c for run in rig.runs.values() for c in run.cores}
    assert set(cores) == set(graph.conductors)
    assert {k: {c.a, c.b} - ends[k] for k, c in cores.items() if {c.a, c.b} - ends[k]} == {}


@pytest.mark.parametrize("run", ["W01", "W06", "W10", "W20", "W25", "W27", "B.link1"])
def test_a_run_taken_out_of_the_file_is_missing_from_the_ink(made: Made, run: str) -> None:
    rig = made("small")[0]
    less = replace(rig, runs={k: v for k, v in rig.runs.items() if k != run})
    graph = graph_of(less)
    sheets = three_line_sheets(ThreeLine(less, graph))
    assert differences(less, graph, sheets) == []
    assert conductors_inked(sheets) == dict.fromkeys(graph.conductors, 1)
    assert ("no run" in texts_of(sheets)) == bool(loose_ends(graph))


@pytest.mark.slow
@pytest.mark.parametrize("name", ["trailer", "van", "cabin", "boat", "split"])
def test_every_run_taken_out_in_turn_leaves_a_clean_sheet(made: Made, name: str) -> None:
    rig = made(name)[0]
    wrong = {}
    for run in rig.runs:
        less = replace(rig, runs={k: v for k, v in rig.runs.items() if k != run})
        graph = graph_of(less)
        sheets = three_line_sheets(ThreeLine(less, graph))
        found = [*differences(less, graph, sheets), *map(str, lint(sheets, less))]
        if found or conductors_inked(sheets) != dict.fromkeys(graph.conductors, 1):
            wrong[run] = found
    assert wrong == {}


def swapped(sheets: tuple[Sheet, ...], one: str, other: str) -> tuple[Sheet, ...]:
    """The sheets with two terminals changed for each other."""
    names = {one: other, other: one}

    def change(s: object) -> object:
        return replace(s, nodes=tuple((c, names.get(t, t)) for c, t in s.nodes)) if isinstance(s, Pin) else s

    return tuple(
        replace(sheet, groups=tuple(replace(g, shapes=tuple(map(change, g.shapes))) for g in sheet.groups))  # type: ignore[arg-type]
        for sheet in sheets
    )


@pytest.mark.parametrize(("one", "other"), [("U2.dc.+", "U2.dc.-"), ("PA.1.L", "PA.1.N"), ("J1.N", "J1.PE")])
def test_swapped_poles_are_noticed(made: Made, one: str, other: str) -> None:
    rig, graph, sheets = made("trailer")
    assert differences(rig, graph, swapped(sheets, one, other)) != []


def test_the_relay_between_neutral_and_earth_is_told_from_the_graph(made: Made) -> None:
    assert "N–PE joined when inverting" in texts_of(made("trailer")[2])
    assert "N–PE joined when inverting" not in texts_of(made("van")[2])


def test_torque_is_printed_where_the_maker_gives_it_and_left_blank_elsewhere(made: Made) -> None:
    rig, _, sheets = made("cabin")
    told = " ".join(texts_of(sheets))
    assert "____\u00a0N·m: " in told
    value = rig.parts["U2"].figure("torque").value  # type: ignore[union-attr]
    assert f"{value:.3g}\u00a0N·m: " in told


@pytest.mark.parametrize("name", ALL)
def test_every_sheet_bears_title_block_and_cautions(made: Made, name: str) -> None:
    rig, _, sheets = made(name)
    for sheet in sheets:
        told = " ".join(texts_of((sheet,)))
        assert CAUTIONS[0].split(".")[0] in told
        assert f"{sheet.name} of {len(sheets)}" in told
    refs = {e.get("data-ref") for s in sheets for e in ElementTree.fromstring(svg_of(s)).iter()}
    assert set(rig.runs) <= refs


def test_the_same_rig_gives_the_same_bytes(made: Made) -> None:
    rig, graph, sheets = made("boat")
    again = three_line_sheets(ThreeLine(rig, graph))
    assert [svg_of(s) for s in sheets] == [svg_of(s) for s in again]
