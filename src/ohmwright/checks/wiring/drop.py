"""C3: volts lost between bank and what they are for."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias

from ohmwright.checks.array.hot_voltage import cable_asks, loop_ohm
from ohmwright.checks.circuits import PvCircuit, PvString, banks, pv_circuits
from ohmwright.checks.gather import asked, once
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.shape import of_shape
from ohmwright.checks.solved import full_cases
from ohmwright.checks.walk import Reached, reach
from ohmwright.checks.wires import asks, length_of
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import drop_ratio, drop_V, run_drop_V
from ohmwright.physics.sums import in_percent, sum_V
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause, Published, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, work
from ohmwright.working.step import running_sum

REMEDY = "A larger conductor, or a shorter way."
#: By bank: nominal volts at the posts of its members, and what conducts to any of them by pole.
Posts: TypeAlias = "list[tuple[dict[str, Figure], dict[str, Reached]]]"


def judge(lost: Step, limit: Published) -> Judgement:
    """Drop as part of the source's volts against what is allowed for this kind of circuit."""
    percent = work(in_percent, part_ratio=lost)
    told = f"{percent.value:.1f} % of the volts are lost on the way; {100 * limit.value:.0f} % is the limit for this kind of circuit"
    return most(
        percent.value,
        100 * limit.value,
        "%",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=REMEDY,
        steps=(percent,),
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
    """Each array at its power point, each inverter at full power, each DC load with all DC loads on, a windlass at work, each charger alone."""
    yield from _strings(study)
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
        first = {e.owner: e for e in reversed(tuple(study.graph.elements.values())) if e.kind == "load"}
        for load in study.rig.use.loads.values():
            element = first.get(load.id)
            if (
                element is None
                or study.graph.terminals[element.a].port_role == "ac"
                or study.graph.terminals[element.a].pole in ("L", "L1", "L2")
            ):
                continue
            limit = find("drop/critical" if load.priority == "always" else "drop/other")
            yield from _one(study, "night", load.id, element.a, element.b, limit)
    for motor in study.rig.of_kind("windlass"):
        if f"{motor.id}-works" in study.cases:
            yield from _one(study, f"{motor.id}-works", motor.id, f"{motor.id}.A", f"{motor.id}.B", find("drop/other"))  # fmt: skip
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


def _strings(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every array by the string that loses most, shared conductors with the current of all."""
    limit = find("drop/array")
    for circuit in pv_circuits(study):
        judged = [_string(study, circuit, string, limit) for string in circuit.strings]
        open_ = [j for j in judged if j.verdict == "cannot-tell"]
        yield circuit.name, open_[0] if open_ else max(judged, key=lambda j: j.value or 0.0)


def _string(study: Study, circuit: PvCircuit, string: PvString, limit: Published) -> Judgement:
    amps, volts = (asked(string.members[0].figure(f"max_power_{x}")) for x in ("current", "voltage"))
    ohm = loop_ohm(study, circuit, string)
    if amps.figure is None or volts.figure is None or ohm is None:
        lost = (*amps.missing, *volts.missing, *(cable_asks(study, circuit) if ohm is None else ()))
        return cannot_tell("What its cable loses cannot be told.", lost, unit="%", sense="max", limit=100 * limit.value)  # fmt: skip
    loop = figure(ohm, "ohm", COMPUTED, address=f"cable of {string.id} out and back at 75 °C")
    whole = volts.figure.value * len(string.members)
    system = Figure(whole, "V", whole, whole, volts.figure.origin, address=f"{string.id} at its power point")
    drop = work(drop_V, current_A=amps.figure, loop_ohm=loop)
    return judge(work(drop_ratio, lost_V=drop, system_V=system), limit)


def _one(
    study: Study, case: str, subject: str, plus: str, minus: str, limit: Published
) -> Iterator[tuple[str, Judgement]]:
    lost = lost_on_way(study, case, plus, minus)
    if lost.why_not:
        yield subject, skipped(lost.why_not)
    elif lost.missing:
        yield (
            subject,
            cannot_tell(
                "A conductor on its way has no length or size.",
                lost.missing,
                unit="%",
                sense="max",
                limit=100 * limit.value,
            ),
        )
    elif lost.drop is None or lost.system is None:
        yield subject, skipped("No conductor lies between.")
    else:
        yield subject, judge(work(drop_ratio, lost_V=lost.drop, system_V=lost.system), limit)


@dataclass(frozen=True, slots=True)
class Lost:
    """Volts lost between two terminals and the nearest bank in a case, or why they cannot be told."""

    drop: Step | None = None
    system: Figure | None = None
    missing: tuple[str, ...] = ()
    why_not: str = ""


def lost_on_way(study: Study, case: str, plus: str, minus: str) -> Lost:
    """Every conductor on the way out and back at 75 °C by its printed maximum, with its own current of the case."""
    solution = study.solution(case)
    if not solution.converged:
        return Lost(why_not=f"Case {case} has no steady state.")
    found: list[Step] = []
    drops = _drops(study)
    missing: list[str] = []
    way = way_to_bank(study, plus, minus)
    if way is None:
        return Lost(why_not="No bank conducts to it.")
    system, out_and_back = way
    for names in out_and_back:
        for name in names:
            c = study.graph.conductors[name]
            if c.length_m is None or c.area_mm2 is None:
                missing.append(asks(study, c, "length" if c.length_m is None else "cable"))
                continue
            if (case, name) not in drops:
                amps = abs(solution.conductors[name].current_A) if name in solution.conductors else 0.0
                drops[case, name] = _drop(study, c, c.area_mm2, case, amps)
            found.append(drops[case, name])
    return Lost(running_sum(sum_V, found) if found else None, system, tuple(dict.fromkeys(missing)))


@once
def _drops(study: Study) -> dict[tuple[str, str], Step]:  # noqa: ARG001 - kept by study
    """By case and conductor, what is lost in it: many ways share a conductor."""
    return {}


def _drop(study: Study, c: Conductor, area_mm2: float, case: str, amps: float) -> Step:
    """Volts lost in one conductor of known length."""
    per_m = cable_ohm_per_m(area_mm2, c.cable.size, c.cable.system, 75.0, "high", c.cable.material)
    return work(
        run_drop_V,
        current_A=figure(amps, "A", COMPUTED, address=f"{c.id} in case {case}"),
        length_m=length_of(study, c),
        per_m_ohm_per_m=figure(per_m, "ohm/m", COMPUTED, address=f"a metre of {_told(c)} at 75 °C, printed maximum"),
    )  # fmt: skip


def _told(c: Conductor) -> str:
    """A conductor by its size."""
    return f"{c.cable.size} {c.cable.system}".strip() if c.cable.size else f"{c.area_mm2:g} mm2"


def way_to_bank(study: Study, plus: str, minus: str) -> tuple[Figure, tuple[tuple[str, ...], ...]] | None:
    """The bank whose plus is nearest: its nominal volts, and the conductors from there to either terminal.

    The way back ends at the same bank: another one may lie nearer by metal, and carries currents of its own.
    """
    posts = from_posts(study)
    starts = tuple([tuple(nominal) for nominal, _ in posts])
    way = of_shape(study, ("way", starts, plus, minus), lambda: _nearest(study, posts, plus, minus))
    if way is None:
        return None
    bank, start, out_and_back = way
    return posts[bank][0][start], out_and_back


def _nearest(
    study: Study, posts: Posts, plus: str, minus: str
) -> tuple[int, str, tuple[tuple[str, ...], ...]] | None:
    """The bank whose plus is nearest, the post from which the way leads, and the conductors of both ways."""
    found = [
        (len(reached["+"].edges(plus)), k, reached)
        for k, (_, reached) in enumerate(posts)
        if plus in reached["+"].terminals and minus in reached["-"].terminals
    ]
    if not found:
        return None
    _, bank, reached = min(found, key=lambda f: f[0])
    ways = (reached["+"].edges(plus), reached["-"].edges(minus))
    return (
        bank,
        reached["+"].path(plus)[0],
        tuple(tuple(n for n in way if n in study.graph.conductors) for way in ways),
    )


@once
def from_posts(study: Study) -> Posts:
    """By bank: nominal volts at the posts of its members, and what conducts to any of them by pole, nearest first."""
    found = []
    for bank in banks(study.rig):
        told = {m.id: f for m in bank.members if (f := known(m.figure("nominal_voltage"))) is not None}
        nominal = {t: f for m, f in told.items() for p in "+-" if (t := f"{m}.{p}") in study.graph.terminals}
        reached = {
            pole: of_shape(study, ("from posts", starts), partial(_everywhere, study, starts))
            for pole in ("+", "-")
            for starts in (tuple([t for t in nominal if t.endswith(pole)]),)
        }
        found.append((nominal, reached))
    return found


def _everywhere(study: Study, starts: tuple[str, ...]) -> Reached:
    """What conducts to some terminals, metal and earth included."""
    return reach(study.graph, starts, stop=lambda _: False)
