"""Outside supplies that a file does not draw: whatever post an inlet is plugged into.

An inlet without a cord in the file still has bare pins and will be plugged in.  It gets a supply of its own,
ordinarily out, with one neutral-earth join at the post, so that proofs and cases look at that state too.
"""

from dataclasses import replace

from ohmwright.rig.graph import Element, Graph, StateVariable

#: The variable that says whether such an inlet is plugged in: `J1.cord`.
CORD = "cord"


def with_visitors(graph: Graph) -> Graph:
    """The graph with a supply at every inlet that no cord of the file reaches."""
    ports: dict[str, dict[str, str]] = {}
    for t in graph.terminals.values():
        if (
            t.plug == "pins"
            and t.owner == t.port
            and not any(graph.elements[e].role == "plug" for e in graph.at.get(t.id, ()))
        ):
            ports.setdefault(t.port, {})[t.pole] = t.id
    variables, elements = dict(graph.variables), dict(graph.elements)
    at = {k: list(v) for k, v in graph.at.items()} if ports else {}
    for port, poles in ports.items():
        lines = [p for p in ("L", "L1", "L2") if p in poles]
        if not lines or "N" not in poles:
            continue
        name = f"{port}.{CORD}"
        when = ((name, frozenset({"in"})),)
        variables[name] = StateVariable(name, ("out", "in"), "hand", "", port)
        made = [
            Element(
                f"{port}.supply-{p}",
                "source",
                poles[p],
                poles["N"],
                port,
                "supply-half-turn" if p == "L2" else "supply",
                None,
                when,
            )
            for p in lines
        ]
        if "PE" in poles:
            made.append(
                Element(f"{port}.supply-bond", "switch", poles["N"], poles["PE"], port, "bond", None, when)
            )
        for e in made:
            elements[e.id] = e
            for end in (e.a, e.b):
                at.setdefault(end, []).append(e.id)
    if len(elements) == len(graph.elements):
        return graph
    return replace(graph, elements=elements, variables=variables, at={k: tuple(v) for k, v in at.items()})
