"""Walking the graph: what conducts to what, whatever the hand switches say, but never through two ways of one selector."""

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ohmwright.checks.pieces import Piece, Pieces, Way
from ohmwright.kinds.base import When
from ohmwright.rig.graph import Element, Graph, Terminal

Held = frozenset[tuple[str, frozenset[str]]]


@dataclass(frozen=True)
class Reached:
    """Terminals reached, elements crossed, and by which element each terminal was first reached."""

    terminals: frozenset[str]
    elements: frozenset[str]
    _walked: Callable[[], Mapping[str, tuple[str, str]]] = field(default=dict, repr=False, compare=False)

    @cached_property
    def came_by(self) -> Mapping[str, tuple[str, str]]:
        """By terminal: the element that reached it first, and from where."""
        return self._walked()

    def path(self, to: str) -> tuple[str, ...]:
        """Terminals from the start to `to`."""
        out = [to]
        while out[-1] in self.came_by:
            out.append(self.came_by[out[-1]][1])
        return tuple(reversed(out))

    def edges(self, to: str) -> tuple[str, ...]:
        """Elements from the start to `to`."""
        out = []
        while to in self.came_by:
            element, to = self.came_by[to]
            out.append(element)
        return tuple(reversed(out))


def conducts(e: Element) -> bool:
    """Conductors and switches, open or closed."""
    return e.kind in ("conductor", "switch")


def earthy(t: Terminal) -> bool:
    """Earth and metal bodies: a walk along live conductors ends there."""
    return t.pole == "PE" or t.is_metal


def reach(
    graph: Graph,
    starts: Iterable[str],
    *,
    through: Callable[[Element], bool] = conducts,
    stop: Callable[[Terminal], bool] = earthy,
    when: When = (),
) -> Reached:
    """Everything that conducts to `starts` in some state, or in those that `when` allows.

    A variable of which two elements need different states (a selector) holds one state along one path.
    """
    if through is conducts and stop is earthy and not when:
        return usual(graph).reach(starts)
    return Roads(graph, through, stop, when).reach(starts)


class Roads:
    """One graph under one rule of passage: for many walks that differ in where they start and what they leave out."""

    def __init__(
        self,
        graph: Graph,
        through: Callable[[Element], bool] = conducts,
        stop: Callable[[Terminal], bool] = earthy,
        when: When = (),
    ) -> None:
        ways = _ways(graph)
        self.graph, self.stop, self.ways = graph, stop, ways
        self.held: Held = frozenset(when)
        self.choosing = ways.choosing | {v for v, _ in when}
        self.pieces = Pieces(ways.by, graph.terminals, through, stop, self._asks)
        self._kept: dict[frozenset[Piece], tuple[frozenset[str], frozenset[str]]] = {}

    def _asks(self, e: Element) -> bool:
        return any(v in self.choosing for v, _ in e.when)

    def reach(self, starts: Iterable[str]) -> Reached:
        """As `reach` of the module."""
        starts = tuple(starts)
        firm = [s for s in starts if not self.ends(s)]
        if len(firm) < len(starts):
            return self._told(starts, *_Walk(self, self.pieces.at).spread(starts))
        at = frozenset(self.pieces.at(s) for s in firm)
        if at not in self._kept:
            self._kept[at] = _Walk(self, self.pieces.at).spread(starts)
        return self._told(starts, *self._kept[at])

    def reach_without(self, start: str, e: Element) -> Reached:
        """The same from one terminal, as if an element were not there."""
        if not self.pieces.through(e):
            return self.reach((start,))
        if not (e.when and self._asks(e)) and not self.ends(start):
            halves = self.pieces.without(e)
            if halves == ():
                whole = self.reach((start,))
                return self._told((start,), whole.terminals, whole.elements - {e.id})
            if halves is not None:
                return self._told((start,), *_Walk(self, self._split(halves)).spread((start,)))
        through = self.pieces.through
        less = Roads(self.graph, lambda x: x.id != e.id and through(x), self.stop, tuple(self.held))
        return less.reach((start,))

    def _split(self, halves: tuple[Piece, ...]) -> Callable[[str], Piece]:
        """The pieces when one of them is in halves."""

        def at(terminal: str) -> Piece:
            return next((h for h in halves if terminal in h.inside), None) or self.pieces.at(terminal)

        return at

    def ends(self, terminal: str) -> bool:
        """Whether a walk ends at a terminal; one that is not there leads nowhere."""
        t = self.graph.terminals.get(terminal)
        return t is None or self.stop(t)

    def _told(self, starts: tuple[str, ...], terminals: frozenset[str], elements: frozenset[str]) -> Reached:
        return Reached(terminals, elements, lambda: self._came_by(starts, elements))

    def _came_by(self, starts: tuple[str, ...], elements: frozenset[str]) -> dict[str, tuple[str, str]]:
        """Terminal by terminal, the nearest first."""
        came_by: dict[str, tuple[str, str]] = {}
        seen: dict[str, list[Held]] = {s: [self.held] for s in starts}
        queue: deque[tuple[str, Held]] = deque((s, self.held) for s in starts)
        while queue:
            at, held = queue.popleft()
            for name, e, to in self.ways.by.get(at, ()):
                further = _also(held, e, self.choosing) if name in elements else None
                if further is None:
                    continue
                known = seen.get(to)
                if known is None:
                    came_by[to] = (name, at)
                    seen[to] = [further]
                elif any(_allows(h, further) for h in known):
                    continue
                else:
                    known.append(further)
                if not self.ends(to):
                    queue.append((to, further))
        return came_by


class _Walk:
    """One walk over solid pieces."""

    def __init__(self, roads: Roads, at: Callable[[str], Piece]) -> None:
        self.roads, self.at = roads, at
        self.seen: dict[Piece, list[Held]] = {}
        self.rim: set[str] = set()
        self.crossed: set[str] = set()
        self.queue: deque[tuple[Piece, Held]] = deque()

    def spread(self, starts: tuple[str, ...]) -> tuple[frozenset[str], frozenset[str]]:
        """Terminals reached and elements crossed."""
        roads, pieces = self.roads, self.roads.pieces
        for start in starts:
            self._come(start, roads.held)
            if roads.ends(start):
                self._cross([w for w in pieces.ways.get(start, ()) if pieces.through(w[1])], roads.held)
        while self.queue:
            piece, held = self.queue.popleft()
            self._cross(piece.asking, held)
        return (
            frozenset(self.rim).union(*(p.terminals for p in self.seen)),
            frozenset(self.crossed).union(*(p.elements for p in self.seen)),
        )

    def _cross(self, ways: Iterable[Way], held: Held) -> None:
        for name, e, to in ways:
            further = _also(held, e, self.roads.choosing) if e.when else held
            if further is not None:
                self.crossed.add(name)
                self._come(to, further)

    def _come(self, to: str, held: Held) -> None:
        if self.roads.ends(to):
            self.rim.add(to)
            return
        piece = self.at(to)
        known = self.seen.setdefault(piece, [])
        if not any(_allows(h, held) for h in known):
            known.append(held)
            self.queue.append((piece, held))


class _Ways:
    """What leads where from each terminal, and the variables that choose between elements."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.choosing = _choosing(graph)
        self.by: dict[str, tuple[Way, ...]] = {
            at: tuple(
                (n, e, e.b if e.a == at else e.a) for n in names if at in ((e := graph.elements[n]).a, e.b)
            )
            for at, names in graph.at.items()
        }

    @cached_property
    def roads(self) -> Roads:
        """Conductors and switches, up to earth."""
        return Roads(self.graph)


_LAST: list[_Ways] = []


def _ways(graph: Graph) -> _Ways:
    """Kept for the graph last asked about."""
    if not _LAST or _LAST[0].graph is not graph:
        _LAST[:] = [_Ways(graph)]
    return _LAST[0]


def usual(graph: Graph) -> Roads:
    """The roads of `reach` as it stands."""
    return _ways(graph).roads


def _choosing(graph: Graph) -> frozenset[str]:
    """Variables that two elements need in states that exclude each other."""
    wanted: dict[str, set[frozenset[str]]] = {}
    for e in graph.elements.values():
        for variable, states in e.when:
            wanted.setdefault(variable, set()).add(states)
    return frozenset(v for v, many in wanted.items() if any(not (a & b) for a in many for b in many))


def _also(held: Held, e: Element, choosing: frozenset[str]) -> Held | None:
    """What is held after crossing `e`, or None when it asks for another state."""
    asks = [(v, s) for v, s in e.when if v in choosing]
    if not asks:
        return held
    now = dict(held)
    for variable, states in asks:
        both = now.get(variable, states) & states
        if not both:
            return None
        now[variable] = both
    return frozenset(now.items())


def _allows(held: Held, other: Held) -> bool:
    """Whether what is held leaves open all that the other leaves open."""
    if held <= other:
        return True
    wanted = dict(other)
    return all(v in wanted and wanted[v] <= states for v, states in held)
