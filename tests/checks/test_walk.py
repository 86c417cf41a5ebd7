"""A walk over solid pieces comes where the components of a general library come, state by state of what can be chosen.

From outside: scipy.sparse.csgraph.connected_components.
"""

import random
from collections.abc import Iterator
from itertools import product

import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from tests.circuit.rigs import demo

from ohmwright.checks.walk import Roads, conducts, earthy, reach
from ohmwright.rig.graph import Element, Graph, Terminal
from ohmwright.services import demos


def _worlds(graph: Graph) -> Iterator[dict[str, str]]:
    """Every choice of states of the variables that elements ask for."""
    asked: dict[str, set[str]] = {}
    for e in graph.elements.values():
        for variable, states in e.when:
            asked.setdefault(variable, set()).update(states)
    for world in product(*(sorted(some) for some in asked.values() if len(some) > 1)):
        yield dict(zip((v for v, some in asked.items() if len(some) > 1), world, strict=True))


def _reached(graph: Graph, start: str, without: str) -> frozenset[str]:
    """Terminals in one component with the start in any world; each lead to earth ends in an end of its own."""
    number = {t: n for n, t in enumerate(graph.terminals)}
    found = {start}
    for world in _worlds(graph):
        stands = [
            e for e in graph.elements.values()
            if conducts(e) and e.id != without and all(world.get(v) in s for v, s in e.when if v in world)
        ]  # fmt: skip
        ends: list[str] = []

        def node(t: str, ends: list[str] = ends) -> int:
            if t == start or not earthy(graph.terminals[t]):
                return number[t]
            ends.append(t)
            return len(number) + len(ends) - 1

        pairs = [(node(e.a), node(e.b)) for e in stands]
        size = len(number) + len(ends)
        rows, columns = zip(*pairs, strict=True)
        _, label = connected_components(coo_array(([1] * len(pairs), (rows, columns)), shape=(size, size)))
        here = label[number[start]]
        found |= {t for t, n in number.items() if label[n] == here}
        found |= {t for n, t in enumerate(ends, len(number)) if label[n] == here}
    return frozenset(found)


def _drawn(lot: random.Random) -> Graph:
    """Twelve terminals with rings, twin elements, two selectors and earth, by lot."""
    names = [f"t{n}" for n in range(12)]
    terminals = {n: Terminal(n, "part", "PE" if lot.random() < 0.15 else "+") for n in names}
    elements: dict[str, Element] = {}
    for n in range(lot.randint(10, 18)):
        a, b = lot.sample(names, 2)
        asks = ((lot.choice("pq"), frozenset(lot.choice("12"))),) if lot.random() < 0.3 else ()
        elements[f"e{n}"] = Element(f"e{n}", "switch" if asks else "conductor", a, b, "part", when=asks)
    at = {t: tuple(e.id for e in elements.values() if t in (e.a, e.b)) for t in names}
    return Graph(terminals, elements, {}, {}, at)


def _graphs() -> Iterator[Graph]:
    for name in demos.NAMES:
        yield demo(name)[1]
    lot = random.Random(3)
    for _ in range(60):
        yield _drawn(lot)


@pytest.fixture(scope="module")
def graphs() -> list[Graph]:
    return list(_graphs())


def test_a_walk_comes_where_some_state_of_the_selectors_lets_it(graphs: list[Graph]) -> None:
    lot = random.Random(1)
    for graph in graphs:
        for start in lot.sample(sorted(graph.terminals), 12):
            assert reach(graph, (start,)).terminals == _reached(graph, start, ""), start


def test_a_walk_without_one_element_comes_where_the_rest_of_the_graph_lets_it(graphs: list[Graph]) -> None:
    lot = random.Random(2)
    cut = 0
    for graph in graphs:
        roads = Roads(graph)
        conducting = [e for e in graph.elements.values() if conducts(e)]
        for e in lot.sample(conducting, min(len(conducting), 18)):
            for start in (e.a, e.b):
                found = roads.reach_without(start, e).terminals
                assert found == _reached(graph, start, e.id), (start, e.id)
                cut += found != roads.reach((start,)).terminals
    assert cut > 20


def test_the_way_back_leads_over_elements_that_join(graphs: list[Graph]) -> None:
    for graph in graphs:
        start = min(graph.terminals)
        reached = reach(graph, (start,), stop=lambda _: False)
        for to in reached.terminals:
            path, edges = reached.path(to), reached.edges(to)
            assert (path[0], path[-1]) == (start, to)
            assert _join(graph, path, edges)


def _join(graph: Graph, path: tuple[str, ...], edges: tuple[str, ...]) -> bool:
    """Whether each element joins the terminals before and after it."""
    steps = zip(edges, path, path[1:], strict=False)
    return len(path) == len(edges) + 1 and all(
        {graph.elements[n].a, graph.elements[n].b} == {before, after} for n, before, after in steps
    )
