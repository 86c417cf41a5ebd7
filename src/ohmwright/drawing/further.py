"""The further sheets of a rig by their names, in the order of the binder."""

from collections.abc import Callable, Iterator

from ohmwright.drawing.ac_states import AcTable, ac_state_sheets
from ohmwright.drawing.board import Board, board_sheets
from ohmwright.drawing.bonding import Bonding, bonding_sheets
from ohmwright.drawing.frame import Title
from ohmwright.drawing.places import Places, place_sheets
from ohmwright.drawing.roof_plan import RoofPlan, roof_sheets
from ohmwright.drawing.routes_plan import Routes, route_sheets
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.three_line import ThreeLine, three_line_sheets
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Make = Callable[[Rig, Graph, Title | None], tuple[Sheet, ...]]

_MAKE: dict[str, Make] = {
    "three-line": lambda rig, graph, title: three_line_sheets(ThreeLine(rig, graph, title)),
    "ac-states": lambda rig, graph, title: ac_state_sheets(AcTable(rig, graph, title)),
    "places": lambda rig, _graph, title: place_sheets(Places(rig, title)),
    "roof-plan": lambda rig, _graph, title: roof_sheets(RoofPlan(rig, title)),
    "routes": lambda rig, _graph, title: route_sheets(Routes(rig, title)),
    "bonding": lambda rig, graph, title: bonding_sheets(Bonding(rig, graph, title)),
    "earthing": lambda rig, graph, title: bonding_sheets(Bonding(rig, graph, title)),
    "board": lambda rig, graph, title: board_sheets(Board(rig, graph, title)),
}


def names_for(rig: Rig) -> tuple[str, ...]:
    """The names of the further sheets: a boat is bonded, everything else is earthed."""
    other = "earthing" if rig.host.kind == "boat" else "bonding"
    return tuple(n for n in _MAKE if n != other)


def further_sheets(rig: Rig, graph: Graph, name: str, title: Title | None = None) -> tuple[Sheet, ...]:
    """The sheets of one name; none where the rig has nothing to show."""
    return _MAKE[name](rig, graph, title)


def all_further(
    rig: Rig, graph: Graph, title: Title | None = None
) -> Iterator[tuple[str, tuple[Sheet, ...]]]:
    """Every name that has something to show, with its sheets."""
    for name in names_for(rig):
        sheets = further_sheets(rig, graph, name, title)
        if sheets:
            yield name, sheets
