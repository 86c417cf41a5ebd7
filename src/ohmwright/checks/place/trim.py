"""E14: what the rig does to a boat's trim."""

from collections.abc import Iterator

from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import Judgement, cannot_tell, most
from ohmwright.checks.masses import added
from ohmwright.checks.registry import rule
from ohmwright.physics.weights import shift_m
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Absent, Figure, Step, figure, tell, work

REMEDY = "Move mass, or have the owner accept the trim."


def judge(shift: Step, limit: Figure) -> Judgement:
    """How far the centre of gravity moves against what the owner accepts."""
    told = f"What comes aboard moves the centre of gravity by {tell(shift.value, 'm')}; {tell(limit.value, 'm')} are accepted"
    return most(shift.value, limit, "m", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(shift,))


@rule(
    "place/trim",
    "E14",
    "Trim and heel",
    why="Sixty kilograms in the stern are a bow that slams and a self-bailing cockpit that does not.",
    severities=("disappoints",),
    sets=("us-boat", "eu-boat"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Fore and aft, and across, the larger."""
    limit, displacement = study.rig.host.masses.get("trim-limit", Absent()), mass(study.rig, "displacement")
    more = added(study)
    given = limit if isinstance(limit, Figure) and limit.unit == "m" else None
    lost = [
        *(("host.masses.trim-limit",) if given is None else ()),
        *(displacement.missing if displacement.figure is None else ()),
        *more.missing,
    ]
    if given is None or displacement.figure is None or more.missing:
        yield (
            "host",
            cannot_tell(
                "What it does to the trim cannot be told: the owner's limit in metres of the centre of gravity, or the displacement, is missing.",
                lost, unit="m", sense="max",
            ),
        )  # fmt: skip
        return
    middle = mass(study.rig, "removed-ahead")
    along = more.moment_kg_m - more.mass_kg * (middle.figure.value if middle.figure is not None else 0.0)
    worst = max(abs(along), abs(more.across_kg_m))
    step = work(
        shift_m,
        moment_kg_m=figure(worst, "1", COMPUTED, address="masses aboard times their distance"),
        laden_kg=displacement.figure,
    )
    yield "host", judge(step, given if given.address else given.at("host.masses.trim-limit"))
