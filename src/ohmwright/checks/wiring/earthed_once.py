"""C29: the minus of a direct-current system is joined to earth at one place."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.mains.loads import LINES
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import Roads, conducts
from ohmwright.rig.graph import Terminal
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Leave the one at the minus bar on the load side of the counter; take the others out."


def judge(bank: str, at: tuple[str, ...]) -> Judgement:
    """The parts at which the minus of a bank meets earth or metal."""
    if not at:
        return skipped(f"The minus of {bank} is joined to earth nowhere.")
    if len(at) == 1:
        return passes(f"The minus of {bank} is joined to earth at {at[0]} alone.")
    return fails(f"The minus of {bank} is joined to earth at {', '.join(at)}: part of every current comes home by earth conductors and metal.", REMEDY)  # fmt: skip


@rule(
    "wiring/earthed-once",
    "C29",
    "Minus joined to earth at one place",
    why="""Two joins put the earth conductors in parallel with the minus. They carry current all day, corrode what they touch,
        go around the counter, and nobody can measure a fault past them.""",
    severities=("fails",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "DC grounding: one connection to the negative bus", "memory"),
        "us": Clause("NFPA 70", "2023", "250.164, 690.41", "memory"),
        "": Clause("IEC 60364-7-712", "2017", "functional earthing at one point", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank, by what its minus reaches without passing metal or earth."""
    graph, parts = study.graph, study.rig.parts
    roads = Roads(graph, conducts, lambda t: _earthy(t) or t.pole in (*LINES, "N", "+"))  # fmt: skip
    for bank in banks(study.rig):
        minus = [f"{m.id}.-" for m in bank.members if f"{m.id}.-" in graph.terminals]
        reached = roads.reach(minus).terminals
        at: dict[str, None] = {}
        for c in graph.conductors.values():
            for earth, working in ((c.a, c.b), (c.b, c.a)):
                if _earthy(graph.terminals[earth]) and working in reached and not _earthy(graph.terminals[working]):  # fmt: skip
                    owner = graph.terminals[working].owner
                    at[owner if owner in parts else working] = None
        yield bank.id, judge(bank.id, tuple(at))


def _earthy(t: Terminal) -> bool:
    return t.is_metal or t.pole == "PE" or t.port_role in ("earth", "case")
