"""C3: volts lost between bank and what they are for."""

from collections.abc import Iterator

from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import once
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.solved import full_cases
from ohmwright.checks.walk import Reached, reach
from ohmwright.checks.wires import asks
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import drop_ratio, drop_V
from ohmwright.physics.sums import sum_V
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work

REMEDY = "A larger conductor, or a shorter way."


def judge(lost: Step, limit: Published) -> Judgement:
    """Drop as part of the source's volts against what is allowed for this kind of circuit."""
    told = f"{100 * lost.value:.1f} % of the volts are lost on the way; {100 * limit.value:.0f} % is the limit for this kind of circuit"
    return most(
        100 * lost.value,
        100 * limit.value,
        "%",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=REMEDY,
        steps=(lost,),
        clause=limit.clause,
    )


@rule(
    "wiring/drop",
    "C3",
    "Voltage drop",
    why="Lost volts are heat in the cable, dim lamps, pumps that stall and chargers that think the battery is full.",
    severities=("disappoints",),
    clauses={"": Clause("ABYC E-11", "older", "11.14.2.6; common practice", "secondary")},
    needs=("cases",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each inverter at full power, each DC load with all DC loads on, each charger alone."""
    for inverter in study.rig.of_kind("inverter", "inverter-charger"):
        for case in list(full_cases(study, inverter.id))[:1]:
            yield from _one(
                study,
                case.name,
                inverter.id,
                f"{inverter.id}.dc.+",
                f"{inverter.id}.dc.-",
                find("drop/bank-inverter"),
            )
    if "night" in study.cases:
        for load in study.rig.use.loads.values():
            element = next(
                (e for e in study.graph.elements.values() if e.owner == load.id and e.kind == "load"), None
            )
            if (
                element is None
                or study.graph.terminals[element.a].port_role == "ac"
                or study.graph.terminals[element.a].pole in ("L", "L1", "L2")
            ):
                continue
            limit = find("drop/critical" if load.priority == "always" else "drop/other")
            yield from _one(study, "night", load.id, element.a, element.b, limit)
    for case in study.cases.values():
        charger = case.name.removesuffix("-alone")
        part = study.rig.parts.get(charger) if case.name.endswith("-alone") else None
        if part is not None:
            element = next(
                (
                    e
                    for e in study.graph.elements.values()
                    if e.owner == charger and e.kind == "converter" and e.role != "inverter"
                ),
                None,
            )
            if element is not None:
                yield from _one(study, case.name, charger, element.out_a, element.out_b, find("drop/charger"))


def _one(
    study: Study, case: str, subject: str, plus: str, minus: str, limit: Published
) -> Iterator[tuple[str, Judgement]]:
    solution = study.solution(case)
    if not solution.converged:
        yield subject, skipped(f"Case {case} has no steady state.")
        return
    lost = drop = None
    missing: list[str] = []
    system = None
    for terminal, pole in ((plus, "+"), (minus, "-")):
        way = way_to_bank(study, terminal, pole)
        if way is None:
            yield subject, skipped("No bank conducts to it.")
            return
        system, names = way
        for name in names:
            c = study.graph.conductors[name]
            if c.length_m is None or c.area_mm2 is None:
                missing.append(asks(study, c, "length" if c.length_m is None else "cable"))
                continue
            ohm = c.length_m * cable_ohm_per_m(
                c.area_mm2, c.cable.size, c.cable.system, 75.0, "high", c.cable.material
            )
            amps = abs(solution.conductors[name].current_A) if name in solution.conductors else 0.0
            drop = work(drop_V, current_A=figure(amps, "A", COMPUTED, address=f"{name} in case {case}"), loop_ohm=figure(ohm, "ohm", COMPUTED, address=f"{name} at 75 °C"))  # fmt: skip
            lost = drop if lost is None else work(sum_V, first_V=lost, second_V=drop)
    if missing:
        yield (
            subject,
            cannot_tell(
                "A conductor on its way has no length or size.",
                missing,
                unit="%",
                sense="max",
                limit=100 * limit.value,
            ),
        )
    elif lost is None or system is None:
        yield subject, skipped("No conductor lies between.")
    else:
        yield subject, judge(work(drop_ratio, lost_V=lost, system_V=system), limit)


def way_to_bank(study: Study, terminal: str, pole: str) -> tuple[Figure, tuple[str, ...]] | None:
    """The nearest battery post that a terminal conducts to: the bank's nominal volts, and the conductors between."""
    nominal, reached = from_posts(study)[pole]
    if terminal not in reached.terminals:
        return None
    volts = nominal.get(reached.path(terminal)[0])
    return (
        None
        if volts is None
        else (volts, tuple(n for n in reached.edges(terminal) if n in study.graph.conductors))
    )


@once
def from_posts(study: Study) -> dict[str, tuple[dict[str, Figure], Reached]]:
    """By pole: nominal volts of each bank at its members' posts, and what conducts to any of them, nearest first."""
    found: dict[str, tuple[dict[str, Figure], Reached]] = {}
    for pole in ("+", "-"):
        volts = {
            f"{m.id}.{pole}": f
            for b in banks(study.rig)
            for m in b.members
            if (f := known(m.figure("nominal_voltage"))) is not None
        }
        posts = {t: f for t, f in volts.items() if t in study.graph.terminals}
        found[pole] = (posts, reach(study.graph, posts, stop=lambda _: False))
    return found
