"""E20: each tyre, axle and hitch against its own plate."""

from collections.abc import Iterator

from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import Judgement, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import PHYSICS
from ohmwright.study import Study
from ohmwright.working import Figure, tell

ITEMS = (
    ("front-axle", "front-axle-limit", "front axle"),
    ("rear-axle", "rear-axle-limit", "rear axle"),
    ("tongue", "hitch-limit", "hitch"),
)


def judge(name: str, load: Figure | None, limit: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """A weighed load against its plate."""
    if load is None or limit is None:
        return cannot_tell(
            f"The {name} has not been weighed, or its plate is not known.",
            missing,
            unit="kg",
            sense="max",
            remedy="Weigh it ready to roll; read the plate and the tyre.",
        )
    told = f"{name}: {tell(load.value, 'kg', 4)} of {tell(limit.value, 'kg', 4)}"
    return most(
        load.value,
        limit,
        "kg",
        good=f"{told}.",
        bad=f"{told}.",
        remedy="Move or drop mass.",
        roots=(load, limit),
    )


@rule(
    "place/axle-and-tyre",
    "E20",
    "Each tyre, axle and hitch",
    why="The sum may be in order while one tyre is not. It is the one that bursts.",
    severities=("danger",),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Axles of vans, the hitch of trailers."""
    trailer = study.rig.host.kind in ("trailer", "caravan")
    if study.rig.host.kind in ("boat", "cabin"):
        yield "host", skipped("It has no wheels.")
        return
    for load, limit, name in ITEMS:
        if trailer == (name == "hitch"):
            weighed, plate = mass(study.rig, load), mass(study.rig, limit)
            yield (
                f"host.{load}",
                judge(name, weighed.figure, plate.figure, (*weighed.missing, *plate.missing)),
            )
