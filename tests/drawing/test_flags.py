"""What is put on a finished circuit: every changed address bears its triangle, removed work is crossed by ticks."""

import re
from collections.abc import Callable

import pytest

from ohmwright.drawing.frame import Title
from ohmwright.drawing.lettering import lacking
from ohmwright.drawing.lint import lint
from ohmwright.drawing.marks import Mark
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.readback import differences
from ohmwright.drawing.shapes import Line, Polyline, Sheet
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]


def triangles(sheets: tuple[Sheet, ...]) -> set[str]:
    return {
        group.ref
        for sheet in sheets
        for group in sheet.groups
        for s in group.shapes
        if isinstance(s, Polyline) and s.layer == "flag" and len(s.points) == 3 and s.colour == "violet"
    }


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van"])
def test_every_part_and_run_that_changed_bears_a_triangle(draw: Draw, name: str) -> None:
    rig, graph, _ = draw(name)
    changed = tuple(p.id for p in rig.parts.values() if not p.group and p.kind.name != "mounting") + tuple(
        r for r in rig.runs if not rig.runs[r].part_of
    )
    sheets = circuit_sheets(Circuit(rig, graph, title=Title("j", revision="C"), changed=changed))
    missing = set(changed) - triangles(sheets)

    assert missing == set()


def test_a_change_order_of_a_few_places_stays_clean(draw: Draw) -> None:
    rig, graph, _ = draw("trailer")
    changed = ("M", "W34", "W35", "F1", "W12", "U2", "PD", "B")
    sheets = circuit_sheets(Circuit(rig, graph, title=Title("j", revision="B"), changed=changed))

    assert set(changed) <= triangles(sheets)
    assert lint(sheets, rig) == []


def test_removed_work_is_crossed_by_ticks_and_still_the_same_net(draw: Draw) -> None:
    rig, graph, _ = draw("trailer")
    sheets = circuit_sheets(Circuit(rig, graph, removed=("W22", "F7", "W28")))
    ticks = {
        g.ref
        for sheet in sheets
        for g in sheet.groups
        for s in g.shapes
        if isinstance(s, Line) and s.layer == "core" and s.colour == "violet"
    }

    assert ticks == {"W22", "F7", "W28"}
    assert differences(rig, graph, sheets) == []


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van"])
def test_with_a_flag_at_every_part_nothing_is_covered(draw: Draw, name: str) -> None:
    rig, graph, _ = draw(name)
    marks = tuple(
        Mark(p.id, f"A{n}", ("DANGER", "FAILS", "CANNOT TELL", "NOTE")[n % 4], "something")
        for n, p in enumerate(rig.parts.values())
        if not p.group
    )
    sheets = circuit_sheets(Circuit(rig, graph, marks=marks))

    assert [f for f in lint(sheets, rig) if not re.search("no room for flag", f.what)] == []


def test_a_letter_that_the_face_lacks_is_a_fault() -> None:
    # U+2300 (diameter sign) is in neither face; U+00D8 (O with stroke) is in both.
    assert lacking("\u23006.5", "sans") == "\u2300"
    assert lacking("\u00d86.5", "sans") == ""
