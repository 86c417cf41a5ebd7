"""E23: modules lie inside their surface, clear of what stands there and of each other."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.judgement import Judgement, at_least, at_most, cannot_tell, fails, least, most
from ohmwright.checks.registry import rule
from ohmwright.roof.fit import ModuleFit
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

REMEDY = "Lay it elsewhere, turn it, or take a smaller module."


def judge(fit: ModuleFit) -> Judgement:
    """One module: on another, on an obstacle, over the edge."""
    if fit.overlaps:
        return fails(f"{fit.module} lies on {', '.join(fit.overlaps)}: both cannot be there.", REMEDY)
    if fit.clear_m is not None and not at_least(fit.clear_m, 0.0):
        clear = figure(fit.clear_m, "m", COMPUTED, address=f"{fit.module} to {fit.nearest}")
        return least(clear, 0.0, "m", good="", bad=f"{fit.module} lies {tell(-fit.clear_m, 'm')} deep on {fit.nearest}.", remedy=REMEDY)  # fmt: skip
    if fit.overhang_m is None:
        return cannot_tell(f"Whether {fit.module} reaches over the edge is not known.", (f"host.places.{fit.place}.outline",), unit="m", sense="max")  # fmt: skip
    over = figure(fit.overhang_m, "m", COMPUTED, address=f"{fit.module} over the edge of {fit.place}")
    told = f"{fit.module} reaches {tell(over.value, 'm')} over the edge of {fit.place}"
    good = f"{fit.module} lies inside {fit.place}" + (f", {tell(fit.clear_m, 'm')} from {fit.nearest}" if fit.clear_m is not None else "")  # fmt: skip
    return most(over, 0.0, "m", good=f"{good}.", bad=f"{told}: the wind gets under it.", remedy=REMEDY)


@rule(
    "place/modules-fit",
    "E23",
    "Modules fit on their surface",
    why="""A module that is drawn over a vent is moved by the installer on the day, to where nobody has reckoned its shade, its
        cable or its feet.""",
    severities=("fails",),
    clauses={"": Clause("", "", "geometry", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array by its worst module."""
    modules, surfaces = study.roof_fit
    for circuit in pv_circuits(study):
        for name in dict.fromkeys(s.id.partition(".")[0] for s in circuit.strings):
            here = [m for m in modules.values() if m.module.partition(".")[0] == name]
            yield name, _worst(circuit, name, here, surfaces[p].unknown if (p := _place(circuit, name)) in surfaces else ())  # fmt: skip


def _place(circuit: PvCircuit, array: str) -> str:
    return next(m.place for s in circuit.strings if s.id.partition(".")[0] == array for m in s.members)


def _worst(circuit: PvCircuit, array: str, here: list[ModuleFit], unknown: tuple[str, ...]) -> Judgement:
    judged = [judge(m) for m in here]
    failing = [j for j in judged if j.verdict == "fail"]
    if failing:
        return min(failing, key=lambda j: j.margin if j.margin is not None else -1.0)
    wanted = sum(len(s.members) for s in circuit.strings if s.id.partition(".")[0] == array)
    if len(here) < wanted or any(u.partition(".")[0] == array for u in unknown):
        return cannot_tell("Where its modules lie is not known.", (f"{array}.laid",), unit="m", sense="max")
    return next((j for j in judged if j.verdict == "cannot-tell"), None) or min(
        judged, key=lambda j: 0.0 if at_most(j.value or 0.0, 0.0) else 1.0
    )
