"""The lint finds what is planted."""

import pytest

from ohmwright.drawing.lint import lint
from ohmwright.drawing.shapes import Group, Line, Polyline, Shape, Sheet, Text
from ohmwright.rig.model import Host, Job, Rig

EMPTY = Rig("", "", "", 1, Job("none"), host=Host("van"))


def sheet_with(*shapes: Shape) -> tuple[Sheet, ...]:
    return (Sheet("E-01", "t", "d", 420.0, 297.0, (Group("", "", shapes),)),)


def wire(x1: float, y1: float, x2: float, y2: float) -> Line:
    return Line(x1, y1, x2, y2, 0.5, "", "ink", "conductor")


PLANTED: list[tuple[str, tuple[Shape, ...]]] = [
    ("lies on", (Text(50, 50, "W20 6 AWG", 3.2), Text(55, 50.5, "F6", 3.2))),
    ("runs through", (Text(50, 50, "W20 6 AWG", 3.2), wire(55, 30, 55, 80))),
    ("runs through", (Text(50, 50, "W20 6 AWG", 3.2), Line(40, 40, 70, 55, 0.18, "", "graphite", "note"))),
    (
        "a flag lies on a line",
        (
            Polyline(((50, 48), (56, 48), (56, 52), (50, 52)), 0.35, "", "red", "flag", True),
            wire(53, 30, 53, 80),
        ),
    ),
    ("nothing says whether they join", (wire(40, 50, 80, 50), wire(60, 30, 60, 70))),
    ("nothing says whether they join", (wire(40, 50, 80, 50), wire(60, 50, 60, 70))),
    ("crosses a bar without a hop", (Line(40, 50, 80, 50, 1.4, "", "ink", "bus"), wire(60, 30, 60, 70))),
    ("capitals of 1.98 mm", (Text(50, 50, "W20 6 AWG", 3.0),)),
    ("beyond the frame", (Text(415, 50, "far out", 3.2),)),
]


@pytest.mark.parametrize(("says", "shapes"), PLANTED)
def test_what_is_planted_is_found(says: str, shapes: tuple[Shape, ...]) -> None:
    assert any(says in f.what for f in lint(sheet_with(*shapes), EMPTY))


def test_an_innocent_sheet_is_left_alone() -> None:
    innocent = (
        Text(50, 50, "W20", 3.2),
        Text(50, 55, "F6", 3.2),
        wire(40, 80, 80, 80),
        wire(40, 80, 40, 120),
    )
    assert lint(sheet_with(*innocent), EMPTY) == []
