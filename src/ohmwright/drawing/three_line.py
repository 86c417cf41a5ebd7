"""The three-line sheet: every pole and conductor of its own, with the names that stand on the devices.

The law is the circuit sheet's: ink for a conductor only where the file has it.  `readback.differences` is run over
the finished ink, and `conductors_inked` counts every conductor of the graph once.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.drawing.frame import Title, plan_sizes, room, sizes_for
from ohmwright.drawing.page import STEP, Binding, Page, bound, holds
from ohmwright.drawing.readback import differences
from ohmwright.drawing.refused import refused
from ohmwright.drawing.row_ink import RAIL_PITCH, RowInk
from ohmwright.drawing.row_words import PITCH, HubWords, hub_words, torques
from ohmwright.drawing.rows import AIR, Block, Layout
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.spread import Spread
from ohmwright.drawing.strands import Net, net_of
from ohmwright.drawing.view import view_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.landing import loose_ends
from ohmwright.rig.model import Rig

CAUTIONS = (
    "A drawing does not make a circuit dead. Isolate, lock and prove dead before touching anything.",
    "Names of terminals are the kind's: hold them against the device before a wire is landed.",
    "Where no torque is printed, look at the maker's page; a guess loosens or breaks the stud.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)


@dataclass(frozen=True, slots=True)
class ThreeLine:
    """What the three-line sheets are made from."""

    rig: Rig
    graph: Graph
    title: Title | None = None


def three_line_sheets(made_from: ThreeLine) -> tuple[Sheet, ...]:
    """All conductors on as many sheets as hold them."""
    rig, graph = made_from.rig, made_from.graph
    view = view_of(rig, graph)
    net = net_of(view)
    loose = [t for t in loose_ends(graph) if net.owner(t) in net.hubs]
    open_of: dict[str, list[str]] = defaultdict(list)
    for t in loose:
        open_of[net.owner(t)].append(t)
    words = {h: hub_words(view, h) for h in net.hubs}
    layout = Layout(net, {h: w.rows for h, w in words.items()}, open_of)
    size, spreads = _spread(layout, words)
    sets = _sets(net, size, spreads)
    sizes = [_smallest(net, size, s) for s in sets]
    pages = _pages(net, sizes, sets, words)
    while tight := [i for i, p in enumerate(pages) if sizes[i] != size and not holds(p, CAUTIONS)]:
        for i in tight:
            sizes[i] = _larger(net, sizes[i])
        pages = _pages(net, sizes, sets, words)
    told = {r.id: f"{r.id}, {r.start} to {r.stop}, {r.cable.text}" for r in rig.runs.values()}
    told |= {p.id: f"{p.id}, {p.record.title}" for p in rig.parts.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id),
        "Three-line sheet",
        "every pole drawn",
        "T",
        f"{len(graph.conductors)} conductors of {len(rig.runs)} runs, each pole drawn, terminals as named on the device.",
        CAUTIONS,
        told,
    )
    sheets = bound(pages, binding)
    found = differences(rig, graph, sheets)
    return refused(sheets, found) if found else sheets


_READING = (
    "Bars and metal stand upright at the left; a line leaps where it passes one that it does not join.",
    "On a line: conductor, size, colour (IEC 60757, from memory), length one way; the other cores of a cable bear their id alone.",
    "An arrow goes on at the named terminal, sheet and zone.",
    "Solid: a working conductor; long-dash-dot: earth or bond; short dashes: sense or data.",
    "Two chevrons are a plug; a dashed line joins poles that move together.",
)


def _spread(layout: Layout, words: Mapping[str, HubWords]) -> tuple[str, list[Spread]]:
    """The smallest sheet that holds everything, else several A2 sheets."""
    sizes = sizes_for(layout.net.view.rig.job)
    made: tuple[str, list[Spread]] = (sizes[1], [])
    rails = len(layout.net.rails)
    for size in sizes[:2]:
        left, top, right, bottom = room(size).drawing
        head = rails * STEP + 2.0
        most = int((bottom - top - head) // PITCH)
        width = right - left - rails * RAIL_PITCH - 4.0

        def too_deep(block: Block, width: float = width) -> int | None:
            return Spread.of(layout.net, block, words).deeper_than(width)

        spreads = [Spread.of(layout.net, b, words) for b in layout.blocks(most, too_deep)]
        made = (size, spreads)
        if sum(s.block.rows + AIR for s in spreads) <= most + AIR and all(s.width <= width for s in spreads):
            break
    return made


def _sets(net: Net, size: str, spreads: list[Spread]) -> list[list[Spread]]:
    """What stands together on a sheet."""
    _, top, _, bottom = room(size).drawing
    most = int((bottom - top - len(net.rails) * STEP - 2.0) // PITCH)
    sets: list[list[Spread]] = []
    used: list[int] = []
    for spread in spreads:
        need = spread.block.rows + AIR
        at = next((i for i, u in enumerate(used) if u + need <= most + AIR), None)
        if at is None:
            sets.append([])
            used.append(0)
            at = len(sets) - 1
        sets[at].append(spread)
        used[at] += need
    return sets


def _need(net: Net, set_: list[Spread]) -> tuple[float, float]:
    """Width and height of a set with its rails."""
    rails = len(net.rails)
    rows = sum(s.block.rows + AIR for s in set_)
    return (
        max(s.width for s in set_) + rails * RAIL_PITCH + 4.0,
        rows * PITCH + rails * STEP + 2.0,
    )


def _smallest(net: Net, size: str, set_: list[Spread]) -> str:
    """The smallest sheet up to `size` that holds a set."""
    width, height = _need(net, set_)
    for s in plan_sizes(net.view.rig.job):
        left, top, right, bottom = room(s).drawing
        if s == size or (width <= right - left and height <= bottom - top):
            return s
    return size


def _larger(net: Net, size: str) -> str:
    sizes = plan_sizes(net.view.rig.job)
    return sizes[min(sizes.index(size) + 1, len(sizes) - 1)]


def _pages(net: Net, sizes: list[str], sets: list[list[Spread]], words: Mapping[str, HubWords]) -> list[Page]:
    """Every set on its sheet, as large as it stands there, with its notes."""
    view = net.view
    inks = [RowInk(net, Page(size), set_, words) for size, set_ in zip(sizes, sets, strict=True)]
    left, top, _, _ = room(sizes[0]).drawing if sizes else (0.0, 0.0, 0.0, 0.0)
    for ink in inks:
        ink.page.enlarge(*_need(net, ink.spreads))
    tapped = {x for s in net.strands for x in (s.start, s.stop)}
    if inks:
        inks[-1].idle = tuple(r for r in net.rails if r not in tapped)
    for ink in inks:
        ink.lay(left, top)
    zones = {k: z for i, ink in enumerate(inks) for k, z in ink.zones(f"T-{i + 1:02d}").items()}
    for ink in inks:
        ink.draw(zones)
        ink.page.note("TORQUE, maker's value", torques(view.rig, ink.page.canvas))
        ink.page.note("READING", _READING)
    if inks and view.always:
        inks[0].page.note("ALWAYS LIVE, every hand switch open", [", ".join(sorted(view.always))])
    return [ink.page for ink in inks]
