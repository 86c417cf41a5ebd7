"""A16: modules that face different ways on one controller."""

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ohmwright.checks.circuits import PvCircuit, pv_circuits
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.strings import series_loss_ratio
from ohmwright.physics.sums import in_percent
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Step, figure, work

if TYPE_CHECKING:
    from ohmwright.roof.mismatch import Lit

Plane = tuple[float, float]
FULL_W_m2 = 1000.0


def angle_deg(first: Plane, second: Plane) -> float:
    """Between the faces of two planes given by tilt and bearing.

    >>> round(angle_deg((30.0, 90.0), (30.0, 270.0)))
    60
    """
    (t1, b1), (t2, b2) = ((math.radians(x) for x in p) for p in (first, second))
    cosine = math.cos(t1) * math.cos(t2) + math.sin(t1) * math.sin(t2) * math.cos(b1 - b2)
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def judge(loss: Step, apart_deg: float) -> Judgement:
    """Power lost while the sun stands square to one of the planes."""
    percent = work(in_percent, part_ratio=loss)
    told = f"Planes {apart_deg:.0f}° apart share a controller and give away {percent.value:.1f} % when the sun is square to one of them"
    return most(
        percent.value, 100 * find("pv/plane-loss").value, "%", good=f"{told}.", bad=f"{told}.", remedy="A controller for each plane.", steps=(percent,)
    )  # fmt: skip


@rule(
    "array/planes-on-one-tracker",
    "A16",
    "Different planes on one tracker",
    why="A controller looks for one best voltage. Modules that see different light have different ones.",
    severities=("disappoints",),
    clauses={"": Clause("", "", "physics, one diode a module; limit is a shop rule", "computed")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each array circuit whose modules face more than one way."""
    for circuit in pv_circuits(study):
        planes = _planes(study, circuit)
        if planes is None:
            yield (
                circuit.name,
                cannot_tell(
                    "How its modules face is not known.", (f"{circuit.name}.plane",), unit="%", sense="max"
                ),
            )
            continue
        apart = max((angle_deg(a, b) for a in planes.values() for b in planes.values()), default=0.0)
        if at_most(apart, find("pv/plane-angle").value):
            yield circuit.name, skipped("Its modules face the same way.")
        else:
            yield circuit.name, _worst(study, circuit, planes, apart)


def _planes(study: Study, circuit: PvCircuit) -> dict[str, Plane] | None:
    found: dict[str, Plane] = {}
    for string in circuit.strings:
        name = string.id.partition(".")[0]
        surface = study.surfaces.get(name)
        if surface is None:
            return None
        found[name] = (surface.facing.tilt_deg, surface.facing.on_host_deg)
    return found


def _worst(study: Study, circuit: PvCircuit, planes: dict[str, Plane], apart: float) -> Judgement:
    """Strings of different arrays stand in parallel: one voltage for all."""
    weak = find("pv/diffuse-light").value
    worst: Step | None = None
    for square in planes.values():
        lit: list[tuple[int, Lit]] = []
        unknown: list[str] = []
        for number, (name, plane) in enumerate(planes.items()):
            direct = (FULL_W_m2 - weak) * max(0.0, math.cos(math.radians(angle_deg(square, plane))))
            members = [m for s in circuit.strings if s.id.partition(".")[0] == name for m in s.members]
            these, missing = study.lit(name, (direct + weak,) * len(members))
            lit += [(number, m) for m in these]
            unknown += missing
        if unknown:
            return cannot_tell(
                "A module's figures do not make a curve.", (f"{u.partition(':')[0]}" for u in unknown), unit="%", sense="max"
            )  # fmt: skip
        answer = study.mismatch(tuple(replace(m, string=100 * number + m.string) for number, m in lit))
        loss = work(
            series_loss_ratio,
            best_W=figure(
                answer.as_wired.best.power_W, "W", COMPUTED, address=f"{circuit.name} on one controller"
            ),
            sum_W=figure(answer.separate_W, "W", COMPUTED, address=f"{circuit.name} on one each"),
        )
        worst = loss if worst is None or loss.value > worst.value else worst
    assert worst is not None
    return judge(worst, apart)
