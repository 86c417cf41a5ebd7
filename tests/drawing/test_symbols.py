"""Two sets of symbols and two series of sheets, chosen by the rule set or by the job."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from ohmwright.drawing.further import all_further
from ohmwright.drawing.lint import lint, lint_ink
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.readback import differences
from ohmwright.drawing.shapes import Sheet, Text
from ohmwright.drawing.symbols import DEVICE, SETS, SMALLEST, Stroke
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]
TABLES = [(name, kind) for name, made in SETS.items() for kind in made.tables]

#: Sheet sizes in millimetres: ISO 216 A3, A2, A1; ANSI Y14.1 B, C, D are 11 x 17, 17 x 22, 22 x 34 inches (from memory).
ISO = {(420.0, 297.0), (594.0, 420.0), (841.0, 594.0)}
US = {(431.8, 279.4), (558.8, 431.8), (863.6, 558.8)}


def extent(stroke: Stroke) -> tuple[float, float, float, float]:
    what, n = stroke[0], [float(v) for v in stroke[1:] if not isinstance(v, str)]
    if what in ("ring", "dot", "arc"):
        # an arc on the left or right of its centre reaches no further than its own side
        left, right = n[0] - n[2], n[0] + n[2]
        if what == "arc" and (n[3], n[4]) == (270, 90):
            left = n[0]
        if what == "arc" and n[3] >= 90 and n[4] <= 270:
            right = n[0]
        return left, n[1] - n[2], right, n[1] + n[2]
    if what == "word":
        return n[0] - SMALLEST / 2, n[1] - SMALLEST, n[0] + SMALLEST / 2, n[1]
    return min(n[0], n[2]), min(n[1], n[3]), max(n[0], n[2]), max(n[1], n[3])


@pytest.mark.parametrize(("which", "kind"), TABLES)
def test_a_symbol_begins_and_ends_at_its_pins_and_keeps_its_reach(which: str, kind: str) -> None:
    strokes = SETS[which].tables[kind]
    leads = [s for s in strokes if s[0] == "lead"]
    left, right = SETS[which].reach[kind]

    assert any(s[1:3] == (0, 0) for s in leads)
    assert any(s[3:5] == (0, DEVICE) for s in leads)
    for stroke in strokes:
        a, b, c, d = extent(stroke)
        assert a >= -left - 0.5
        assert c <= right + 0.5
        assert b >= -0.01
        assert d <= DEVICE + 0.01


def test_both_sets_know_the_same_devices() -> None:
    assert (
        set(SETS["iec"].tables) == set(SETS["us"].tables) == set(SETS["us"].reach) == set(SETS["iec"].reach)
    )


def legend_of(sheets: tuple[Sheet, ...]) -> str:
    texts = (s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text))
    return " ".join(t for t in texts if "symbols after" in t)


def test_a_rule_set_of_north_america_brings_its_symbols_and_its_sheets(draw: Draw) -> None:
    _, _, trailer = draw("trailer")
    _, _, boat = draw("boat")

    assert "IEEE 315" in legend_of(trailer)
    assert {(s.width, s.height) for s in trailer} <= US
    assert "IEC 60617" in legend_of(boat)
    assert {(s.width, s.height) for s in boat} <= ISO


def test_a_job_may_ask_for_the_other_symbols_and_sheets(draw: Draw) -> None:
    rig, graph, _ = draw("trailer")
    asked = replace(rig, job=replace(rig.job, symbols="iec", sheets="iso"))
    sheets = circuit_sheets(Circuit(asked, graph))

    assert "IEC 60617" in legend_of(sheets)
    assert {(s.width, s.height) for s in sheets} <= ISO


def test_the_file_says_it_under_job(read_small: Callable[[str], Rig]) -> None:
    rig = read_small("ohmwright: 1\njob: {id: j, rules: eu-vehicle 2023, symbols: us, sheets: us}\n")

    assert (rig.job.symbols, rig.job.sheets) == ("us", "us")


@pytest.mark.parametrize("name", ["small", "split", "trailer", "boat", "cabin", "van"])
def test_with_the_other_set_every_sheet_is_clean_and_says_the_same_net(draw: Draw, name: str) -> None:
    rig, _, _ = draw(name)
    us = rig.job.rules.startswith("us")
    other = replace(rig, job=replace(rig.job, symbols="iec" if us else "us", sheets="iso" if us else "us"))
    graph = graph_of(other)
    sheets = circuit_sheets(Circuit(other, graph))

    assert lint(sheets, other) == []
    assert differences(other, graph, sheets) == []
    for _, further in all_further(other, graph):
        assert lint_ink(further) == []
