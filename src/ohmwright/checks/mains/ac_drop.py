"""D32: volts of alternating current lost between its source and a load."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.gather import asked, once
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.mains.loads import LINES
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.checks.walk import Reached, Roads
from ohmwright.checks.wires import asks, length_of
from ohmwright.circuit.loads import told_W
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import drop_ratio, run_drop_V
from ohmwright.physics.sums import in_percent, many_V, sum_V
from ohmwright.rig.graph import Conductor, Element
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, work
from ohmwright.working.step import running_sum

REMEDY = "A larger conductor, or a shorter way."


def judge(lost: Step, source: str, rules: str) -> Judgement:
    """Drop as part of the source's volts against what is recommended; above the smaller limit it is a note."""
    us = country(rules) == "us"
    limit, small = (find(f"drop/ac-{x}-{'us' if us else 'eu'}") for x in ("whole", "part"))
    percent = work(in_percent, part_ratio=lost)
    told = f"{percent.value:.1f} % of the volts of {source} are lost on the way; {100 * limit.value:.0f} % is recommended at the most"
    why = "for a branch" if us else "for lights"
    return most(
        percent.value, 100 * limit.value, "%", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, warn_above=100 * small.value,
        warn=f"{told}, {100 * small.value:.0f} % {why}.", steps=(percent,), clause=limit.clause,
    )  # fmt: skip


@rule(
    "mains/ac-drop",
    "D32",
    "Voltage drop of alternating current",
    why="A pump at the end of a thin cord starts twice as long and draws twice as hot; lights dip with every kettle.",
    severities=("disappoints", "note"),
    clauses={
        "us": Clause("NFPA 70", "2023", "210.19 and 215.2, informational notes", "memory"),
        "": Clause("IEC 60364-5-52", "2009", "Annex G, Table G.52.1", "memory"),
    },
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each load of alternating current, from the source that loses most on the way."""
    found: dict[str, list[Judgement]] = {}
    for e in study.graph.elements.values():
        if e.kind != "load" or e.owner not in study.rig.use.loads or study.graph.terminals[e.a].pole not in LINES:  # fmt: skip
            continue
        judged = [j for s in _sources(study) if (j := _from(study, s, e)) is not None]
        if judged:
            found.setdefault(e.owner, []).extend(judged)
    for owner, all_of in found.items():
        yield owner, min(all_of, key=_rank)
    if not found:
        yield "rig", skipped("No load of alternating current with a source.")


def _rank(j: Judgement) -> tuple[int, float]:
    return ("fail", "cannot-tell", "warn", "pass").index(j.verdict), -(j.value or 0.0)


@dataclass(frozen=True, slots=True)
class _Source:
    """A source of alternating current: its part, what its line and its return conduct to while it is the source."""

    part: str
    lines: dict[str, Reached]
    back: Reached


@once
def _sources(study: Study) -> tuple[_Source, ...]:
    """Supplies, generators and inverters, each in the states in which it gives."""
    graph = study.graph
    found = []
    ends: dict[str, list[tuple[str, str, Element]]] = {}
    for e in graph.elements.values():
        a, b = (e.a, e.b) if e.kind == "source" else (e.out_a, e.out_b) if e.kind == "converter" else ("", "")
        if a and graph.terminals[a].pole in LINES:
            ends.setdefault(e.owner, []).append((a, b, e))
    for owner, those in ends.items():
        roads = Roads(graph, when=those[0][2].when)
        found.append(_Source(owner, {a: roads.reach((a,)) for a, _, _ in those}, roads.reach((those[0][1],))))
    return tuple(found)


def _from(study: Study, source: _Source, e: Element) -> Judgement | None:
    """Out to the load and back, every conductor with the most that runs through it for hours."""
    out = next((r for r in source.lines.values() if e.a in r.terminals), None)
    home = next((r for r in (source.back, *source.lines.values()) if r is not out and e.b in r.terminals), None)  # fmt: skip
    if out is None or home is None:
        return None
    load = study.rig.use.loads[e.owner]
    volts = asked(study.rig.parts[source.part].figure("ac_voltage"))
    limit = 100 * find("drop/ac-whole-us" if country(study.rig.job.rules) == "us" else "drop/ac-whole-eu").value  # fmt: skip
    names = [n for n in (*out.edges(e.a), *home.edges(e.b)) if n in study.graph.conductors]
    ways = [study.graph.conductors[n] for n in names]
    lost = [asks(study, c, "length" if c.length_m is None else "cable") for c in ways if c.length_m is None or c.area_mm2 is None]  # fmt: skip
    lost += [] if told_W(load) is not None else [f"{load.id}.power"]
    lost += volts.missing
    if lost or volts.figure is None:
        unsized = any(not x.endswith((".power", ".ac_voltage")) for x in lost)
        why = "A conductor on its way has no length or size." if unsized else "What it takes while it runs is not written." if volts.figure else "The volts of its source are not known."  # fmt: skip
        return cannot_tell(why, lost, limit=limit, unit="%", sense="max")
    legs = home is not source.back
    system: Figure | Step = work(many_V, many_count=2.0, one_V=volts.figure) if legs else volts.figure
    own = (told_W(load) or 0.0) / system.value
    steps = [_drop(study, c, own, load.id) for c in ways]
    if not steps:
        return None
    return judge(work(drop_ratio, lost_V=running_sum(sum_V, steps), system_V=system), source.part, study.rig.job.rules)  # fmt: skip


def _drop(study: Study, c: Conductor, own_A: float, load: str) -> Step:
    """Volts lost in one conductor at 75 °C by its printed maximum; its reactance is left out, as small beside that.

    It carries the most of any case that lasts, at least what the load itself takes.
    """
    guarded = study.guards.get(c.id)
    amps = guarded.design_A if guarded is not None and guarded.design_A is not None else 0.0
    at = f"{c.id} in case {guarded.design_case}" if guarded is not None else c.id
    if amps < own_A:
        amps, at = own_A, f"{load} alone in {c.id}"
    per_m = cable_ohm_per_m(c.area_mm2 or 0.0, c.cable.size, c.cable.system, 75.0, "high", c.cable.material)
    return work(
        run_drop_V,
        current_A=figure(amps, "A", COMPUTED, address=at),
        length_m=length_of(study, c),
        per_m_ohm_per_m=figure(
            per_m, "ohm/m", COMPUTED, address=f"a metre of {c.id} at 75 °C, printed maximum"
        ),
    )
