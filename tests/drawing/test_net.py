"""The law of the sheet: ink for a conductor only where the file has that conductor, and everywhere it has one."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import pytest

from ohmwright.drawing.lint import lint
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.readback import differences
from ohmwright.drawing.shapes import Circle, Line, Pin, Sheet, Text
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]
ALL = ("small", "split", "trailer", "van", "cabin", "boat")


@pytest.mark.parametrize("name", ALL)
def test_the_net_read_from_the_ink_is_the_net_of_the_file(draw: Draw, name: str) -> None:
    assert differences(*draw(name)) == []


@pytest.mark.parametrize("name", ALL)
def test_nothing_overlaps_and_nothing_is_left_out(draw: Draw, name: str) -> None:
    rig, _, sheets = draw(name)
    assert [str(f) for f in lint(sheets, rig)] == []


def without(rig: Rig, run: str) -> Rig:
    """The rig with one run taken out."""
    return replace(rig, runs={k: v for k, v in rig.runs.items() if k != run})


def texts_of(sheets: tuple[Sheet, ...]) -> list[str]:
    """All lettering."""
    return [s.text for sheet in sheets for s in sheet.shapes() if isinstance(s, Text)]


@pytest.mark.parametrize(
    "run", ["W01", "W05", "W06", "W08", "W10", "W15", "W17", "W20", "W21", "W25", "W27", "B.link1"]
)
def test_a_run_taken_out_of_the_file_is_missing_from_the_ink(draw: Draw, run: str) -> None:
    rig = without(draw("small")[0], run)
    graph = graph_of(rig)
    assert differences(rig, graph, circuit_sheets(Circuit(rig, graph))) == []


def test_a_missing_tow_return_looks_missing(draw: Draw) -> None:
    # The engine that this one replaces drew a second wire here because the first one was there.
    rig = without(draw("small")[0], "W27")
    graph = graph_of(rig)
    sheets = circuit_sheets(Circuit(rig, graph))
    assert "no run" in texts_of(sheets)
    drawn = [s for sheet in sheets for g in sheet.groups if g.ref == "W27" for s in g.shapes]
    assert drawn == []
    assert not any(h.ref == "W27" for sheet in sheets for h in sheet.hits)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["trailer", "van", "cabin", "boat", "split"])
def test_every_run_taken_out_in_turn_is_missing_from_the_ink(draw: Draw, name: str) -> None:
    rig = draw(name)[0]
    wrong = {}
    for run in rig.runs:
        less = without(rig, run)
        graph = graph_of(less)
        if found := differences(less, graph, circuit_sheets(Circuit(less, graph))):
            wrong[run] = found
    assert wrong == {}


# ----------------------------------------------------------------------- the reader sees what is done to the ink


def inked(
    sheets: tuple[Sheet, ...],
    change: Callable[[Line | Circle], Line | Circle | None],
    extra: tuple[Line, ...] = (),
) -> tuple[Sheet, ...]:
    """The sheets with each line and dot of the conductors' ink changed, left out, or joined by others."""
    out = []
    for n, sheet in enumerate(sheets):
        groups = []
        for group in sheet.groups:
            shapes = []
            for s in group.shapes:
                if isinstance(s, Line | Circle) and s.layer in ("conductor", "dot"):
                    changed = change(s)
                    if changed is not None:
                        shapes.append(changed)
                else:
                    shapes.append(s)  # type: ignore[arg-type]
            groups.append(replace(group, shapes=tuple(shapes)))
        if n == 0 and extra:
            groups.append(replace(groups[0], ref="", shapes=extra))
        out.append(replace(sheet, groups=tuple(groups)))
    return tuple(out)


def unless(gone: Line | Circle, s: Line | Circle) -> Line | Circle | None:
    """The shape, or nothing when it is the one that goes."""
    return None if s == gone else s


def test_every_line_of_ink_carries_something(draw: Draw) -> None:
    rig, graph, sheets = draw("small")
    lines = [s for sheet in sheets for s in sheet.shapes() if isinstance(s, Line) and s.layer == "conductor"]
    silent = [line for line in lines if not differences(rig, graph, inked(sheets, partial(unless, line)))]
    assert silent == []


def test_a_dot_left_out_is_noticed(draw: Draw) -> None:
    rig, graph, sheets = draw("van")
    dots = [s for sheet in sheets for s in sheet.shapes() if isinstance(s, Circle) and s.layer == "dot"]
    assert dots
    assert any(differences(rig, graph, inked(sheets, partial(unless, dot))) for dot in dots)


def test_a_line_too_many_is_noticed(draw: Draw) -> None:
    rig, graph, sheets = draw("small")
    pins = {t: s for s in sheets[0].shapes() if isinstance(s, Pin) for _, t in s.nodes}
    a, b = pins["XP.1"], pins["XP.2"]
    bridge = Line(a.x, a.y, b.x, b.y, 0.5, "", "ink", "conductor")
    assert "the ink joins F1.load and F5.load, the file does not" not in differences(rig, graph, sheets)
    assert any(
        "XP.1" in d and "XP.2" in d for d in differences(rig, graph, inked(sheets, lambda s: s, (bridge,)))
    )


def test_a_sheet_that_disagrees_says_so_itself(draw: Draw, monkeypatch: pytest.MonkeyPatch) -> None:
    rig, graph, _ = draw("small")
    monkeypatch.setattr(
        "ohmwright.drawing.one_line.differences", lambda *_: ["the ink joins A and B, the file does not"]
    )
    sheets = circuit_sheets(Circuit(rig, graph))
    assert any(t.startswith("NOT FOR ISSUE") for t in texts_of(sheets))
    assert "the ink joins A and B, the file does not" in sheets[0].notes
