"""D33: nothing opens a protective conductor, and nothing opens the neutral and leaves the line."""

from collections.abc import Iterator

from ohmwright.checks.islands import own_elements
from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.mains.loads import LINES
from ohmwright.checks.registry import rule
from ohmwright.circuit.wiring import wiring_of
from ohmwright.rig.graph import Element
from ohmwright.standards import Clause
from ohmwright.study import Study

#: Kinds that open a circuit by themselves or by a hand.
OPENS = ("fuse", "breaker", "battery-switch", "switch", "contactor", "selector", "changeover", "rcd", "rcbo", "thermostat", "pv-disconnect", "voltage-sensing-relay")  # fmt: skip


def judge(earth: bool, neutral: bool) -> Judgement:
    """A device by the conductors on both of its sides."""
    if earth:
        return fails("It stands in a protective conductor: open or blown, every case behind it stays live in a fault and nothing tells.", "Take it out; lay the conductor through.")  # fmt: skip
    if neutral:
        return fails("It opens the neutral and leaves the line: what hangs on it is dead to look at and live to touch.", "A device that opens line and neutral together, or the line alone.")  # fmt: skip
    return passes("It opens neither earth nor the neutral alone.")


@rule(
    "mains/whole-earth",
    "D33",
    "No device in earth, none in the neutral alone",
    why="""A fuse in the earth blows on the fault that the earth was laid for. One in the neutral makes a lamp go dark and its
        screw shell live.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "250.124, 240.22, 404.2(B)", "memory"),
        "": Clause("IEC 60364-5-54; IEC 60364-4-43", "2011; 2008", "543.3.3; 431.2, 431.3", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each fuse, breaker, switch and contactor that has a run of earth or neutral on it."""
    wiring = wiring_of(study.rig, study.graph)
    number, poles, graph = wiring.net.number, wiring.poles, study.graph
    spoke = False
    for part in study.rig.of_kind(*OPENS):
        own = own_elements(study, part.id)
        lines = any(graph.terminals[t].pole in LINES for e in own for t in (e.a, e.b))
        neutral = [e for e in own if number[e.a] in poles.neutral and number[e.b] in poles.neutral]
        earth = [e for e in own if _in_earth(study, e)]
        if earth or neutral:
            spoke = True
            yield part.id, judge(bool(earth), bool(neutral) and not lines)
    if not spoke:
        yield "rig", skipped("No device has earth or a neutral on it.")


def _in_earth(study: Study, e: Element) -> bool:
    """Whether the runs on both of its sides lead to earth, and nothing else lies on it."""
    return all(_earthy_runs(study, t) for t in (e.a, e.b))


def _earthy_runs(study: Study, terminal: str) -> bool:
    graph = study.graph
    far = [
        c.b if c.a == terminal else c.a
        for n in graph.at.get(terminal, ())
        if (c := graph.conductors.get(n)) is not None
    ]
    return bool(far) and all(
        (t := graph.terminals[x]).is_metal or t.pole == "PE" or t.port_role in ("earth", "case") for x in far
    )
