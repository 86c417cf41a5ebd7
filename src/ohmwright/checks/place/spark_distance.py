"""E16: how far from a vented cell nothing may spark."""

from collections.abc import Iterator

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.eyes import EYES
from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, cannot_tell, least, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sparks import gives_gas, sparking_in
from ohmwright.physics.ventilation import spark_distance_mm
from ohmwright.rig.standing import boxes_in
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, work

REMEDY = "Move what sparks, or the battery."


def judge(distance: Step, measured_mm: float | None, sparking: tuple[str, ...], looked: str) -> Judgement:
    """The distance that the standard asks for; how far the nearest part is only eyes can tell."""
    told = f"Nothing may spark within {distance.value:.0f} mm of its vents while it is boosted"
    if not sparking:
        return passes(f"{told}; nothing in its place does.", steps=(distance,))
    if measured_mm is None:
        return cannot_tell(f"{told}: is {', '.join(sparking)} further away?", (looked,), limit=distance.value, unit="mm", sense="min", remedy=f"Measure, and write it under looked-at. {REMEDY}")  # fmt: skip
    near = f"{told}; {', '.join(sparking)} at {measured_mm:.0f} mm"
    return least(measured_mm, distance, "mm", good=f"{near}.", bad=f"{near}.", remedy=REMEDY)


@rule(
    "place/spark-distance",
    "E16",
    "Spark distance of vented batteries",
    why="The hydrogen over a boosting cell is thick enough to burn for half a metre.",
    severities=("danger",),
    clauses={"": Clause("IEC 62485-2", "2010", "distance of what sparks", "memory")},
    needs=(EYES,),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each lead-acid bank, at boost."""
    for bank in banks(study.rig):
        if bank.chemistry == "lfp":
            yield bank.id, skipped("Lithium gives off no gas in ordinary charging.")
        else:
            yield bank.id, _one(study, bank)


def _one(study: Study, bank: Bank) -> Judgement:
    capacity = asked(bank.members[0].figure("capacity"))
    place = bank.group.place or bank.members[0].place
    if capacity.figure is None:
        return cannot_tell("Its capacity is not known.", capacity.missing, unit="mm", sense="min")
    whole = Figure(capacity.figure.value * bank.in_parallel, "Ah", capacity.figure.low * bank.in_parallel, capacity.figure.high * bank.in_parallel, capacity.figure.origin, address=capacity.figure.address)  # fmt: skip
    gas = find("batteries/gas-vented-boost" if gives_gas(bank) else "batteries/gas-sealed-boost")
    distance = work(spark_distance_mm, gas_mAh_per_Ah=gas.value, capacity_Ah=whole, clause=str(gas.clause))
    sparking = sparking_in(study, place)
    names = tuple(p.id for p in sparking)
    return judge(distance, _nearest_mm(study, bank, names, place, distance.value), names, f"looked-at place/spark-distance {bank.id}")  # fmt: skip


def _nearest_mm(study: Study, bank: Bank, sparking: tuple[str, ...], place: str, wanted_mm: float) -> float | None:  # fmt: skip
    """How near the nearest of them is by the file, from the battery's box, as nobody wrote where on it its vents are.

    None where one has no position, and where one is near the box and may yet be far enough from its vents.
    """
    host = study.rig.host.places.get(place)
    if host is None:
        return None
    boxes = boxes_in(study.rig.parts, host)
    names = [m.id for m in bank.members]
    if not all(i in boxes for i in (*names, *sparking)):
        return None
    pairs = [(boxes[b], boxes[s]) for b in names for s in sparking]
    near = 1000.0 * min(b.apart_m(s) for b, s in pairs)
    sure = 1000.0 * min(b.farthest_m(s) for b, s in pairs)
    return near if near >= wanted_mm else sure if sure < wanted_mm else None
