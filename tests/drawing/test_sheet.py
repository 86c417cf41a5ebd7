"""What stands on the sheet: references, lengths, drops, flags, and lettering that can be read."""

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ohmwright.circuit.types import Case, RunAnswers, Solution, Volts
from ohmwright.drawing.finish import CAUTIONS
from ohmwright.drawing.frame import Follow, Title
from ohmwright.drawing.lettering import CAPITAL
from ohmwright.drawing.lint import lint
from ohmwright.drawing.marks import Mark
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.shapes import Line, Sheet, Text
from ohmwright.drawing.svg import svg_of
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]


def texts_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return [s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text)]


@pytest.mark.parametrize("name", ["small", "trailer", "boat", "cabin", "van"])
def test_no_lettering_is_smaller_than_the_floor(draw: Draw, name: str) -> None:
    _, _, sheets = draw(name)
    smallest = min(s.em for sheet in sheets for s in sheet.shapes() if isinstance(s, Text))
    assert smallest * CAPITAL >= 2.1 - 1e-9


@pytest.mark.parametrize("name", ["small", "trailer", "boat", "cabin", "van"])
def test_every_part_and_run_can_be_clicked_by_its_address(draw: Draw, name: str) -> None:
    rig, _, sheets = draw(name)
    refs = {e.get("data-ref") for sheet in sheets for e in ElementTree.fromstring(svg_of(sheet)).iter()}
    assert set(rig.runs) <= refs
    # what has no terminals (a mounting) is no part of a circuit
    drawn = {p.id for p in rig.parts.values() if not p.group and p.kind.name != "mounting"}
    assert drawn <= refs


def test_the_sheet_has_a_title_and_a_description_for_the_ear(draw: Draw) -> None:
    _, _, sheets = draw("small")
    root = ElementTree.fromstring(svg_of(sheets[0]))
    title = root.find("{http://www.w3.org/2000/svg}title")
    told = root.find("{http://www.w3.org/2000/svg}desc")
    assert title is not None
    assert title.text is not None
    assert "circuit sheet" in title.text
    assert told is not None
    assert told.text is not None
    assert "runs" in told.text


def test_an_unknown_length_is_printed_as_a_question(draw: Draw) -> None:
    assert "?\u00a0m" in texts_of(draw("small")[2])


def test_cautions_stand_on_every_sheet(draw: Draw) -> None:
    for sheet in draw("boat")[2]:
        lettered = " ".join(texts_of((sheet,)))
        for caution in CAUTIONS:
            assert all(word in lettered for word in caution.split())


def solved(graph: Graph, drops_V: dict[str, float]) -> Solution:
    """A made-up answer: every net at 12 V against its minus, the drops as given and none elsewhere."""
    nodes = {t.id: Volts(0.0 if t.pole == "-" else 12.0) for t in graph.terminals.values()}
    runs = RunAnswers({c: n for n, c in enumerate(graph.conductors)})
    runs.current_A[:] = 10.0
    runs.drop_V[:] = [drops_V.get(c, 0.0) for c in graph.conductors]
    return Solution(Case("made up"), {}, True, None, runs, {}, nodes, {}, "")


def test_a_drop_is_printed_from_half_a_per_cent_up(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    answer = solved(graph, {"W20": 0.12, "W19": 0.059})
    told = texts_of(circuit_sheets(Circuit(rig, graph, answer)))
    # By hand: 0.12 V of 12 V is 1.0 %; 0.059 V of 12 V is 0.49 %, which stays in the schedule.
    assert "3\u00a0m  1.0\u00a0%" in told
    assert "0.2\u00a0m" in told
    assert not any("0.5\u00a0%" in t for t in told)


def test_a_two_core_cable_drops_in_both_cores(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    answer = solved(graph, {"W01.+": 0.09, "W01.-": 0.09})
    # By hand: 0.18 V of 12 V is 1.5 %.
    assert "12\u00a0m  1.5\u00a0%" in texts_of(circuit_sheets(Circuit(rig, graph, answer)))


MARKS = (
    Mark("F6", "C1", "NOTE", "A note."),
    Mark("W20", "C4", "FAILS", "The drop is too large.", "Take a thicker cable."),
    Mark("F5", "C3", "DANGER", "It cannot break what the bank can deliver.", "Take a fuse of 20 kA."),
    Mark("M", "A1", "CANNOT TELL", "The plate was not read."),
    Mark("Q1", "C7", "DISAPPOINTS", "It runs warm."),
    Mark("R1", "F5", "OVERRIDDEN", "Accepted.", "", "IR fails"),
)


def test_flags_are_numbered_by_severity_and_the_margin_repeats_them(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    sheets = circuit_sheets(
        Circuit(
            rig,
            graph,
            None,
            MARKS,
            Title("small", revision="B"),
            (Follow("W20", "8 AWG", "6 AWG", "FAILS cleared"),),
            ("W20",),
        )
    )
    flags = [f for s in sheets for f in s.flags]
    assert [f.subject for f in flags] == ["F5", "W20", "M", "Q1", "F6", "R1"]
    assert [f.number for f in flags] == ["1", "2", "3", "4", "5", "6"]
    told = texts_of(sheets)
    for word in ("DANGER", "FAILS", "CANNOT TELL ?", "DISAPPOINTS", "NOTE", "OVERRIDDEN IR fails"):
        assert word in told
    for flag in flags:
        assert any(t.startswith(f"{flag.zone} · {flag.subject} · {flag.rule}") for t in told)
        assert told.count(flag.number) >= 2
    assert [str(f) for f in lint(sheets, rig)] == []


def test_a_mark_on_each_thing_in_turn_lies_on_nothing(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    subjects = [*(p for p in rig.parts if "." not in p), *rig.runs]
    for k in range(0, len(subjects), 12):
        marks = tuple(Mark(s, "C1", "FAILS", "Something.") for s in subjects[k : k + 12])
        sheets = circuit_sheets(Circuit(rig, graph, None, marks))
        assert [str(f) for f in lint(sheets, rig)] == []


def test_more_notes_than_the_margin_holds_are_counted(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    marks = tuple(
        Mark("U1", "A1", "NOTE", f"Sentence number {i} about this unit and its neighbours.")
        for i in range(60)
    )
    told = texts_of(circuit_sheets(Circuit(rig, graph, None, marks)))
    shown = sum(1 for t in told if t == "NOTE")
    assert f"{60 - shown} more in the check report" in told


HOSTILE = '<b>&"x"</b>\u202eevil ]]> {{1}} #set =1+1'


def test_hostile_words_stay_words(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    marks = (Mark("F6", "C1", "DANGER", HOSTILE, HOSTILE),)
    sheets = circuit_sheets(
        Circuit(
            rig,
            graph,
            None,
            marks,
            Title(HOSTILE, HOSTILE, stage=HOSTILE),
            (Follow(HOSTILE, HOSTILE, HOSTILE, HOSTILE),),
        )
    )
    told = svg_of(sheets[0])
    root = ElementTree.fromstring(told)
    assert not [e for e in root.iter() if e.tag.endswith(("}b", "}script", "}foreignObject"))]
    assert "\u202e" not in told
    assert "style=" not in told


def test_a_long_name_is_shortened_and_lies_on_nothing(draw: Draw) -> None:
    rig, graph, _ = draw("small")
    long = "The very long name of a job that somebody typed without thinking of the title block at all"
    sheets = circuit_sheets(
        Circuit(rig, graph, None, (), Title(long, long, stage=long, rules=long, drawn=long))
    )
    assert [str(f) for f in lint(sheets, rig)] == []


def test_parts_that_no_run_joins_stand_in_a_box_of_their_own(draw: Draw) -> None:
    rig = draw("small")[0]
    less = replace(rig, runs={k: v for k, v in rig.runs.items() if k not in ("W14", "W27")})
    graph = graph_of(less)
    sheets = circuit_sheets(Circuit(less, graph))
    told = texts_of(sheets)
    assert "NOT YET JOINED" in told
    assert any(t.startswith("TV ") for t in told)
    assert [str(f) for f in lint(sheets, less)] == []


PROGRAM = """
import sys, hashlib
sys.path.insert(0, sys.argv[1])
from conftest import drawn
from ohmwright.drawing.svg import svg_of
print(hashlib.sha256("".join(svg_of(s) for s in drawn("van")[2]).encode()).hexdigest())
"""


def test_the_same_rig_gives_the_same_bytes_whatever_the_hash_seed() -> None:
    here = str(Path(__file__).parent)
    told = {
        subprocess.run(
            [sys.executable, "-c", PROGRAM, here],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed, zone in (("1", "UTC"), ("777", "Pacific/Auckland"))
    }
    assert len(told) == 1


def test_what_is_small_stands_under_what_is_larger_where_that_saves_a_sheet(draw: Draw) -> None:
    rig, _, _ = draw("boat")
    us = replace(rig, job=replace(rig.job, units="us", sheets="us", symbols="us"))
    graph = graph_of(us)
    sheets = circuit_sheets(Circuit(us, graph))
    assert len(sheets) == 3
    assert lint(sheets, us) == []
    bars = {
        ref: [
            s.y1
            for g in sheets[2].groups
            if g.ref == ref
            for s in g.shapes
            if isinstance(s, Line) and s.layer == "bus"
        ]
        for ref in ("XN", "XS")
    }
    assert max(bars["XN"]) < min(bars["XS"])
