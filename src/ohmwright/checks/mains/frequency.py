"""D34: what takes alternating current gets the frequency that it is made for."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import usual
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell

REMEDY = "Set both to one frequency, or have the one come in by its charger only."
SUPPLIES = ("supply-post", "generator")


def judge(made_for: Figure, gets: Figure, source: str) -> Judgement:
    """Frequency of an inverter-charger against that of a supply that it passes on."""
    apart = abs(gets.value / made_for.value - 1.0)
    told = f"It makes {tell(made_for.value, 'Hz')}; {source} gives {tell(gets.value, 'Hz')}"
    if apart <= find("alternating/frequency-apart").value * (1 + 1e-9):
        return passes(f"{told}.", roots=(made_for, gets))
    return fails(f"{told}: it does not take the supply, or motors and clocks run wrong on one of them.", REMEDY, roots=(made_for, gets))  # fmt: skip


@rule(
    "mains/frequency",
    "D34",
    "One frequency",
    why="""A generator of one continent and an inverter of another have the same plug here and there. The inverter waits for a
        supply that never comes right, or the pump runs a fifth too fast on one of them.""",
    severities=("fails",),
    clauses={
        "us": Clause("NFPA 70", "2023", "110.3(B), 110.4", "memory"),
        "": Clause("IEC 60364-5-51", "2005", "512.1.3", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter-charger against each supply that comes to its input."""
    found = False
    for part in study.rig.of_kind("inverter-charger"):
        made_for = asked(part.figure("frequency")).figure
        for source in _at_input(study, part) if made_for is not None else ():
            gets = asked(source.figure("frequency")).figure
            if made_for is not None and gets is not None:
                found = True
                yield part.id, judge(made_for, gets, source.id)
    if not found:
        yield "rig", skipped("No supply and inverter whose frequencies are written.")


def _at_input(study: Study, part: Part) -> list[Part]:
    """Supplies that conduct to its input, behind a transformer as well."""
    graph = study.graph
    starts = [
        t.id for t in graph.terminals.values() if t.port == f"{part.id}.ac-in" and t.pole in ("L", "L1")
    ]
    inside = usual(graph).reach(starts).terminals if starts else frozenset()
    for e in graph.elements.values():
        if e.role == "transformer" and e.out_a in inside:
            inside |= usual(graph).reach((e.a,)).terminals
    owners = {graph.terminals[t].owner for t in inside}
    return [p for p in study.rig.of_kind(*SUPPLIES) if p.id in owners]
