"""D31: a fault of alternating current comes home by a conductor, never by the frame alone."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped
from ohmwright.checks.mains.loads import LINES
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import Roads
from ohmwright.rig.graph import Terminal
from ohmwright.rig.model import Load
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Lay a protective conductor with the line and neutral, from the earth terminal of the source or its earth bar; bond the frame beside it."
WORKING = ("+", "-", "L", "L1", "L2", "L3", "N")


def judge_without(insulated: str, asks: str) -> Judgement:
    """A load whose cable brings no protective conductor."""
    if insulated == "yes":
        return passes("It is double-insulated: it wants no protective conductor.")
    if insulated == "no":
        return fails("No protective conductor runs to it: the first fault makes its case live.", "A cable with a protective conductor.")  # fmt: skip
    return cannot_tell("No protective conductor runs to it, and nobody says that it is double-insulated.", (asks,), remedy="A cable with a protective conductor; or write double-insulated: yes where its plate bears the two squares.")  # fmt: skip


def judge_case(joined: bool) -> Judgement:
    """The case of a transformer on a protective conductor."""
    if joined:
        return passes("Its case is on a protective conductor.")
    return fails("Its case is on no protective conductor: a fault in it waits there for a hand.", "A protective conductor from its case to the earth bar.")  # fmt: skip


def judge(by_conductor: bool, by_metal: tuple[str, ...]) -> Judgement:
    """Whether its protective conductor comes to the earth of a source: by conductors, or by these bodies of metal only."""
    if by_conductor:
        return passes("Its protective conductor comes to the earth of its source without the frame.")
    if by_metal:
        return fails(f"Its only way to the earth of its source is {', '.join(by_metal)}: a loose bolt or rust there, and a fault stays on its case.", REMEDY)  # fmt: skip
    return skipped("It comes to the earth of no source at all: rule D1 speaks of that.")


@rule(
    "mains/frame-earth",
    "D31",
    "Metal frame as the only protective conductor",
    why="""A chassis, a hull or an engine is bolted, welded, painted and rusted together by people who were not thinking of a
        fault. What the breaker needs in the tenth of a second in which a case goes live is a conductor that somebody sized and
        torqued.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "250.118, 250.121(B)", "memory"),
        "us-boat": Clause("ABYC E-11", "2025", "AC grounding conductor", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "protective conductor", "memory"),
        "": Clause("IEC 60364-5-54", "2011", "543.2.3", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The case of each transformer; each panel, outlet and load of alternating current that has a terminal for a protective conductor."""
    graph = study.graph
    for part in study.rig.of_kind("isolation-transformer"):
        case = f"{part.id}.case.PE"
        if case in graph.terminals:
            own = any(graph.elements[n].owner != part.id for n in graph.at.get(case, ()))
            yield part.id, judge_case(own or bool(part.words.get("on")))
    sources = _sources(study)
    subjects = _subjects(study)
    for load in _without(study):
        yield load.id, judge_without(load.words.get("double-insulated", ""), f"{load.id}.double-insulated")
    if not subjects or not sources:
        yield "rig", skipped("No alternating current, or nothing on it that wants a protective conductor.")
        return
    bare = Roads(graph, lambda e: e.kind == "conductor", lambda t: t.is_metal or t.pole in WORKING)
    whole = Roads(graph, lambda e: e.kind == "conductor", _working)
    for subject, earths in subjects.items():
        if any(not bare.reach((t,)).terminals.isdisjoint(sources) for t in earths):
            yield subject, judge(True, ())
            continue
        reached = whole.reach(earths)
        at = sorted(reached.terminals & sources)
        bodies = dict.fromkeys(t for t in reached.path(at[0]) if graph.terminals[t].is_metal) if at else {}
        yield subject, judge(False, tuple(bodies))


def _without(study: Study) -> list[Load]:
    """Loads on a line of alternating current that have no protective conductor."""
    graph = study.graph
    poles: dict[str, set[str]] = {}
    for t in graph.terminals.values():
        if t.owner in study.rig.use.loads:
            poles.setdefault(t.owner, set()).add(t.pole)
    # A branch is drawn with the poles of its way; a cable of fewer cores leaves the last of them out.
    short = {
        r.part_of
        for r in study.rig.runs.values()
        if 1 < r.cable.cores < len(r.cores) and any(c.pole == "PE" for c in r.cores)
    }
    return [
        study.rig.use.loads[n]
        for n, found in poles.items()
        if found & set(LINES) and ("PE" not in found or n in short)
    ]


def _working(t: Terminal) -> bool:
    return t.pole in WORKING


def _sources(study: Study) -> frozenset[str]:
    """Protective terminals of what gives alternating current: posts, generators, outputs of inverters and transformers."""
    graph = study.graph
    ports = {
        graph.terminals[x].port
        for e in graph.elements.values()
        for x in ((e.a,) if e.kind == "source" else (e.out_a,) if e.kind == "converter" else ())
        if x and graph.terminals[x].pole in LINES
    }
    return frozenset(t.id for t in graph.terminals.values() if t.pole == "PE" and t.port in ports)


def _subjects(study: Study) -> dict[str, tuple[str, ...]]:
    """By panel, outlet or load: its own protective terminals."""
    graph, parts = study.graph, study.rig.parts
    found: dict[str, dict[str, None]] = {}
    on_lines = {t.port for t in graph.terminals.values() if t.pole in LINES}
    for t in graph.terminals.values():
        part = parts.get(t.owner)
        wanted = part.kind.name in ("panel-ac", "outlet") if part is not None else t.owner in study.rig.use.loads  # fmt: skip
        if wanted and t.pole == "PE" and t.port in on_lines:
            found.setdefault(t.owner, {})[t.id] = None
    return {owner: tuple(earths) for owner, earths in found.items()}
