"""A rig drawn again after an edit: figures and words change where they stand, and nothing else moves."""

from dataclasses import replace
from importlib import resources

import pytest

from ohmwright.drawing import one_line
from ohmwright.drawing.lint import lint
from ohmwright.drawing.marks import Mark
from ohmwright.drawing.one_line import Circuit, Drawing, draw_circuit
from ohmwright.drawing.readback import differences
from ohmwright.drawing.shapes import Arc, Circle, Line, Sheet, Text
from ohmwright.drawing.svg import svg_of
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf


def circuit_of(name: str, *edits: tuple[str, str]) -> Circuit:
    folder = resources.files("ohmwright.services.demos") / name
    shelf = folder / "shelf"
    sheets = [f for f in shelf.iterdir() if f.name.endswith(".yaml")] if shelf.is_dir() else []
    text = (folder / "rig.yaml").read_text(encoding="utf-8")
    for before, after in edits:
        assert before in text
        text = text.replace(before, after)
    rig = read_rig(text, "rig.yaml", Shelf(job={f.name: f.read_text(encoding="utf-8") for f in sheets}))
    return Circuit(rig, graph_of(rig))


def ink_of(sheets: tuple[Sheet, ...]) -> list[object]:
    return [
        s
        for sheet in sheets
        for s in sheet.shapes()
        if isinstance(s, Line | Arc | Circle) and s.layer in ("conductor", "hop", "dot", "bus")
    ]


def words_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return sorted(s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text))


def both(name: str, *edits: tuple[str, str]) -> tuple[Drawing, Drawing, Rig, Graph]:
    first = draw_circuit(circuit_of(name))
    after = circuit_of(name, *edits)
    return first, draw_circuit(after, first.kept), after.rig, after.graph


FIGURES = [
    ("trailer", "cable: 4/0 AWG 105C red, length: 0.9 m", "cable: 2/0 AWG 105C red, length: 1.25 m"),
    ("trailer", "power: 60 W, duty", "power: 65 W, duty"),
    ("trailer", "fuse-class-t-400a", "fuse-class-t-300a"),
    ("trailer", "length: 12 m (m 2026-04-02)", "length: 9.5 m (m 2026-04-02)"),
    ("trailer", 'title: "Larkspur, field-station', 'title: "Skylark, field-station'),
]


@pytest.mark.parametrize(("name", "before", "after"), FIGURES)
def test_a_figure_changes_where_it_stands_and_no_line_moves(name: str, before: str, after: str) -> None:
    first, again, rig, graph = both(name, (before, after))

    assert again.again
    assert ink_of(again.sheets) == ink_of(first.sheets)
    assert lint(again.sheets, rig) == []
    assert differences(rig, graph, again.sheets) == []


@pytest.mark.parametrize(("name", "before", "after"), FIGURES)
def test_what_is_lettered_is_what_a_drawing_from_nothing_letters(name: str, before: str, after: str) -> None:
    _, again, rig, graph = both(name, (before, after))

    assert words_of(again.sheets) == words_of(draw_circuit(Circuit(rig, graph)).sheets)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van"])
def test_the_same_rig_again_is_the_same_sheet(name: str) -> None:
    first, again, _, _ = both(name)

    assert again.again
    assert again.sheets == first.sheets


MARKS = (
    Mark("W12", "C4", "FAILS"),
    Mark("F1", "B5", "DANGER"),
    Mark("F1", "B6", "NOTE"),
    Mark("U1", "A2", "NOTE"),
)
LONGER = ("trailer", "cable: 4/0 AWG 105C red, length: 0.9 m", "cable: 2/0 AWG 105C red, length: 1.25 m")


def flags_of(drawing: Drawing) -> list[tuple[str, str, str]]:
    assert drawing.kept.finish
    return [flag for told in drawing.kept.finish.told for flag in told]


@pytest.mark.parametrize("marks", [MARKS, MARKS[1:], (*MARKS, Mark("W20", "C1", "FAILS")), ()])
def test_flags_of_a_sheet_drawn_again_say_what_the_notes_are_now(marks: tuple[Mark, ...]) -> None:
    name, before, after = LONGER
    first = draw_circuit(replace(circuit_of(name), marks=MARKS))
    now = replace(circuit_of(name, (before, after)), marks=marks)
    again, anew = draw_circuit(now, first.kept), draw_circuit(now)

    assert again.again
    assert sorted(flags_of(again)) == sorted(flags_of(anew))
    assert words_of(again.sheets) == words_of(anew.sheets)
    assert [s.flags for s in again.sheets] == [s.flags for s in anew.sheets]
    assert [s.description for s in again.sheets] == [s.description for s in anew.sheets]
    assert lint(again.sheets, now.rig) == []


@pytest.mark.parametrize(
    "marks",
    [MARKS, MARKS[1:], (Mark("W20", "C1", "DANGER"), *MARKS), (*MARKS, Mark("W20", "C1", "NOTE")), ()],
)
@pytest.mark.parametrize("edit", [LONGER[1:], ("power: 60 W, duty", "power: 65 W, duty")])
def test_sheets_touched_up_are_the_sheets_finished_anew_to_the_last_stroke(
    edit: tuple[str, str], marks: tuple[Mark, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    first = draw_circuit(replace(circuit_of("trailer"), marks=MARKS, margin=False))
    now = replace(circuit_of("trailer", edit), marks=marks, margin=False)
    touched = draw_circuit(now, first.kept)
    monkeypatch.setattr(one_line, "retouched", lambda *_: None)
    anew = draw_circuit(now, first.kept)

    assert [svg_of(s) for s in touched.sheets] == [svg_of(s) for s in anew.sheets]


def test_a_part_that_comes_is_laid_out_anew() -> None:
    edit = (
        "  F6:   {is: breaker-60a-48v-1p, at: side-bay, stands: 0.83 0.27 m}",
        "  F6:   {is: breaker-60a-48v-1p, at: side-bay}\n  F8:   {is: fuse-bolt-60a, at: side-bay}",
    )
    _, again, rig, graph = both("trailer", edit)

    assert not again.again
    assert words_of(again.sheets) == words_of(draw_circuit(Circuit(rig, graph)).sheets)


def test_a_run_that_goes_elsewhere_is_laid_out_anew() -> None:
    _, again, rig, graph = both(
        "trailer", ("W17: {from: F4.load,  to: XP.4", "W17: {from: F4.load,  to: XP.6")
    )

    assert not again.again
    assert differences(rig, graph, again.sheets) == []


def test_a_word_too_long_for_its_place_is_laid_out_anew() -> None:
    _, again, rig, _ = both("trailer", ("galley", "galley-over-the-port-wheel-house-behind-the-long-bench"))

    assert not again.again
    assert lint(again.sheets, rig) == []
