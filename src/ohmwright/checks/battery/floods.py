"""B33: batteries above the water that a hull or a wheel arch may hold."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, least, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, tell

REMEDY = "Raise it on a tray, or move it."


def judge(height: Figure | None, water: Figure | None, missing: tuple[str, ...] = ()) -> Judgement:
    """Height of its place against the highest water, both on the host's axes."""
    if height is None or water is None:
        return cannot_tell(
            "Its height, or that of the highest bilge water, is not known.", missing, unit="m", sense="min"
        )
    told = f"It stands at {tell(height.value, 'm')}; water may stand up to {tell(water.value, 'm')}"
    return least(height.value, water, "m", good=f"{told}.", bad=f"{told}: salt water across a bank boils and burns.", remedy=REMEDY, roots=(height,))  # fmt: skip


@rule(
    "battery/floods",
    "B33",
    "Battery low in a hull or in wheel splash",
    why="A bank that stands in water shorts through it, and gives off chlorine where the water is salt.",
    severities=("danger",),
    sets=("us-boat", "eu-boat", "us-vehicle", "eu-vehicle"),
    clauses={
        "us-boat": Clause("ABYC E-10", "2011", "10.7, installation", "memory"),
        "eu-boat": Clause("ISO 13297", "2020", "installation of batteries", "memory"),
        "": Clause("", "", "common practice, no source", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each bank by its place."""
    for bank in banks(study.rig):
        yield bank.id, _of_bank(study, bank)


def _of_bank(study: Study, bank: Bank) -> Judgement:
    name = bank.group.place or bank.members[0].place
    place = study.rig.host.places.get(name)
    if host(study.rig.job.rules) != "boat":
        if place is None:
            return cannot_tell("Where it sits is not known.", (f"{bank.id}.at",))
        if place.regime == "underbody":
            return fails("It hangs under the floor in the splash of the wheels.", REMEDY)
        return passes(f"It sits in {place.id}, not under the floor.")
    if place is not None and place.words.get("ashore") in ("yes", "true"):
        return skipped("It stands ashore.")
    water = None
    if place is not None:
        for key in ("floods-at", "floods_at"):
            given = known(place.figures[key]) if key in place.figures else None
            water = given.at(f"host.places.{place.id}.floods-at") if given is not None else water
    height = (
        None
        if place is None or place.at is None
        else figure(place.at[2], "m", COMPUTED, address=f"host.places.{name}.at")
    )
    lost = ((f"host.places.{name}.floods-at",) if water is None else ()) + (
        () if height else (f"host.places.{name}.at",)
    )
    return judge(height, water, lost)
