"""F13: an emergency cut leaves live only what it names, and there is one."""

from collections.abc import Iterator

from ohmwright.checks.house import house_banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, skipped
from ohmwright.checks.proved import from_proof
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.walk import reach
from ohmwright.standards import Clause
from ohmwright.study import Study

SWITCH = "A battery switch behind the main fuse, within reach of the way out, and an entry under cuts: that names it."


def judge(bank: str, unswitched: tuple[str, ...], *, boat: bool = False) -> Judgement:
    """Without a cut in the file: what hangs on a bank before every switch, alarms and chargers apart. On a boat a danger."""
    if unswitched:
        return fails(f"No emergency cut is in the file, and no switch stands between {bank} and {', '.join(unswitched)}: nothing on board makes them dead.", SWITCH, severity="danger" if boat else "fails")  # fmt: skip
    return cannot_tell("Which switch is the emergency cut, and what stays live behind it, is not in the file.", ("cuts",), remedy="Write it under cuts: with what it leaves live.")  # fmt: skip


@rule(
    "service/remote-cut",
    "F13",
    "An emergency cut leaves live only what it names",
    why="A remote switch that takes its coil's supply from behind itself, or an inverter that hangs before it, leaves the rig live when the label says dead.",
    severities=("danger", "fails"),
    clauses={
        "us-boat": Clause("ABYC E-13", "2025", "remote battery switches", "secondary"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every cut of the file, with all outside sources off; without one, whether a switch stands behind each bank."""
    if study.rig.cuts:
        yield from from_proof(
            study,
            "cuts",
            holds="The cut leaves live only what it names",
            nothing="No emergency cut is in the file (cuts:).",
            remedy="Move the coil or the part behind the cut, or name it as live.",
        )
        return
    found = house_banks(study)
    for bank in found:
        posts = [f"{m.id}.+" for m in bank.members]
        yield bank.id, judge(bank.id, _unswitched(study, posts), boat=host(study.rig.job.rules) == "boat")  # fmt: skip
    if not found:
        yield "rig", skipped("No bank to cut off.")


def _unswitched(study: Study, posts: list[str]) -> tuple[str, ...]:
    graph, loads = study.graph, study.rig.use.loads
    bare = reach(graph, posts, through=lambda e: e.kind == "conductor").terminals
    found: dict[str, None] = {}
    for e in graph.elements.values():
        if not {e.a, e.out_a} & bare or e.kind not in ("load", "converter"):
            continue
        if e.owner in loads:
            if loads[e.owner].priority != "always":
                found[e.owner] = None
        elif e.role == "inverter":
            found[e.owner] = None
    return tuple(found)
