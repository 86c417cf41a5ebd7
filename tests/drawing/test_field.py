"""The grid: rooms, ways and outlines hold what they promise."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.drawing import compiled
from ohmwright.drawing.field import Field, corners
from ohmwright.drawing.ink import weld
from ohmwright.drawing.shapes import GRID, Line

boxes = st.lists(
    st.tuples(st.integers(0, 18), st.integers(0, 14), st.integers(1, 6), st.integers(1, 5)), max_size=8
)


def field_with(taken: list[tuple[int, int, int, int]]) -> Field:
    field = Field(0.0, 0.0, 24, 18)
    for i, j, w, h in taken:
        field.block((i * GRID, j * GRID, (i + w) * GRID, (j + h) * GRID), 0.0)
    return field


@given(boxes, st.integers(1, 6), st.integers(1, 5), st.integers(0, 23), st.integers(0, 17))
def test_a_room_is_free_and_none_is_nearer(
    taken: list[tuple[int, int, int, int]], w: int, h: int, i: int, j: int
) -> None:
    field = field_with(taken)

    def free(a: int, b: int) -> bool:
        return (
            a + w < 24
            and b + h < 18
            and not any(
                field.blocked[field.index(x * GRID, y * GRID)]
                for y in range(b, b + h + 1)
                for x in range(a, a + w + 1)
            )
        )

    found = field.nearest_room(w * GRID, h * GRID, i * GRID, j * GRID)
    ci, cj = round(i - (w + 1) / 2), round(j - (h + 1) / 2)
    every = [abs(a - ci) + abs(b - cj) for b in range(18) for a in range(24) if free(a, b)]
    if found is None:
        assert every == []
    else:
        a, b = round(found[0] / GRID), round(found[1] / GRID)
        assert free(a, b)
        assert abs(a - ci) + abs(b - cj) == min(every)


@settings(max_examples=60)
@given(boxes, st.integers(0, 23), st.integers(0, 17), st.integers(0, 23), st.integers(0, 17))
def test_a_way_touches_no_box_and_lies_on_no_wire(
    taken: list[tuple[int, int, int, int]], i: int, j: int, k: int, m: int
) -> None:
    field = field_with(taken)
    field.wire(0.0, 8 * GRID, 23 * GRID, 8 * GRID)
    start, goal = field.index(i * GRID, j * GRID), field.index(k * GRID, m * GRID)
    path = field.route([(start, "LRUD")], {goal: "LRUD"}, 200)
    if path is None or start == goal:
        return
    assert path[0] == start
    assert path[-1] == goal
    for n in path[1:-1]:
        assert not field.blocked[n]
    points = [field.point(n) for n in path]
    for (x1, y1), (x2, y2) in pairwise(points):
        assert abs(x1 - x2) + abs(y1 - y2) == GRID
        along_wire = y1 == y2 == 8 * GRID
        assert not along_wire or {field.index(x1, y1), field.index(x2, y2)} & {start, goal}
    turned = corners(points)
    assert turned[0] == points[0]
    assert turned[-1] == points[-1]


def test_a_way_crosses_a_wire_only_straight_on() -> None:
    field = Field(0.0, 0.0, 20, 20)
    field.wire(0.0, 10 * GRID, 19 * GRID, 10 * GRID)
    path = field.route([(field.index(5 * GRID, 0.0), "D")], {field.index(12 * GRID, 19 * GRID): "D"}, 200)
    assert path is not None
    on = [p for p in (field.point(n) for n in path) if p[1] == 10 * GRID]
    assert len(on) == 1


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 20), st.integers(0, 20)), min_size=1, max_size=12)
)
def test_welding_covers_what_the_pieces_covered(pieces: list[tuple[int, int, int]]) -> None:
    lines = [Line(a, y, b, y, 0.5, "", "ink", "conductor", "") for y, a, b in pieces if a != b]
    if not lines:
        return
    welded = weld(lines)

    def covered(y: int, x: float, spans: list[tuple[float, float, float]]) -> bool:
        return any(at == y and a <= x <= b for at, a, b in spans)

    before = [(line.y1, min(line.x1, line.x2), max(line.x1, line.x2)) for line in lines]
    after = [(s.at, s.start, s.stop) for s in welded]
    for y in range(4):
        for x in range(41):
            assert covered(y, x / 2, before) == covered(y, x / 2, after)
    assert len({(s.at, s.start) for s in welded}) == len(welded)


@settings(max_examples=60, deadline=None)
@given(boxes, st.integers(1, 6), st.integers(1, 5), st.integers(0, 23), st.integers(0, 17))
def test_rooms_taken_one_after_the_other_are_those_of_a_field_on_which_they_are_blocked(
    taken: list[tuple[int, int, int, int]], w: int, h: int, i: int, j: int
) -> None:
    field = field_with(taken)
    rooms = field.rooms(w * GRID, h * GRID)
    for _ in range(4):
        found = rooms.nearest(i * GRID, j * GRID)
        assert found == field.nearest_room(w * GRID, h * GRID, i * GRID, j * GRID)
        if found is None:
            return
        box = found[0] + GRID, found[1], found[0] + w * GRID, found[1] + h * GRID
        rooms.take(box)
        field.block(box, 0.0)


@given(boxes)
def test_boxes_blocked_at_once_take_the_same_points(taken: list[tuple[int, int, int, int]]) -> None:
    at_once = Field(0.0, 0.0, 24, 18)
    at_once.block_all([(i * GRID, j * GRID, (i + w) * GRID, (j + h) * GRID) for i, j, w, h in taken], 0.7)
    one_by_one = Field(0.0, 0.0, 24, 18)
    for i, j, w, h in taken:
        one_by_one.block((i * GRID, j * GRID, (i + w) * GRID, (j + h) * GRID), 0.7)
    assert at_once.blocked == one_by_one.blocked


wires = st.lists(
    st.tuples(st.booleans(), st.integers(0, 20), st.integers(0, 14), st.integers(1, 9), st.booleans()),
    max_size=8,
)


@settings(max_examples=150, deadline=None)
@given(boxes, wires, st.data())
def test_the_search_to_be_compiled_finds_the_way_that_plain_python_finds(
    taken: list[tuple[int, int, int, int]],
    laid: list[tuple[bool, int, int, int, bool]],
    data: st.DataObject,
) -> None:
    field = field_with(taken)
    for level, i, j, long, bar in laid:
        to = (min(i + long, 23), j) if level else (i, min(j + long, 17))
        field.wire(i * GRID, j * GRID, to[0] * GRID, to[1] * GRID, bar=bar and level)
    places = st.integers(0, 23).flatmap(lambda i: st.integers(0, 17).map(lambda j: j * field.stride + i))
    letters = st.sampled_from(["L", "R", "UD", "LRUD", "DLR"])
    starts = data.draw(st.lists(st.tuples(places, letters), min_size=1, max_size=3))
    goals = data.draw(st.dictionaries(places, letters, min_size=1, max_size=5))
    limit = data.draw(st.integers(5, 200))
    plain = field.route(starts, goals, limit)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiled, "search", lambda: compiled.swept)
        assert field.route(starts, goals, limit) == plain
