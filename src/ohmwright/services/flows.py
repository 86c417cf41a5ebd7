"""Currents, drops and shares by operating case; prospective faults at each terminal."""

from typing import Any

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


def case_json(s: Solution) -> dict[str, Any]:
    """One solved case."""
    return {
        "title": s.case.title or None,
        "states": dict(s.states),
        "converged": s.converged,
        "collapse_margin": finite(s.collapse_margin),
        "runs": {
            k: {"current_A": finite(r.current_A), "drop_V": finite(r.drop_V), "loss_W": finite(r.loss_W)}
            for k, r in s.conductors.items()
        },
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
    """One terminal's fault."""
    return {
        "max_A": finite(f.max_A),
        "min_A": finite(f.min_A),
        "from": {k: finite(v) for k, v in f.from_A.items()},
        "clears_s": {k: finite(v) for k, v in f.clears_s.items()} if f.clears_s else None,
        "missing": list(f.missing),
    }


def flows_json(opened: Opened, study: Study, case: str | None = None) -> dict[str, Any]:
    """The answer of `flows --json`."""
    return {
        **envelope(opened),
        "cases": {name: case_json(study.solution(name)) for name in case_names(study, case)},
        "faults": {t: fault_json(f) for t, f in study.faults.items()},
    }


def spice(study: Study, case: str | None) -> str:
    """A netlist of the DC islands of a case (the first one when none is named), for a general circuit simulator."""
    from ohmwright.circuit.spice import netlist

    name = case_names(study, case)[0]
    return netlist(study.rig, study.graph, study.cases[name])
