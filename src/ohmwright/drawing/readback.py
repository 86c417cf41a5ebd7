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


#: Side of the cells in which strokes are looked up, in millimetres.
CELL = 20.0


class Ink:
    """The conductor ink of all sheets, to be asked what lies at a point."""

    def __init__(self, sheets: tuple[Sheet, ...]) -> None:
        self.strokes = strokes_of(sheets)
        self._cells: dict[tuple[int, int, int], list[Stroke]] = defaultdict(list)
        for s in self.strokes:
            (x1, y1), (x2, y2) = s.ends
            for i in range(_cell(min(x1, x2) - TOLERANCE), _cell(max(x1, x2) + TOLERANCE) + 1):
                for j in range(_cell(min(y1, y2) - TOLERANCE), _cell(max(y1, y2) + TOLERANCE) + 1):
                    self._cells[(s.sheet, i, j)].append(s)

    def at(self, sheet: int, x: float, y: float) -> list[Stroke]:
        """The strokes on which a point lies, in the order of the sheet."""
        return [s for s in self._cells.get((sheet, _cell(x), _cell(y)), ()) if s.holds(x, y)]


def _cell(v: float) -> int:
    return int(v // CELL)


def joined_strokes(sheets: tuple[Sheet, ...], ink: Ink) -> Groups:
    """Which strokes are one net by ink alone."""
    dots = {
        (n, round(s.cx, 2), round(s.cy, 2))
        for n, sheet in enumerate(sheets)
        for s in sheet.shapes()
        if isinstance(s, Circle) and s.layer == "dot"
    }
    groups = Groups()
    ends: dict[tuple[int, float, float], list[Stroke]] = defaultdict(list)
    for s in ink.strokes:
        groups.find(s.number)
        for x, y in s.ends:
            ends[(s.sheet, round(x, 2), round(y, 2))].append(s)
    for met in ends.values():
        for a, b in itertools.pairwise(met):
            groups.join(a.number, b.number)
    for n, x, y in dots:
        for a, b in itertools.pairwise(ink.at(n, x, y)):
            groups.join(a.number, b.number)
    return groups


def read_back(sheets: tuple[Sheet, ...]) -> list[frozenset[str]]:
    """The terminals that the ink joins, as sets."""
    ink = Ink(sheets)
    nets = joined_strokes(sheets, ink)
    pins = [
        (n, s, ink.at(n, s.x, s.y))
        for n, sheet in enumerate(sheets)
        for s in sheet.shapes()
        if isinstance(s, Pin)
    ]
    joins: dict[str, list[int]] = defaultdict(list)
    bare_joins: dict[str, list[tuple[int, Pin]]] = defaultdict(list)
    for n, pin, under in pins:
        if pin.nodes:
            for one, two in itertools.pairwise(under):
                nets.join(one.number, two.number)
        if pin.join:
            if under:
                joins[pin.join].append(under[0].number)
            else:
                bare_joins[pin.join].append((n, pin))
    for numbers in joins.values():
        for first, second in itertools.pairwise(numbers):
            nets.join(first, second)
    terminals = Groups()
    spots: dict[tuple[int, float, float], list[tuple[str, str]]] = defaultdict(list)
    for n, pin, under in pins:
        for core, terminal in pin.nodes:
            terminals.find(terminal)
            spots[_spot(n, pin)].append((core, terminal))
            if under:
                terminals.join(terminal, ("net", nets.find(under[0].number), core))
    for same in spots.values():
        for (core, here), (other, there) in itertools.combinations(same, 2):
            if core == other:
                terminals.join(here, there)
    for key, bare in bare_joins.items():
        mates = [node for n, pin in bare for node in pin.nodes or spots.get(_spot(n, pin), ())]
        for core, terminal in mates:
            for number in joins.get(key, []):
                terminals.join(terminal, ("net", nets.find(number), core))
        for (core, terminal), (core2, terminal2) in itertools.combinations(mates, 2):
            if core == core2:
                terminals.join(terminal, terminal2)
    return [frozenset(t for t in group if isinstance(t, str)) for group in terminals.classes().values()]


def _spot(sheet: int, pin: Pin) -> tuple[int, float, float]:
    return sheet, round(pin.x, 2), round(pin.y, 2)


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
