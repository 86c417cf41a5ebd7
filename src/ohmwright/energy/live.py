"""What hangs on the bank: what draws on a rig that nobody uses, and what of it the main switch does not cut off."""

from collections import deque
from collections.abc import Iterable

from ohmwright.energy.habits import season_of
from ohmwright.energy.loads import Notes, asked_by
from ohmwright.energy.topology import members, top
from ohmwright.energy.types import Drain
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure

MAIN = ("battery-switch", "contactor", "selector")


def ahead_of_main(rig: Rig, group: Part) -> frozenset[str]:
    """Parts and loads that the bank's plus reaches with every main switch open."""
    graph = graph_of(rig)
    own = {p.id for p in members(rig, group, "battery")}
    start = [e.a for e in graph.elements.values() if e.kind == "source" and top_part(e.owner, own) in own]
    return frozenset(_reached(rig, graph, start))


def top_part(owner: str, own: Iterable[str]) -> str:
    """The member of the bank that an element belongs to, or its owner."""
    return next((o for o in own if owner == o or owner.startswith(f"{o}.")), owner)


def _reached(rig: Rig, graph: Graph, start: list[str]) -> set[str]:
    seen, queue, owners = set(start), deque(start), set()
    while queue:
        for ident in graph.at.get(queue.popleft(), ()):
            e = graph.elements[ident]
            if e.kind in ("load", "converter"):
                owners.add(e.owner)
                continue
            part = rig.parts.get(top(e.owner))
            if e.kind not in ("conductor", "switch") or (
                part is not None and part.kind.name in MAIN and e.kind == "switch"
            ):
                continue
            for end in (e.a, e.b):
                if end not in seen and graph.terminals[end].pole != "-" and not graph.terminals[end].is_metal:
                    seen.add(end)
                    queue.append(end)
    return owners | {graph.terminals[t].owner for t in seen if t in graph.terminals}


def drains_of(
    rig: Rig, mode: str, first_month: int, isolated: bool, ahead: frozenset[str], group: Part
) -> tuple[Drain, ...]:
    """Every draw that is known, the largest first; a rig whose bank is cut off keeps those ahead of the main switch only."""
    out: list[Drain] = []
    season = season_of(first_month, False)
    for load in rig.use.loads.values():
        asked = asked_by(load, mode, season, False, Notes())
        if asked is not None and asked.Wh > 0.0 and "ac" not in load.fed and load.wired != "ac":
            fed = load.id in ahead or top(load.fed.get("dc") or load.fed.get("") or "-") in ahead
            out.append(Drain(load.id, asked.Wh / 24.0, fed, "load"))
    bms = [p.with_default("bms_draw") for p in members(rig, group, "battery") if p.word("bms") != "outside"]
    watts = sum(f.value for f in bms if isinstance(f, Figure))
    if watts > 0.0:
        out.append(Drain(group.id, watts, True, "battery management"))
    for part in rig.parts.values():
        if part.join or part.count > 1 or part.strings or "self_use" not in part.kind.figures:
            continue
        given = part.figure("self_use")
        if isinstance(given, Figure) and given.value > 0.0:
            out.append(Drain(part.id, given.value, part.id in ahead, part.kind.name.replace("-", " ")))
    out.sort(key=lambda d: -d.draw_W)
    return tuple(d for d in out if d.stays_live or not isolated)
