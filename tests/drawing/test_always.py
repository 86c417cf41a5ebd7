"""What stays live is found from the graph: everything that a bank reaches with every hand switch open."""

from collections.abc import Callable

import pytest

from ohmwright.drawing.always import always_live
from ohmwright.drawing.shapes import Sheet, Text
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Draw = Callable[[str], tuple[Rig, Graph, tuple[Sheet, ...]]]

#: Read off the demo files by hand: the trailer's alarm taps the main fuse, the boat's management sits before its own
#: contactor, the cabin's battery switch cuts all, the van as found has no switch at all.
BY_HAND = {
    "trailer": {"detectors"},
    "boat": {"BM"},
    "cabin": set(),
    "van": {"U2", "fridge", "lights", "pump", "blower", "vehicle"},
}


@pytest.mark.parametrize("name", BY_HAND)
def test_what_is_always_live_is_what_a_reader_finds(draw: Draw, name: str) -> None:
    rig, graph, _ = draw(name)
    assert set(always_live(rig, graph)) == BY_HAND[name]


def test_an_always_live_load_says_so_on_the_circuit_sheet(draw: Draw) -> None:
    sheets = draw("trailer")[2]
    told = [
        s.text
        for sheet in sheets
        for g in sheet.groups
        if g.ref == "detectors"
        for s in g.shapes
        if isinstance(s, Text)
    ]
    assert "always live" in told
