"""What stays connected to a bank while every switch that a hand works is open."""

from ohmwright.rig.graph import Element, Graph
from ohmwright.rig.model import Rig


def always_live(rig: Rig, graph: Graph) -> tuple[str, ...]:
    """Parts and loads whose plus a bank's plus still reaches, in the order of the graph.

    Fuses count as whole, a battery's own management and automatic contacts as closed; converters pass nothing on.
    """
    start = {
        e.a for e in graph.elements.values() if e.kind == "source" and e.role == "cell" and rig.parts[e.owner].kind.name == "battery"
    }  # fmt: skip
    found = set(start)
    work = list(start)
    while work:
        here = work.pop()
        for name in graph.at.get(here, ()):
            e = graph.elements[name]
            if e.kind not in ("conductor", "switch") or _opened_by_hand(graph, e):
                continue
            other = e.b if e.a == here else e.a
            t = graph.terminals[other]
            if other not in found and t.pole not in ("-", "N", "PE") and not t.is_metal:
                found.add(other)
                work.append(other)
    out = dict.fromkeys(
        e.owner
        for e in graph.elements.values()
        if e.kind in ("load", "converter") and (e.a in found or e.out_a in found)
    )
    return tuple(o for o in out if o in rig.parts or o in rig.use.loads)


def _opened_by_hand(graph: Graph, e: Element) -> bool:
    """A switch, breaker or plug: some state of its hand variable opens it."""
    return any(
        graph.variables[n].origin == "hand" and len(graph.variables[n].states) > 1
        for n, _ in e.when
        if n in graph.variables
    )
