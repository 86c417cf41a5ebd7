"""Where parts stand in their place: words of the file, boxes, one position for bay, board and template."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.rig.bay_fit import fits_in, worsened
from ohmwright.rig.edit import set_value
from ohmwright.rig.model import Rig
from ohmwright.rig.placing import stand, told_of
from ohmwright.rig.read import read_rig
from ohmwright.rig.standing import (
    Standing,
    box_at,
    boxes_in,
    free_of,
    read_standing,
    standing_in,
    standing_on_board,
    standing_text,
)
from ohmwright.rig.ungroup import ungroup
from ohmwright.shelf.load import Shelf
from ohmwright.working import FileError, OhmwrightError, QuantityError

SHELF = Shelf()
BAY = """ohmwright: 1
job: {id: bay, rules: eu-vehicle 2023}
host:
  kind: van
  places:
    bay: {regime: cabin, size: 0.9 x 0.5 x 0.6 m}
metal: {body: {}}
parts:
  U1: {is: pv-controller-30a-100v, at: bay} # by the door
  F1: {is: fuse-class-t-100a, at: bay, size: 160 x 60 x 50 mm}
  B:
    is: battery-lfp-100ah-12v
    count: 2
    at: bay
    each: {F: fuse-terminal-post-150a}
    join: {as: chain, link: 4/0 AWG, link-length: 0.3 m, takeoff: diagonal}
"""


def rig_of(text: str) -> Rig:
    return read_rig(text, "bay.yaml", SHELF)


def told(more: str, *, part: str = "F1") -> str:
    line = {"F1": "size: 160 x 60 x 50 mm}", "U1": "at: bay} # by", "B": "takeoff: diagonal}"}[part]
    put = f"{line[:-1]}, {more}}}" if part == "F1" else f"at: bay, {more}}} # by" if part == "U1" else f"{line}\n    {more}"  # fmt: skip
    assert BAY.count(line) == 1
    return BAY.replace(line, put)


lengths = st.integers(0, 5000).map(lambda v: v / 1000)


@given(lengths, lengths, lengths, st.sampled_from(["back", "floor", "left", "right"]), st.booleans(), st.booleans())  # fmt: skip
def test_what_is_written_reads_back(x: float, y: float, out: float, wall: str, turned: bool, sideways: bool) -> None:  # fmt: skip
    s = Standing(x, y, out, wall, turned, sideways and wall in ("back", "floor"))  # type: ignore[arg-type]
    assert read_standing(standing_text(s)) == s


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("0.1 m", "is not 2 lengths"),
        ("0.1 0.2", "is not 2 lengths"),
        ("0.1 0.2 A", "no length unit"),
        ("0.1 0.2 -0.1 m", "behind the back wall"),
        ("0.1 0.2 m floor left", "two ways at once"),
        ("0.1 0.2 m turned turned", "two ways at once"),
        ("0.1 0.2 m left sideways", "sideways already"),
        ("0.1 0.2 m upside", "is not"),
    ],
)
def test_a_position_that_says_nothing_is_refused_with_what_to_write(words: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says) as refused:
        read_standing(words)
    assert refused.value.remedy
    with pytest.raises(FileError, match=says):
        rig_of(told(f"stands: {words}"))


def test_a_box_is_as_the_part_is_turned() -> None:
    """160 x 60 x 50 mm: upright it is 60 wide and 160 high, sideways 50 wide and 160 deep."""
    part = rig_of(BAY).parts["F1"]
    sides = {"": (0.16, 0.06, 0.05), " turned": (0.06, 0.16, 0.05), " sideways": (0.05, 0.06, 0.16), " left": (0.05, 0.06, 0.16)}  # fmt: skip
    for words, wanted in sides.items():
        box = box_at(part, read_standing(f"0.1 0.2 0.03 m{words}"))
        assert box is not None
        assert tuple(box.size(k) for k in (0, 1, 2)) == pytest.approx(wanted)
        assert box.low == (0.1, 0.2, 0.03)


def test_distances_of_boxes_are_those_of_the_rule_of_pythagoras() -> None:
    part = rig_of(BAY).parts["F1"]
    a, b = (box_at(part, read_standing(w)) for w in ("0 0 m", "0.19 0.1 m"))
    assert a is not None
    assert b is not None
    assert a.apart_m(b) == pytest.approx(math.hypot(0.03, 0.04))  # 190 - 160 across, 100 - 60 up
    assert a.farthest_m(b) == pytest.approx(math.hypot(0.35, 0.16, 0.05))
    assert a.overlap_m(b) < 0.0


def test_free_space_goes_with_the_wall() -> None:
    """100 mm above and below stay above and below; around is not asked of the wall that it hangs on."""
    rig = rig_of(told("clearance: 50 mm around"))
    assert free_of(rig.parts["F1"], read_standing("0 0 m")).sides == (0.05, 0.05, 0.05, 0.05, 0.0, 0.0)
    assert free_of(rig.parts["F1"], read_standing("0 0 m left")).sides == (0.0, 0.0, 0.05, 0.05, 0.05, 0.05)
    assert free_of(rig.parts["U1"], read_standing("0 0 m turned")).sides == (0.0, 0.0, 0.1, 0.1, 0.0, 0.0)
    front = rig_of(told("clearance: 80 mm in front")).parts["F1"]
    assert free_of(front, read_standing("0 0 m")).front == 0.08
    assert free_of(front, read_standing("0 0 m left")).right == 0.08
    assert free_of(front, read_standing("0.85 0 m right")).left == 0.08


def test_members_of_a_group_stand_one_by_one() -> None:
    rig = rig_of(told("stands: {1: 0 0 m floor, 2: 0.4 0 m floor, 1.F: unknown (asked 2026-05-01)}", part="B"))  # fmt: skip
    assert rig.parts["B.2"].standing == Standing(0.4, 0.0, 0.0, "floor")
    assert rig.parts["B"].standing is None
    assert rig.parts["B.1.F"].standing is None
    assert set(boxes_in(rig.parts, rig.host.places["bay"])) == {"B.1", "B.2"}
    with pytest.raises(FileError, match="2 members and one position"):
        rig_of(told("stands: 0 0 m floor", part="B"))
    with pytest.raises(FileError, match="no member 3"):
        rig_of(told("stands: {3: 0 0 m}", part="B"))


def test_one_position_is_that_of_the_bay_and_of_its_board() -> None:
    board = "board: 0.5 x 0.4 m, board-at: 0.2 0.1 m}"
    on_board = rig_of(told("on-board: 50 30 mm").replace("0.6 m}", f"0.6 m, {board}"))
    in_bay = rig_of(told("stands: 250 130 mm").replace("0.6 m}", f"0.6 m, {board}"))
    for rig in (on_board, in_bay):
        part, place = rig.parts["F1"], rig.host.places["bay"]
        inside, there = standing_in(part, place), standing_on_board(part, place)
        assert inside is not None
        assert there is not None
        assert (inside.x_m, inside.y_m) == pytest.approx((0.25, 0.13))
        assert (there.x_m, there.y_m) == pytest.approx((0.05, 0.03))
    lost = rig_of(told("on-board: 50 30 mm").replace("0.6 m}", "0.6 m, board: 0.5 x 0.4 m}"))
    assert standing_in(lost.parts["F1"], lost.host.places["bay"]) is None, "nobody told where the board sits"
    beside = rig_of(told("stands: 0.75 0.13 m").replace("0.6 m}", f"0.6 m, {board}"))
    assert standing_on_board(beside.parts["F1"], beside.host.places["bay"]) is None
    with pytest.raises(FileError, match="stands in its place and on the board"):
        rig_of(told("on-board: 50 30 mm, stands: 0 0 m"))


def test_standing_a_part_changes_its_line_alone_and_is_taken_back() -> None:
    for name, words in (("F1", "0.1 0.2 m turned"), ("U1", "0 0.3 0.1 m left"), ("B.2", "0.4 0 m floor")):
        moved = stand(BAY, "bay.yaml", rig_of(BAY), name, words)
        rig = rig_of(moved)
        assert told_of(rig.parts[name], rig) == words
        again = stand(moved, "bay.yaml", rig, name, "0.2 0.2 m")
        assert sum(a != b for a, b in zip(moved.splitlines(), again.splitlines(), strict=True)) == 1
        assert "# by the door" in again
        assert rig_of(stand(again, "bay.yaml", rig_of(again), name, "")) == rig_of(BAY)
    both = stand(moved, "bay.yaml", rig, "B.1", "0 0 m floor")
    assert both.count("stands:") == 1
    one = stand(both, "bay.yaml", rig_of(both), "B.2", "")
    assert rig_of(one).parts["B.1"].standing == Standing(0.0, 0.0, 0.0, "floor")
    with pytest.raises(OhmwrightError, match="no part"):
        stand(BAY, "bay.yaml", rig_of(BAY), "B", "0 0 m")


def test_what_lies_on_the_board_is_told_of_the_board_and_what_does_not_of_the_bay() -> None:
    text = BAY.replace("0.6 m}", "0.6 m, board: 0.5 x 0.4 m, board-at: 0.2 0.1 m}")
    on = stand(text, "bay.yaml", rig_of(text), "F1", "0.25 0.13 m")
    assert "on-board: 0.05 0.03 m" in on
    off = stand(on, "bay.yaml", rig_of(on), "F1", "0.75 0.13 m")
    assert "on-board" not in off
    assert "stands: 0.75 0.13 m" in off


def test_a_position_is_set_by_its_address() -> None:
    text = set_value(BAY, "bay.yaml", "F1.stands", "0.1 0.2 m", SHELF)
    text = set_value(text, "bay.yaml", "B.2.stands", "0.4 0 m floor", SHELF)
    text = set_value(text, "bay.yaml", "B.1.F.stands", "0.1 0.25 m", SHELF)
    rig = rig_of(text)
    assert {n for n, p in rig.parts.items() if p.standing is not None} == {"F1", "B.2", "B.1.F"}
    with pytest.raises(FileError, match="no length unit"):
        set_value(BAY, "bay.yaml", "F1.stands", "0.1 0.2 kg", SHELF)


def test_a_group_that_is_written_out_stands_as_before() -> None:
    text = told("stands: {1: 0 0 m floor, 2: 0.4 0 m floor turned}", part="B")
    out = rig_of(ungroup(text, "bay.yaml", "B", SHELF))
    assert out.parts["B.2"].standing == rig_of(text).parts["B.2"].standing
    assert out.parts["B.2"].standing == Standing(0.4, 0.0, 0.0, "floor", True)


def test_what_reaches_out_or_into_another_is_told_and_a_move_that_makes_it_worse_is_known() -> None:
    rig = rig_of(told("stands: 0.8 0.2 m").replace("at: bay} # by", "at: bay, stands: 0.7 0.15 m} # by"))
    fits = {f.part: f for f in fits_in(rig, rig.host.places["bay"])}
    assert fits["F1"].over_m == pytest.approx(0.06)  # 0.8 + 0.16 of 0.9
    assert fits["F1"].overlaps == ("U1",)
    assert fits["U1"].over_m == 0.0
    assert worsened(rig_of(BAY), rig, ["F1"]) == ("F1 reaches 60 mm out of bay and stands in U1",)
    assert worsened(rig, rig, ["F1"]) == ()
