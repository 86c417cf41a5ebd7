"""Why a run carries so many amps and loses so many volts: the case that asks most of it."""

import math
from collections.abc import Mapping

import numpy as np

from ohmwright.checks.wires import length_of
from ohmwright.circuit.types import RunAnswer
from ohmwright.circuit.wiring import REACTANCE_ohm_per_m, Reading, conductor_ohm
from ohmwright.energy.reckoned import Ask, Listing, Reckoned, Row, computed, given, held, worked
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.rig.model import Run
from ohmwright.study import Study
from ohmwright.working import OhmwrightError, Step, nearest, tell

CURRENT, DROP = "run/current", "run/drop"
MOST_CASES = 12
#: Roles of runs through which no current of the circuits goes.
SIGNAL = ("data", "sense")


def largest_currents(study: Study) -> dict[str, tuple[str, RunAnswer]]:
    """By conductor the case in which it carries most, and what it carries then; of equal ones the first case."""
    cases = list(study.cases)
    solved = [study.solution(case).conductors for case in cases]
    if not solved:
        return {}
    most = np.abs([s.current_A for s in solved]).argmax(axis=0).tolist()
    columns = ([getattr(s, c).tolist() for s in solved] for c in ("current_A", "drop_V", "loss_W"))
    amps, volts, watts = columns
    return {
        name: (cases[k], RunAnswer(amps[k][n], volts[k][n], watts[k][n]))
        for n, (name, k) in enumerate(zip(solved[0], most, strict=True))
    }


def largest(run: Run, currents: Mapping[str, tuple[str, RunAnswer]]) -> tuple[str, str, RunAnswer] | None:
    """Core, case and answer of the largest current that a run carries in any of the cases."""
    best: tuple[str, str, RunAnswer] | None = None
    for core in run.cores:
        told = currents.get(core.id)
        if told is not None and (best is None or abs(told[1].current_A) > abs(best[2].current_A)):
            best = core.id, *told
    return best


def drop_of(study: Study, best: tuple[str, str, RunAnswer]) -> float | None:
    """The drop of that answer; None where size or length of the conductor is not known: it was solved as nothing."""
    c = study.graph.conductors[best[0]]
    unknown = c.area_mm2 is None or c.length_m is None
    return None if unknown and c.role not in SIGNAL else best[2].drop_V


def _run_of(study: Study, name: str) -> Run:
    if name not in study.rig.runs:
        near = nearest(name, study.rig.runs)
        raise OhmwrightError(
            f"there is no run '{name[:40]}'",
            remedy=f"did you mean {near}?" if near else "look at the schedule",
        )
    return study.rig.runs[name]


def _most(study: Study, name: str) -> tuple[Run, str, str, RunAnswer]:
    run = _run_of(study, name)
    best = largest(run, largest_currents(study))
    if best is None:
        raise OhmwrightError(f"{name} is in no case", remedy="join both of its ends")
    return run, *best


def current(study: Study, name: str) -> Reckoned:
    """The largest current of a run, case by case."""
    run, core, _, answer = _most(study, name)
    by_case = {
        case: abs(a.current_A) for case in study.cases if (a := study.solution(case).conductors.get(core))
    }
    ranked = sorted(by_case, key=lambda c: -by_case[c])[:MOST_CASES]
    step = worked(
        "I", f"max({', '.join(f'I_{n}' for n in range(1, len(ranked) + 1))})" if len(ranked) > 1 else "I_1",
        abs(answer.current_A), "A",
        [computed(f"I_{n}", by_case[c], "A", f"in case {c}") for n, c in enumerate(ranked, 1)],
        f"the cases in which {core} carries most",
    )  # fmt: skip
    rows = []
    for case in ranked:
        solved = study.solution(case)
        drop = solved.drop_of(core)
        rows.append(Row(case, (tell(by_case[case], "A", 4), tell(drop, "V", 3) if drop is not None else "?")))
    says = (
        ("Each case is the whole rig with certain loads, chargers and batteries on, solved as one network: every load at its power, every source behind its resistance. "
        "The schedule shows the case in which the run carries most."),
    )  # fmt: skip
    return Reckoned(
        Ask(CURRENT, name), f"current of {name}, {run.start} to {run.stop}", step.value, "A", says, (step,),
        (Listing("The cases, largest current first", ("case", "current", "drop"), tuple(rows)),),
        (("What it loses in volts", Ask(DROP, name)),),
    )  # fmt: skip


def drop(study: Study, name: str) -> Reckoned:
    """What a run loses: its largest current through its own length at the warmth of that case, with its lugs."""
    run, core, case, answer = _most(study, name)
    c = study.graph.conductors[core]
    if c.role in SIGNAL:
        step = worked("U_drop", "0", 0.0, "V", (), "a lead for data or sense: no current of the circuits goes through it")  # fmt: skip
        return Reckoned(Ask(DROP, name), f"volts lost in {name}, {run.start} to {run.stop}", 0.0, "V", (), (step,))  # fmt: skip
    if c.area_mm2 is None or c.length_m is None:
        what = "length" if c.length_m is None else "cable"
        raise OhmwrightError(f"the drop of {name} is not known", remedy=f"write the {what} of {name}")
    reading = Reading(study.cases[case].conductor_degC)
    warm = reading.conductor_degC
    per_m = cable_ohm_per_m(c.area_mm2, c.cable.size, c.cable.system, warm, reading.bound, c.cable.material)
    size = f"{c.cable.size} {c.cable.system}".strip() if c.cable.size else f"{c.area_mm2:g} mm²"
    length = length_of(study, c)
    ohm = worked(
        "R", "L * r + 2 * R_lug", conductor_ohm(c, reading), "ohm",
        (
            given("L", length, length.address or f"{name}.length"),
            computed("r", per_m, "ohm/m", f"a metre of {size} at {warm:g} °C, printed maximum"),
            computed("R_lug", reading.joint_ohm, "ohm", "of each lug"),
        ),
        f"one way: {core} alone, with its two lugs",
    )  # fmt: skip
    step = _volts(answer, ohm, c.length_m, f"in case {case}", Ask(CURRENT, name))
    others = []
    for other in study.graph.conductors.values():
        if other.run == c.run or other.id == core:
            told = study.solution(case).conductors.get(other.id)
            if told is not None:
                others.append(Row(other.id, (tell(abs(told.current_A), "A", 4), tell(told.drop_V, "V", 3))))
    says = (
        (f"The schedule shows one way, of the conductor that carries most, in the case in which it does: {case}. The way back is a conductor of its own, with its own drop; "
        "the rules judge both together, against the volts of the system."),
    )  # fmt: skip
    lists = (
        Listing(f"The conductors of {name} in case {case}", ("conductor", "current", "drop"), tuple(others)),
    )
    return Reckoned(Ask(DROP, name), f"volts lost in {name}, {run.start} to {run.stop}", step.value, "V", says, (step,), lists)  # fmt: skip


def _volts(answer: RunAnswer, ohm: Step, length_m: float, told: str, ask: Ask) -> Step:
    amps = computed("I", abs(answer.current_A), "A", told, ask)
    plain = abs(answer.current_A) * ohm.value
    if math.isclose(plain, answer.drop_V, rel_tol=1e-6, abs_tol=1e-9):
        return worked("U_drop", "I * R", answer.drop_V, "V", (amps, held("R", ohm)))
    reactance = computed("X", REACTANCE_ohm_per_m * length_m, "ohm", "reactance of its length, alternating current")  # fmt: skip
    return worked("U_drop", "I * sqrt(R**2 + X**2)", answer.drop_V, "V", (amps, held("R", ohm), reactance))
