"""Which pole a terminal without a mark is on: a fuse's ends, a stud of a bar, read from what they touch."""

from collections.abc import Mapping

from ohmwright.rig.graph import Graph

LETTERS: dict[str, str] = {"+": "P", "-": "M", "sig": "S"}
"""The letter of a pole in a wire's label: plus P, minus M (N is the neutral), signal S; the others are their own."""


def poles_of(graph: Graph) -> Mapping[str, str]:
    """The pole of every terminal, "" where what it touches has no mark or more than one."""
    parent = {t: t for t in graph.terminals}

    def root(x: str) -> str:
        while parent[x] != x:
            parent[x] = parent[parent[x]]
            x = parent[x]
        return x

    unmarked = {t.id for t in graph.terminals.values() if not t.pole and not t.is_metal}
    for e in graph.elements.values():
        if e.kind not in ("conductor", "switch") or e.role in ("metal", "bolted", "common"):
            continue
        if e.a in unmarked and e.b in unmarked:
            parent[root(e.a)] = root(e.b)
    marks: dict[str, set[str]] = {}
    for e in graph.elements.values():
        if e.kind not in ("conductor", "switch"):
            continue
        for near, far in ((e.a, e.b), (e.b, e.a)):
            if near in unmarked and far not in unmarked and not graph.terminals[far].is_metal:
                marks.setdefault(root(near), set()).add(graph.terminals[far].pole)
    out = {t.id: t.pole for t in graph.terminals.values()}
    for t in unmarked:
        found = marks.get(root(t), set()) - {"sig", ""}
        found = found - {"PE"} or found  # a minus that is earthed stays a minus
        out[t] = next(iter(found)) if len(found) == 1 else ""
    return out
