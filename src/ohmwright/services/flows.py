"""Currents, drops and shares by operating case; prospective faults at each terminal; batteries that open one after the other."""

from typing import Any

from ohmwright.circuit.ac_clearing import Cleared, longest
from ohmwright.circuit.cascade import Cascade
from ohmwright.circuit.types import Fault, Solution
from ohmwright.services.answers import envelope, finite
from ohmwright.services.opening import Opened
from ohmwright.study import Study
from ohmwright.working import OhmwrightError, nearest


def case_names(study: Study, case: str | None) -> list[str]:
    """The case asked for, or all of them."""
    if case is None:
        return list(study.cases)
    if case not in study.cases:
        near = nearest(case, study.cases)
        raise OhmwrightError(
            f"no case '{case}'",
            remedy=f"did you mean {near}?" if near else "write one of " + ", ".join(study.cases),
        )
    return [case]


def run_figures(s: Solution, conductor: str) -> tuple[float, float | None, float | None]:
    """Current, drop and loss of a conductor; drop and loss None where its size or length is not known."""
    answer = s.conductors[conductor]
    drop = s.drop_of(conductor)
    return answer.current_A, drop, None if drop is None else answer.loss_W


def case_json(s: Solution) -> dict[str, Any]:
    """One solved case."""
    runs = {}
    for k in s.conductors:
        amps, drop, loss = run_figures(s, k)
        runs[k] = {"current_A": finite(amps), "drop_V": finite(drop), "loss_W": finite(loss)}
    return {
        "title": s.case.title or None,
        "states": dict(s.states),
        "converged": s.converged,
        "collapse_margin": finite(s.collapse_margin),
        "falls_first": s.falls_first or None,
        "runs": runs,
        "batteries": {
            k: {"current_A": finite(b.current_A), "share": finite(b.share)} for k, b in s.batteries.items()
        },
        "nodes": {
            k: {"volts": finite(v.volts)}
            | ({"volts_angle_deg": finite(v.angle_deg)} if v.angle_deg is not None else {})
            for k, v in s.nodes.items()
        },
        "story": list(s.story),
        "unsolved": list(s.unsolved),
    }


def fault_json(f: Fault) -> dict[str, Any]:
    """One terminal's fault; `clears_s` always names both bounds, null where a device is never proved to open."""
    times = f.clears_s
    return {
        "max_A": finite(f.max_A),
        "min_A": finite(f.min_A),
        "from": {k: finite(v) for k, v in f.from_A.items()},
        "clears_s": {k: finite(times.get(k)) for k in ("max", "min")} if times else None,
        "tau_s": {k: finite(f.tau_s.get(k)) for k in ("max", "min")} if f.tau_s else None,
        "let_through_A2s": {k: finite(f.let_through_A2s.get(k)) for k in ("max", "min")}
        if f.let_through_A2s
        else None,
        "missing": list(f.missing),
    }


def faults(study: Study) -> dict[str, Fault]:
    """The faults of both sides: direct current first, then live to neutral."""
    return {**study.faults, **{t: f for t, f in study.ac_faults.items() if t not in study.faults}}


def faults_json(study: Study) -> dict[str, Any]:
    """Every terminal's fault; on the AC side with the faults to earth and to the other line beside it, where there are such."""
    out = {t: fault_json(f) for t, f in faults(study).items()}
    for t, told in study.neutral_clearing.items():
        if t in out and t not in study.faults:
            out[t] |= _cleared_json(told)
    for name, others, clearing in (
        ("to_earth", study.earth_faults, study.earth_clearing),
        ("to_line", study.line_faults, study.line_clearing),
    ):
        for t, f in others.items():
            if t in out:
                told = clearing.get(t, ())
                out[t][name] = {
                    "max_A": finite(f.max_A),
                    "min_A": finite(f.min_A),
                    "from": {k: finite(v) for k, v in f.from_A.items()},
                    "missing": list(f.missing),
                    **_cleared_json(told),
                }
                if name == "to_earth":
                    out[t][name]["allowed_s"] = allowed_s(study, told)
    return out


def _cleared_json(told: tuple[Cleared, ...]) -> dict[str, Any]:
    """How long an AC fault lasts at most, over all standings and sources; null where nothing is proved to clear it."""
    worst = longest(told) if told else None
    known = worst is not None and worst.min_s is not None
    return {
        "clears_s": {"max": finite(worst.max_s), "min": finite(worst.min_s)} if worst and known else None,
        "cleared_by": worst.by or None if worst else None,
        "clears_missing": list(worst.missing) if worst else [],
    }


def allowed_s(study: Study, told: tuple[Cleared, ...]) -> float | None:
    """The shortest time that the rule set allows the sources of a fault to earth; None where it names none."""
    from ohmwright.checks.mains.earth_fault_time import limits

    given = [limit for c in told if (limit := limits(study, c.source)[0]) is not None]
    return min((f.value for f in given), default=None)


def cascades(study: Study, case: str | None = None) -> dict[str, Cascade]:
    """What batteries that open do to the heaviest cases, or to the one case asked for."""
    from ohmwright.circuit.cascade import cascades_of

    return dict(cascades_of(study.rig, study.graph, [case] if case else None))


def cascade_json(c: Cascade) -> dict[str, Any]:
    """One story of openings."""
    return {
        "openings": [
            {
                "battery": o.battery,
                "carried_A": finite(o.carried_A),
                "limit_A": finite(o.limit_A),
                "charging": o.charging,
            }
            for o in c.openings
        ],
        "dark": c.dark,
        "missing": list(c.missing),
        "story": list(c.story),
    }


def flows_json(opened: Opened, study: Study, case: str | None = None) -> dict[str, Any]:
    """The answer of `flows --json`."""
    return {
        **envelope(opened),
        "cases": {name: case_json(study.solution(name)) for name in case_names(study, case)},
        "faults": faults_json(study),
        "cascades": {name: cascade_json(c) for name, c in cascades(study, case).items()},
    }


def spice(study: Study, case: str | None) -> str:
    """A netlist of the DC islands of a case (the first one when none is named), for a general circuit simulator."""
    from ohmwright.circuit.spice import netlist

    name = case_names(study, case)[0]
    return netlist(study.rig, study.graph, study.cases[name])
