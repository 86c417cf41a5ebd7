"""B16: each battery of a parallel bank has its own device."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.circuit.devices import device_of
from ohmwright.rig.graph import Element
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Fit a device at the post of each battery, rated for what the others can push back through it."


def judge(parallel: int, unfused: tuple[str, ...]) -> Judgement:
    """Batteries that meet their neighbours without a device of their own."""
    if parallel < 2:
        return skipped("No batteries in parallel.")
    if unfused:
        return fails(
            f"{', '.join(unfused)} meet{'s' if len(unfused) == 1 else ''} the other batteries without a device: a fault in one is fed by all.",
            REMEDY,
        )
    return passes(f"Each of {parallel} batteries has its own device.")


@rule(
    "battery/own-fuse",
    "B16",
    "Each parallel battery has its own device",
    why="A shorted cell in one of four batteries is fed by the other three through cables that no main fuse watches.",
    severities=("danger",),
    clauses={
        "us-boat": Clause("ABYC E-11", "2025", "parallel banks above 500 Ah", "secondary"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every bank of two or more in parallel."""
    for bank in banks(study.rig):
        yield bank.id, judge(bank.in_parallel, unfused(study, bank) if bank.in_parallel > 1 else ())


def unfused(study: Study, bank: Bank) -> tuple[str, ...]:
    """Members whose plus reaches another member's plus without crossing an overcurrent device."""
    plus = {f"{m.id}.+": m.id for m in bank.members}

    def open_way(e: Element) -> bool:
        return e.kind in ("conductor", "switch") and device_of(study.rig, e) is None

    found = []
    for terminal, member in plus.items():
        if terminal in study.graph.terminals:
            reached = reach(study.graph, (terminal,), through=open_way).terminals
            if any(t in reached for t in plus if t != terminal):
                found.append(member)
    return tuple(found)
