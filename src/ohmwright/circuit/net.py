"""The graph by numbers, for the proofs: which terminals conduct to which, in every state at once.

A set of states is one whole number, a bit a state.  A flood carries such numbers along the wires, so one walk
over the net answers for all states together.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ohmwright.kinds.base import When
from ohmwright.rig.graph import Element, Graph
from ohmwright.working.quickly import quickly_made

#: What a flood asks of a wire: the states in which it conducts.
States = int


@quickly_made
@dataclass(frozen=True, slots=True)
class Wire:
    """A conductor or switch between two terminals, by number."""

    number: int
    element: Element
    a: int
    b: int

    @property
    def when(self) -> When:
        """The states in which it conducts; empty: always."""
        return self.element.when


class Net:
    """All terminals and all conducting elements of a graph, by number."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.names: tuple[str, ...] = tuple(graph.terminals)
        self.number: dict[str, int] = {name: i for i, name in enumerate(self.names)}
        self.wires: list[Wire] = []
        self.sources: list[Element] = []
        self.converters: list[Element] = []
        self.loads: list[Element] = []
        kinds: dict[str, list[Element]] = {
            "source": self.sources,
            "converter": self.converters,
            "load": self.loads,
        }
        for e in graph.elements.values():
            if e.kind in ("conductor", "switch"):
                self.wires.append(Wire(len(self.wires), e, self.number[e.a], self.number[e.b]))
            else:
                kinds[e.kind].append(e)
        self.wire_of: dict[str, Wire] = {w.element.id: w for w in self.wires}
        self.at: list[list[Wire]] = [[] for _ in self.names]
        for w in self.wires:
            self.at[w.a].append(w)
            self.at[w.b].append(w)
        self._views: dict[tuple[frozenset[str], frozenset[int]], View] = {}

    def view(self, without: Collection[str] = (), closed_to: Collection[int] = ()) -> "View":
        """The net without some elements, and without what touches some terminals."""
        key = (frozenset(without), frozenset(closed_to))
        if key not in self._views:
            self._views[key] = View(self, key[0], key[1])
        return self._views[key]


class View:
    """A net with its always-conducting wires drawn together into lumps; only the rest depends on states."""

    def __init__(self, net: Net, without: frozenset[str], closed_to: frozenset[int]) -> None:
        self.net = net
        self.without = without
        self.closed_to = closed_to
        up = list(range(len(net.names)))

        def root(x: int) -> int:
            while up[x] != x:
                up[x] = x = up[up[x]]
            return x

        self.wires = [
            w
            for w in net.wires
            if w.element.id not in without and w.a not in closed_to and w.b not in closed_to
        ]
        moving = []
        for w in self.wires:
            if w.when:
                moving.append(w)
            else:
                up[root(w.a)] = root(w.b)
        numbers: dict[int, int] = {}
        self.lump: list[int] = [numbers.setdefault(root(x), len(numbers)) for x in range(len(net.names))]
        self.size = len(numbers)
        self.moving: list[tuple[int, int, Wire]] = []
        self.next: list[list[tuple[int, int]]] = [[] for _ in range(self.size)]
        for w in moving:
            a, b = self.lump[w.a], self.lump[w.b]
            if a != b:
                self.next[a].append((b, w.number))
                self.next[b].append((a, w.number))
                self.moving.append((a, b, w))

    def of(self, terminal: str) -> int:
        """The lump of a named terminal."""
        return self.lump[self.net.number[terminal]]

    def flood(
        self, seeds: Mapping[int, States], on: Callable[[int], States] | Sequence[States]
    ) -> list[States]:
        """For every lump the states in which some seed conducts to it. `on` gives the states of each wire."""
        conducts: Callable[[int], States] = on if callable(on) else on.__getitem__
        reached = [0] * self.size
        work: list[int] = []
        for lump, states in seeds.items():
            reached[lump] |= states
            work.append(lump)
        near = self.next
        while work:
            lump = work.pop()
            here = reached[lump]
            for other, wire in near[lump]:
                new = here & conducts(wire) & ~reached[other]
                if new:
                    reached[other] |= new
                    work.append(other)
        return reached

    def path(
        self, start: Iterable[int], goal: Collection[int], conducts: Callable[[Wire], bool]
    ) -> list[Wire] | None:
        """The wires of a shortest path between terminals, or None."""
        wires = {w.number for w in self.wires}
        came: dict[int, Wire | None] = dict.fromkeys(start)
        front = list(came)
        while front:
            after: list[int] = []
            for t in front:
                if t in goal:
                    return _back(came, t)
                for w in self.net.at[t]:
                    other = w.b if w.a == t else w.a
                    if other not in came and w.number in wires and conducts(w):
                        came[other] = w
                        after.append(other)
            front = after
        return None


def _back(came: Mapping[int, Wire | None], t: int) -> list[Wire]:
    out: list[Wire] = []
    while (w := came[t]) is not None:
        out.append(w)
        t = w.b if w.a == t else w.a
    return out[::-1]


def told_path(wires: Sequence[Wire], start: str, names: Sequence[str]) -> tuple[str, ...]:
    """A path as people follow it with a finger: terminal, wire, terminal ..."""
    out = [start]
    at = start
    for w in wires:
        a, b = names[w.a], names[w.b]
        at = b if a == at else a
        out += [w.element.id, at]
    return tuple(out)


def between(view: View, seeds: Collection[int], but: Collection[int] = ()) -> set[int]:
    """The numbers of the state-dependent wires that lie on some path between two of the seed lumps.

    A wire lies on a simple path between two seeds when it shares a ring with a node that is tied to all seeds:
    the blocks (two-connected parts) that hold that node; `but` are wires to leave out.  Hopcroft and Tarjan, CACM 16 (1973) 372-378.
    """
    hub = view.size
    near: list[list[tuple[int, int]]] = [[n for n in x if n[1] not in but] for x in view.next]
    near.append([])
    for i, s in enumerate(sorted(set(seeds))):
        near[s].append((hub, -1 - i))
        near[hub].append((s, -1 - i))
    depth: dict[int, int] = {hub: 0}
    low: dict[int, int] = {hub: 0}
    stack: list[int] = []
    found: set[int] = set()
    work: list[tuple[int, int | None, int]] = [(hub, None, 0)]
    while work:
        node, by, at = work.pop()
        if at < len(near[node]):
            work.append((node, by, at + 1))
            other, wire = near[node][at]
            if wire == by:
                continue
            if other not in depth:
                stack.append(wire)
                depth[other] = low[other] = depth[node] + 1
                work.append((other, wire, 0))
            elif depth[other] < depth[node]:
                stack.append(wire)
                low[node] = min(low[node], depth[other])
            continue
        if by is None:
            continue
        parent = work[-1][0]
        low[parent] = min(low[parent], low[node])
        if low[node] >= depth[parent]:
            block: list[int] = []
            while True:
                wire = stack.pop()
                block.append(wire)
                if wire == by:
                    break
            if any(w < 0 for w in block):
                found.update(w for w in block if w >= 0)
    return found
