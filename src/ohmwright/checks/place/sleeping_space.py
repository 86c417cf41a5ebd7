"""E4: batteries are not in the air that people sleep in, and not between a bed and the only way out."""

from collections.abc import Iterator
from typing import Literal

from ohmwright.checks.answers import EYES
from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes, skipped, warns
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.rig.model import Place
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Move it to a side bay, or into a closed box ducted to the outside with the maker's leave; smoke alarm in the sleeping space."
Air = Literal["outside", "closed", "cabin", "unknown"]


def judge(
    air: Air, *, sleeping: bool | None, blocks_way_out: bool | None = False, looked: str = ""
) -> Judgement:
    """`air` is what the battery shares: outside air, a closed and ducted box, the cabin's; `sleeping` whether people sleep in it."""
    if blocks_way_out:
        return fails("The battery lies between a bed and the only way out.", REMEDY)
    if air == "outside":
        return passes("The battery shares no air with people.")
    if air == "unknown" or (sleeping is None and air == "cabin"):
        return cannot_tell(
            "Where the battery or the beds are is not in the model.",
            (looked,),
            remedy="Look, and write it under looked-at.",
        )
    if air == "closed":
        return cannot_tell(
            "It is in a box: somebody has to see that the box is closed, ducted to the outside, and that there is a smoke alarm.",
            (looked,),
            remedy="Look, and write it under looked-at.",
        )
    if sleeping:
        return fails(
            "The battery is in the air that people sleep in, without a closed and ducted box: its gas reaches them first.",
            REMEDY,
        )
    return warns(
        "The battery is in cabin air, apart from where people sleep: ask the local rule.",
        "Ask who may say so there.",
    )


@rule(
    "place/sleeping-space",
    "E4",
    "Batteries and sleeping space",
    why="""A lithium cell that fails gives off gas that burns and kills before it gives off heat that wakes. Where it goes is
        decided when the battery is placed.""",
    severities=("danger", "note"),
    clauses={
        "us-cabin": Clause("IRC", "2021", "R328 (shop rule elsewhere)", "memory"),
        "eu-cabin": Clause("PAS 63100", "2024", "places barred in dwellings", "secondary"),
        "": Clause("", "", "shop rule, no published source for vehicles and boats", "memory"),
    },
    needs=(EYES,),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every lithium bank by the place it sits in."""
    for bank in banks(study.rig):
        if bank.chemistry not in ("lfp", "unknown", "mixed"):
            yield bank.id, skipped("Not lithium: rule E2 is about its gas.")
            continue
        place = study.rig.host.places.get(bank.group.place or bank.members[0].place)
        yield (
            bank.id,
            judge(
                air_of(place),
                sleeping=sleeping_in(study, place),
                looked=f"looked-at place/sleeping-space {bank.id}",
            ),
        )


def air_of(place: Place | None) -> Air:
    """The air of a place, by its regime."""
    if place is None:
        return "unknown"
    if place.regime in ("outside", "sheltered", "engine", "underbody", "buried"):
        return "outside"
    if place.regime == "box":
        return "closed"
    return "cabin" if place.regime in ("cabin", "heated", "locker") else "unknown"


def sleeping_in(study: Study, place: Place | None) -> bool | None:
    """A trailer or van is one room, and people sleep in it when nights are lived aboard; elsewhere only eyes can tell."""
    if place is None or host(study.rig.job.rules) != "vehicle":
        return None
    return any((s.nights or 0) > 0 for s in study.rig.use.stays) or None
