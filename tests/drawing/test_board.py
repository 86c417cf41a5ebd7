"""The board: what the file says stands where it says, what is proposed says so, and a template measures what it should."""

import io
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from itertools import combinations
from pathlib import Path

import pint
import pytest
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.drawing.boards import Plan, lugs_of, plans_of
from ohmwright.drawing.further import further_sheets
from ohmwright.drawing.geometry import overlap
from ohmwright.drawing.lettering import lettered_in
from ohmwright.drawing.lint import lint_ink
from ohmwright.drawing.scales import feet_and_inches
from ohmwright.drawing.shapes import Circle, Line, Sheet, Text
from ohmwright.drawing.sizes import fixing_of
from ohmwright.drawing.template import BAR, FOOT, PAPER
from ohmwright.papers.dxf import dxf_of
from ohmwright.papers.stamp import Stamp
from ohmwright.papers.units import lettering
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf

HERE = Path(__file__).parent
Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]


@cache
def bay(edit: tuple[str, str] = ("", "")) -> tuple[Rig, Graph]:
    text = (HERE / "board.yaml").read_text(encoding="utf-8")
    assert edit[0] in text
    shelf = Shelf(job={"shelf.yaml": (HERE / "board-shelf.yaml").read_text(encoding="utf-8")})
    rig = read_rig(text.replace(*edit) if edit[0] else text, "board.yaml", shelf)
    return rig, graph_of(rig)


@cache
def sheets() -> dict[str, Sheet]:
    return {s.name: s for s in further_sheets(*bay(), "board")}


def plan() -> Plan:
    return plans_of(*bay())[0]


def drawing_of(sheet: Sheet) -> Drawing:
    told = dxf_of(sheet, Stamp("2026-05-02", "0" * 64, ""))
    document = read(io.StringIO(told.decode("utf-8")))
    assert not document.audit().errors
    return document


def words(sheet: Sheet) -> list[str]:
    return [s.text for s in sheet.shapes() if isinstance(s, Text)]


def test_what_the_file_places_stands_there_and_the_rest_is_proposed_clear_of_it() -> None:
    seats = {s.part.id: s for s in plan().seats}

    assert (seats["Q1"].x_mm, seats["Q1"].y_mm, seats["Q1"].proposed) == (190.0, 485.0, False)
    assert seats["R1"].proposed
    assert seats["R1"].extent is None
    outlines = [(s.x_mm, s.y_mm, s.x_mm + s.width_mm, s.y_mm + s.height_mm) for s in seats.values()]
    assert not any(overlap(a, b) for a, b in combinations(outlines, 2))
    assert all(a >= 0 and b >= 0 and c <= 850 and d <= 600 for a, b, c, d in outlines)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van"])
def test_a_proposed_board_holds_its_parts_without_overlap(draw: Draw, name: str) -> None:
    rig, graph, _ = draw(name)
    for board in plans_of(rig, graph):
        outlines = [(s.x_mm, s.y_mm, s.x_mm + s.width_mm, s.y_mm + s.height_mm) for s in board.seats]
        assert not any(overlap(a, b) for a, b in combinations(outlines, 2))
        assert all(c <= board.width_mm and d <= board.height_mm for _, _, c, d in outlines)
        assert board.proposed


def test_every_sheet_says_what_of_it_is_only_proposed() -> None:
    for sheet in sheets().values():
        if sheet.name != "D-02":  # the table
            assert any("PROPOSED, not measured: position of R1" in w for w in words(sheet)), sheet.name


def test_holes_of_a_foot_stand_centred_on_its_outline() -> None:
    # The record: 362 x 258 mm, 4 holes 8.5 mm, 320 x 200 mm apart; the file: lower left corner at 440 / 60 mm.
    u2 = next(s for s in plan().seats if s.part.id == "U2")

    assert set(u2.holes) == {(461.0, 89.0), (781.0, 89.0), (781.0, 289.0), (461.0, 289.0)}


@pytest.mark.parametrize(
    ("words_", "count", "hole"),
    [
        ("2 holes 6.5 mm, 110 mm apart", 2, 6.5),
        ("1 hole 9 mm", 1, 9.0),
        ("4 holes 5.5 mm, 70 x 70 mm apart", 4, 5.5),
    ],
)
def test_a_foot_is_read_as_the_record_words_it(words_: str, count: int, hole: float) -> None:
    rig, _ = bay(("at: bay, on-board: 190 485 mm", f'at: bay, on-board: 190 485 mm, fixing: "{words_}"'))
    fixing = fixing_of(rig.parts["Q1"])

    assert fixing is not None
    assert (len(fixing.at_mm), fixing.hole_mm) == (count, hole)


def test_a_foot_told_in_another_way_asks_for_the_makers_template() -> None:
    rig, graph = bay(
        ("at: bay, on-board: 190 485 mm", 'at: bay, on-board: 190 485 mm, fixing: "as the paper in the box"')
    )
    q1 = next(s for s in plans_of(rig, graph)[0].seats if s.part.id == "Q1")

    assert q1.holes == ()


def test_a_lug_points_to_the_other_end_or_to_the_nearest_edge() -> None:
    rig, graph = bay()
    seats = {s.part.id: s for s in plan().seats}
    sides = {i: {lug.run: lug.side for lug in lugs_of(rig, graph, plan(), s)} for i, s in seats.items()}

    assert sides["F1"] == {"W1": "up", "W2": "right"}  # W1 leaves the board; F1 stands under its upper edge
    assert sides["Q1"] == {"W2": "left", "W3": "right"}
    assert sides["F2"]["W7"] == "down"
    assert sides["U2"] == {"W7": "up", "W8": "up"}


def test_the_template_as_dxf_measures_the_board_and_its_holes_one_to_one() -> None:
    space = drawing_of(sheets()["D-01-1to1"]).modelspace()
    holes = {
        (round(c.dxf.center.x, 2), round(c.dxf.center.y, 2), round(2 * c.dxf.radius, 2))
        for c in space.query("CIRCLE")
    }
    xs = [x for x, _, _ in holes]
    outline = max(
        (
            {(round(x, 2), round(y, 2)) for x, y in p.get_points("xy")}
            for p in space.query("LWPOLYLINE")
            if isinstance(p, LWPolyline)
        ),
        key=lambda points: max(x for x, _ in points) - min(x for x, _ in points),
    )

    # the board: 850 x 600 mm
    assert max(x for x, _ in outline) - min(x for x, _ in outline) == pytest.approx(850.0, abs=0.01)
    assert max(y for _, y in outline) - min(y for _, y in outline) == pytest.approx(600.0, abs=0.01)
    # 2 holes of F1, 4 of Q1, 2 each of XP, XN and F2, 4 of U2; from F1's first to F2's last: 690 + 110 - 30 mm
    assert len(holes) == 16
    assert max(xs) - min(xs) == pytest.approx(770.0, abs=0.01)
    low, left = min(y for _, y in outline), min(x for x, _ in outline)
    assert {(round(x - left, 1), round(y - low, 1)) for x, y, d in holes if d == 8.5} == {
        (461.0, 89.0),
        (781.0, 89.0),
        (781.0, 289.0),
        (461.0, 289.0),
    }


def test_every_template_bears_a_bar_of_100_mm() -> None:
    for name, sheet in sheets().items():
        if "-tile-" in name or name.endswith("-1to1"):
            bars = [
                s
                for s in sheet.shapes()
                if isinstance(s, Line) and s.y1 == s.y2 and abs(s.x2 - s.x1 - BAR) < 1e-9
            ]
            assert bars, name
            assert any(w.startswith("100 mm: hold a ruler here") for w in words(sheet))


def test_the_tiles_hold_every_hole_of_the_board_where_it_is() -> None:
    whole = sheets()["D-01-1to1"]
    holes = {(round(c.cx - 20.0, 2), round(c.cy - 20.0, 2)) for c in whole.shapes() if isinstance(c, Circle)}
    wide, high = PAPER["a4"][0] - 30.0, PAPER["a4"][1] - 30.0 - FOOT
    found = set()
    for name, sheet in sheets().items():
        if "-tile-" not in name:
            continue
        assert (sheet.width, sheet.height) == PAPER["a4"]
        row, column = (int(n) for n in name.split("-")[-2:])
        x, y = (column - 1) * (wide - 10.0), (row - 1) * (high - 10.0)
        found |= {
            (round(c.cx - 15.0 + x, 2), round(c.cy - 15.0 + y, 2))
            for c in sheet.shapes()
            if isinstance(c, Circle)
        }

    assert found == holes


def test_every_template_says_whose_judgement_rules_over_it() -> None:
    for name, sheet in sheets().items():
        if "1to1" in name or "-tile-" in name:
            assert any("Local codes" in w for w in words(sheet)), name


def test_a_part_that_is_turned_is_drilled_turned() -> None:
    """By hand: 362 x 258 mm turned at 440 60 mm has its middle at 569 241 mm; 320 x 200 mm apart is 100 across and 160 up of it."""
    (turned,) = plans_of(*bay(("on-board: 440 60 mm", "on-board: 440 60 mm turned")))[:1]
    seat = next(s for s in turned.seats if s.part.id == "U2")
    assert (seat.width_mm, seat.height_mm) == (258.0, 362.0)
    assert set(seat.holes) == {(469.0, 81.0), (669.0, 81.0), (469.0, 401.0), (669.0, 401.0)}


def test_no_hole_is_drawn_that_nobody_wrote_down(draw: Draw) -> None:
    rig, graph, _ = draw("van")

    assert not any(
        isinstance(s, Circle) for sheet in further_sheets(rig, graph, "board") for s in sheet.shapes()
    )


def test_a_hole_whose_position_is_only_proposed_is_on_no_template() -> None:
    rig, graph = bay(("at: bay, on-board: 680 500 mm", "at: bay"))
    made = {s.name: s for s in further_sheets(rig, graph, "board")}
    whole = [s for s in made["D-01-1to1"].shapes() if isinstance(s, Circle)]

    assert len(whole) == 14  # without the two of F2
    assert "no position: no holes" in words(made["D-01-1to1"])
    assert any(isinstance(s, Circle) for s in made["D-01"].shapes())


def test_board_sheets_are_clean() -> None:
    assert lint_ink(tuple(sheets().values())) == []


@cache
def inch_mm() -> float:
    inch: float = pint.UnitRegistry().Quantity(1.0, "inch").to("mm").magnitude
    return inch


def read_feet(told: str) -> float:
    """Inches of `2'-3 5/8"`."""
    feet, _, inches = told.removesuffix('"').rpartition("'-")
    return 12.0 * float(feet or 0) + float(sum(Fraction(x) for x in inches.split()))


# The reference is pint's own definition of the inch.
@settings(deadline=None)
@given(st.floats(0.0, 20_000.0))
def test_feet_and_inches_are_the_length_to_the_nearest_sixteenth(mm: float) -> None:
    assert read_feet(feet_and_inches(mm)) * inch_mm() == pytest.approx(mm, abs=inch_mm() / 32 + 1e-9)


# The reference is pint's own definition of the inch.
def test_in_us_units_the_board_is_in_inches_and_a_template_keeps_millimetres_beside_them() -> None:
    inch = inch_mm()
    with lettered_in(lettering(us=True)):
        made = {s.name: s for s in further_sheets(*bay(), "board")}
    assert lint_ink(tuple(made.values())) == []
    whole, metric = words(made["D-01-1to1"]), words(sheets()["D-01-1to1"])
    told = [m for t in whole if (m := re.fullmatch(r"Ø([\d.]+) mm \(([\d.]+) in\)", t))]
    assert [f"Ø{m[1]}" for m in told] == [t for t in metric if t.startswith("Ø")]
    assert all(float(m[2]) * inch == pytest.approx(float(m[1]), abs=0.02) for m in told)
    assert any(t.startswith("100 mm (3.937 in)") for t in whole)
    p = plan()
    edges = [read_feet(t) * inch for t in words(made["D-01"]) if re.fullmatch(r"(\d+'-)?[\d /]+\"", t)]
    # Sixteenths of an inch: half of one is 0.8 mm.
    assert edges[-2:] == pytest.approx([p.width_mm, p.height_mm], abs=inch / 32 + 1e-9)
    # What is laid out with a tape stands in the same way: the corner of F2 is at 680 / 500 mm in the file.
    corner = next(m for t in words(made["D-01"]) if (m := re.match(r'F2: ([^;]*") / ([^;]*"); ', t)))
    assert [read_feet(x) * inch for x in corner.groups()] == pytest.approx([680, 500], abs=inch / 32 + 1e-9)
