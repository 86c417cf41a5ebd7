"""E9: wind on modules against what holds them."""

from collections.abc import Iterator

from ohmwright.checks.circuits import pv_circuits
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, most
from ohmwright.checks.registry import rule
from ohmwright.physics.weights import part_of_N, uplift_N
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work

REMEDY = "More feet, a rail into structure, or a guard against the wind at the front edge."


def judge(
    area_m2: Figure, feet: Figure | None, pull_out: Figure | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """Pull on one foot in a storm against a third of its pull-out force."""
    if feet is None or pull_out is None:
        return cannot_tell("What one of its feet holds in that substrate is not known.", missing, unit="N", sense="max", remedy="Write what holds it as a part of kind mounting on that roof, with its feet and what pulls one out: by a pull test, or by the maker's figure for that substrate.")  # fmt: skip
    pull = work(
        uplift_N,
        density_factor=find("vehicles/air-density").value,
        wind_m_per_s=find("vehicles/uplift-wind").figure,
        pressure_factor=find("vehicles/uplift-coefficient").figure,
        area_m2=area_m2,
        feet_count=feet,
    )
    allowed = work(part_of_N, whole_N=pull_out, spare_ratio=find("vehicles/pull-out-spare").figure)
    told = f"A storm pulls {tell(pull.value, 'N')} at each foot; {tell(allowed.value, 'N')} are allowed, a third of what pulls it out"
    return most(pull.value, allowed, "N", good=f"{told}.", bad=f"{told}: the module becomes a sail on the road.", remedy=REMEDY, steps=(pull,))  # fmt: skip


@rule(
    "place/roof-uplift",
    "E9",
    "Roof uplift",
    why="A module that leaves the roof at road speed lands in a windscreen.",
    severities=("danger",),
    clauses={
        "": Clause("", "", "dynamic pressure; coefficient and spare are common practice, no source", "memory")
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The largest module of each array with the mounting of its place."""
    for circuit in pv_circuits(study):
        for name in dict.fromkeys(s.id.partition(".")[0] for s in circuit.strings):
            members = [m for s in circuit.strings if s.id.partition(".")[0] == name for m in s.members]
            yield name, _one(study, name, members)


def _one(study: Study, array: str, members: list[Part]) -> Judgement:
    sides = [(asked(m.figure("length")), asked(m.figure("width"))) for m in members]
    if any(a.figure is None or b.figure is None for a, b in sides):
        lost = tuple(x for pair in sides for a in pair if a.figure is None for x in a.missing)
        return cannot_tell("The size of a module is not known.", lost, unit="N", sense="max")
    area = max(
        a.figure.value * b.figure.value for a, b in sides if a.figure is not None and b.figure is not None
    )
    mounting = next((p for p in study.rig.of_kind("mounting") if p.place == members[0].place), None)
    if mounting is None:
        return judge(figure(area, "1", COMPUTED, address=f"one module of {array}"), None, None, (f"{array}.mounting",))  # fmt: skip
    feet, pull = asked(mounting.figure("feet")), asked(mounting.figure("pull_out"))
    return judge(
        figure(area, "1", COMPUTED, address=f"one module of {array}"), feet.figure, pull.figure, (*feet.missing, *pull.missing)
    )  # fmt: skip
