"""A rig of many systems: every sheet is clean, the net is the file's, and an edit leaves the lines where they are."""

import importlib.util
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest

from ohmwright.drawing.lint import lint
from ohmwright.drawing.one_line import Circuit, draw_circuit
from ohmwright.drawing.readback import differences

SCRIPT = Path(__file__).parents[2] / "timings" / "drawing.py"


@pytest.fixture(scope="module")
def timings() -> ModuleType:
    """The script that measures the drawing: it builds the rig."""
    spec = importlib.util.spec_from_file_location("timings_drawing", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("systems", [4, pytest.param(15, marks=pytest.mark.slow)])
def test_many_systems_are_drawn_clean_and_again(timings: ModuleType, systems: int) -> None:
    circuit: Circuit = timings.large(systems)
    first = draw_circuit(circuit)
    after: Circuit = timings.large(systems, "25 W")
    again = draw_circuit(after, first.kept)

    for made, one in ((circuit, first), (after, again)):
        assert lint(one.sheets, made.rig) == []
        assert differences(made.rig, made.graph, one.sheets) == []
    assert again.again


def test_the_search_finds_ways_as_cheap_as_a_plain_one(timings: ModuleType) -> None:
    # Dijkstra's search over the same prices, with the heap of the standard library.
    field, ends = timings.crowded()
    terrain = field.terrain()
    step = {1: 0, terrain.stride: 1, -1: 2, -terrain.stride: 3}
    for a, b in ends[:5]:
        way = timings.cheapest(terrain, [(a, "LRUD")], {b: "LRUD"}, 190)
        cost = timings.plain(terrain, [(a, "LRUD")], {b: "LRUD"}, 190)
        assert (way is None) == (cost is None)
        if way is None:
            continue
        turns = [step[q - p] for p, q in pairwise(way)]
        prices = [
            (terrain.level if d in (0, 2) else terrain.upright)[n]
            for d, n in zip(turns[:-1], way[1:-1], strict=True)
        ]
        bends = sum(p != q for p, q in pairwise(turns))
        assert sum(prices) + 1 + timings.TURN * bends == cost
