"""Walking the graph: what conducts to what, whatever the hand switches say, but never through two ways of one selector."""

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from ohmwright.kinds.base import When
from ohmwright.rig.graph import Element, Graph, Terminal

Held = frozenset[tuple[str, frozenset[str]]]


@dataclass(frozen=True, slots=True)
class Reached:
    """Terminals reached, elements crossed, and by which element each terminal was first reached."""

    terminals: frozenset[str]
    elements: frozenset[str]
    came_by: Mapping[str, tuple[str, str]] = field(default_factory=dict)

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
    ways = _ways(graph)
    terminals = graph.terminals
    seen: dict[str, list[Held]] = {}
    came_by: dict[str, tuple[str, str]] = {}
    crossed: set[str] = set()
    queue: deque[tuple[str, Held]] = deque((s, frozenset(when)) for s in starts)
    for start, held in queue:
        seen[start] = [held]
    while queue:
        at, held = queue.popleft()
        for name, e, to in ways.from_(at):
            if not through(e):
                continue
            further = _also(held, e, ways.choosing) if e.when else held
            if further is None:
                continue
            crossed.add(name)
            known = seen.get(to)
            if known is None:
                came_by[to] = (name, at)
                seen[to] = [further]
            elif any(h <= further for h in known):
                continue
            else:
                known.append(further)
            if not stop(terminals[to]):
                queue.append((to, further))
    return Reached(frozenset(seen), frozenset(crossed), came_by)


class _Ways:
    """What leads where from each terminal, and the variables that choose between elements."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.choosing = _choosing(graph)
        self._from: dict[str, list[tuple[str, Element, str]]] = {}

    def from_(self, at: str) -> list[tuple[str, Element, str]]:
        """Every element at a terminal, with its name and its other end."""
        found = self._from.get(at)
        if found is None:
            elements = self.graph.elements
            found = self._from[at] = [
                (n, e, e.b if e.a == at else e.a) for n in self.graph.at.get(at, ()) if (e := elements[n])
            ]
        return found


_LAST: list[_Ways] = []


def _ways(graph: Graph) -> _Ways:
    """Kept for the graph last asked about."""
    if not _LAST or _LAST[0].graph is not graph:
        _LAST[:] = [_Ways(graph)]
    return _LAST[0]


def _choosing(graph: Graph) -> frozenset[str]:
    """Variables that two elements need in states that exclude each other."""
    wanted: dict[str, set[frozenset[str]]] = {}
    for e in graph.elements.values():
        for variable, states in e.when:
            wanted.setdefault(variable, set()).add(states)
    return frozenset(v for v, many in wanted.items() if any(not (a & b) for a in many for b in many))


def _also(held: Held, e: Element, choosing: frozenset[str]) -> Held | None:
    """What is held after crossing `e`, or None when it asks for another state."""
    asks = [(v, s) for v, s in e.when if v in choosing or any(v == w for w, _ in held)]
    if not asks:
        return held
    now = dict(held)
    for variable, states in asks:
        both = now.get(variable, states) & states
        if not both:
            return None
        now[variable] = both
    return frozenset(now.items())
