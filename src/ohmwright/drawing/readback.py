"""Reading the net back from the finished ink, and holding it against the file: both ways, terminal by terminal.

Only what is printed counts: lines of conductors, the half circles of hops, dots, arrows of lines that are broken off,
and the points of symbols.  A line that ends in the middle of another is joined to it only where there is a dot.
"""

import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from ohmwright.drawing.shapes import Arc, Circle, Line, Pin, Sheet
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

TOLERANCE = 0.03


class Groups:
    """Things joined to each other."""

    def __init__(self) -> None:
        self._parent: dict[Hashable, Hashable] = {}

    def find(self, a: Hashable) -> Hashable:
        """The one that stands for the group of `a`."""
        self._parent.setdefault(a, a)
        while self._parent[a] != a:
            self._parent[a] = self._parent[self._parent[a]]
            a = self._parent[a]
        return a

    def join(self, a: Hashable, b: Hashable) -> None:
        """Put two together."""
        self._parent[self.find(a)] = self.find(b)

    def classes(self) -> dict[Hashable, list[Hashable]]:
        """All groups."""
        out: dict[Hashable, list[Hashable]] = defaultdict(list)
        for a in list(self._parent):
            out[self.find(a)].append(a)
        return out


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line or hop of conductor ink on a sheet."""

    sheet: int
    number: int
    ends: tuple[tuple[float, float], tuple[float, float]]
    arc: bool = False

    def holds(self, x: float, y: float) -> bool:
        """True when the point lies on it."""
        (x1, y1), (x2, y2) = self.ends
        if self.arc:
            return self.ends_at(x, y)
        return (
            min(x1, x2) - TOLERANCE <= x <= max(x1, x2) + TOLERANCE
            and min(y1, y2) - TOLERANCE <= y <= max(y1, y2) + TOLERANCE
        )

    def ends_at(self, x: float, y: float) -> bool:
        """True when it ends at the point."""
        return any(abs(a - x) <= TOLERANCE and abs(b - y) <= TOLERANCE for a, b in self.ends)

    @property
    def upright(self) -> bool:
        """True for a line from top to bottom."""
        return abs(self.ends[0][0] - self.ends[1][0]) <= TOLERANCE


def strokes_of(sheets: Iterable[Sheet]) -> list[Stroke]:
    """All conductor ink."""
    out: list[Stroke] = []
    for n, sheet in enumerate(sheets):
        for s in sheet.shapes():
            if isinstance(s, Line) and s.layer == "conductor":
                out.append(Stroke(n, len(out), ((s.x1, s.y1), (s.x2, s.y2))))
            elif isinstance(s, Arc) and s.layer == "hop":
                out.append(Stroke(n, len(out), _arc_ends(s), True))
    return out


def _arc_ends(arc: Arc) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a half circle begins and ends."""
    a, b = math.radians(arc.start_deg), math.radians(arc.end_deg)
    return (
        (arc.cx + arc.r * math.cos(a), arc.cy + arc.r * math.sin(a)),
        (arc.cx + arc.r * math.cos(b), arc.cy + arc.r * math.sin(b)),
    )


def joined_strokes(sheets: tuple[Sheet, ...], strokes: list[Stroke]) -> Groups:
    """Which strokes are one net by ink alone."""
    dots = {
        (n, round(s.cx, 2), round(s.cy, 2))
        for n, sheet in enumerate(sheets)
        for s in sheet.shapes()
        if isinstance(s, Circle) and s.layer == "dot"
    }
    groups = Groups()
    ends: dict[tuple[int, float, float], list[Stroke]] = defaultdict(list)
    for s in strokes:
        groups.find(s.number)
        for x, y in s.ends:
            ends[(s.sheet, round(x, 2), round(y, 2))].append(s)
    for met in ends.values():
        for a, b in itertools.pairwise(met):
            groups.join(a.number, b.number)
    by_sheet: dict[int, list[Stroke]] = defaultdict(list)
    for s in strokes:
        by_sheet[s.sheet].append(s)
    for n, x, y in dots:
        here = [s for s in by_sheet[n] if s.holds(x, y)]
        for a, b in itertools.pairwise(here):
            groups.join(a.number, b.number)
    return groups


def read_back(sheets: tuple[Sheet, ...]) -> list[frozenset[str]]:
    """The terminals that the ink joins, as sets."""
    strokes = strokes_of(sheets)
    nets = joined_strokes(sheets, strokes)
    pins = [(n, s) for n, sheet in enumerate(sheets) for s in sheet.shapes() if isinstance(s, Pin)]
    at: dict[tuple[int, int], list[Stroke]] = {}
    joins: dict[str, list[int]] = defaultdict(list)
    bare_joins: dict[str, list[Pin]] = defaultdict(list)
    for k, (n, pin) in enumerate(pins):
        at[(n, k)] = [s for s in strokes if s.sheet == n and s.holds(pin.x, pin.y)]
        for one, two in itertools.pairwise(at[(n, k)]):
            if pin.nodes:
                nets.join(one.number, two.number)
        if pin.join:
            if at[(n, k)]:
                joins[pin.join].append(at[(n, k)][0].number)
            else:
                bare_joins[pin.join].append(pin)
    for numbers in joins.values():
        for first, second in itertools.pairwise(numbers):
            nets.join(first, second)
    terminals = Groups()
    spots: dict[tuple[int, float, float, str], list[str]] = defaultdict(list)
    for k, (n, pin) in enumerate(pins):
        for core, terminal in pin.nodes:
            terminals.find(terminal)
            spots[(n, round(pin.x, 2), round(pin.y, 2), core)].append(terminal)
            if at[(n, k)]:
                terminals.join(terminal, ("net", nets.find(at[(n, k)][0].number), core))
    for same in spots.values():
        for here, there in itertools.pairwise(same):
            terminals.join(here, there)
    for key, bare in bare_joins.items():
        for pin in bare:
            mates = spots_of(pin, sheets)
            for core, terminal in mates:
                for number in joins.get(key, []):
                    terminals.join(terminal, ("net", nets.find(number), core))
                for other in bare:
                    for core2, terminal2 in spots_of(other, sheets):
                        if core == core2:
                            terminals.join(terminal, terminal2)
    return [frozenset(t for t in group if isinstance(t, str)) for group in terminals.classes().values()]


def spots_of(pin: Pin, sheets: tuple[Sheet, ...]) -> list[tuple[str, str]]:
    """The terminals of the symbol point that a mark without ink stands at."""
    if pin.nodes:
        return list(pin.nodes)
    return [
        node
        for sheet in sheets
        for s in sheet.shapes()
        if isinstance(s, Pin) and s.nodes and abs(s.x - pin.x) < TOLERANCE and abs(s.y - pin.y) < TOLERANCE
        for node in s.nodes
    ]


def file_net(rig: Rig, graph: Graph) -> list[frozenset[str]]:
    """The terminals that the file's runs join, with what touches without a cable: posts and take-offs."""
    groups = Groups()
    for run in rig.runs.values():
        for core in run.cores:
            groups.join(core.a, core.b)
    for e in graph.elements.values():
        if e.role in ("post", "takeoff"):
            groups.join(e.a, e.b)
    return [frozenset(str(t) for t in g) for g in groups.classes().values()]


def differences(rig: Rig, graph: Graph, sheets: tuple[Sheet, ...]) -> list[str]:
    """Where ink and file disagree, as sentences; nothing when they are the same."""
    wired = {t for run in rig.runs.values() for c in run.cores for t in (c.a, c.b)}
    ink = {s for g in read_back(sheets) if (s := g & wired)}
    file = {s for g in file_net(rig, graph) if (s := g & wired)}
    ink_of = {t: s for s in ink for t in s}
    file_of = {t: s for s in file for t in s}
    out = []
    for t in sorted(wired):
        drawn, meant = ink_of.get(t, frozenset()), file_of[t]
        lost = [o for o in sorted(meant - drawn - {t}) if t < o or t not in drawn]
        made = [o for o in sorted(drawn - meant) if t < o]
        out += [f"the file joins {t} and {o}, the ink does not" for o in lost]
        out += [f"the ink joins {t} and {o}, the file does not" for o in made]
    return out


def conductors_inked(sheets: tuple[Sheet, ...]) -> dict[str, int]:
    """How often each conductor runs from end to end: pieces that touch are one, two halves with one mark are one."""
    out: dict[str, int] = {}
    pieces: dict[str, list[tuple[int, Line]]] = defaultdict(list)
    joins: Counter[str] = Counter()
    for n, sheet in enumerate(sheets):
        for s in sheet.shapes():
            if isinstance(s, Line) and s.layer == "conductor" and s.key:
                pieces[s.key].append((n, s))
            elif isinstance(s, Pin) and s.join:
                joins[s.join.removesuffix(" cut")] += 1
    for key, lines in pieces.items():
        rows = {(n, round(min(s.y1, s.y2), 2), s.x1 == s.x2) for n, s in lines}
        level = len([r for r in rows if not r[2]])
        loops = len([r for r in rows if r[2]])
        out[key] = level - loops - (1 if joins[key] == 2 else 0)
    return out
