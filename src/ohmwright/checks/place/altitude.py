"""E31: what is made for the lowlands is not taken into thin air unasked."""

from collections.abc import Iterator

from ohmwright.checks.gather import asked
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped, warns
from ohmwright.checks.registry import rule
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell

REMEDY = "Ask the maker for power, volts and breaking capacity at that height; write it with its page."
INVERTERS = ("inverter", "inverter-charger")


def judge(height: Figure) -> Judgement:
    """The highest stay against the height that switching devices are made for."""
    limit = find("places/device-altitude")
    told = f"The highest stay is at {tell(height.value, 'm')}; breakers, fuses and switches are made for {tell(limit.value, 'm')}"
    if at_most(height.value, limit.value):
        return most(height, limit.value, "m", good=f"{told}.", bad="", clause=limit.clause)
    return warns(f"{told}: in thin air they cool less and break less, and clearances hold off fewer volts.", REMEDY, roots=(height,))  # fmt: skip


def judge_inverter(height: Figure, up_to: Figure | None, asks: str) -> Judgement:
    """The highest stay against the height up to which an inverter gives its power; where its page says nothing, as for devices."""
    limit = find("places/device-altitude")
    if up_to is not None:
        told = f"The highest stay is at {tell(height.value, 'm')}; it gives its power up to {tell(up_to.value, 'm')}"
        return most(height, up_to, "m", good=f"{told}.", bad=f"{told}.", remedy=REMEDY)
    told = (
        f"The highest stay is at {tell(height.value, 'm')}; up to what height it gives its power is not known"
    )
    if at_most(height.value, limit.value):
        return most(height, limit.value, "m", good=f"{told}, {tell(limit.value, 'm')} is usual.", bad="", clause=limit.clause)  # fmt: skip
    return cannot_tell(f"{told}.", (asks,), limit=limit.value, unit="m", sense="max", remedy=REMEDY)


@rule(
    "place/altitude",
    "E31",
    "Height above sea",
    why="""Thin air carries less heat off and lets an arc run further. At three thousand metres a breaker breaks less than its
        page says, and an inverter that is happy at the coast takes itself back.""",
    severities=("fails", "note"),
    clauses={"": Clause("IEC 60947-1", "2020", "normal conditions: altitude", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The rig at its highest stay, and each inverter there."""
    heights = [s.altitude_m for s in study.rig.use.stays if s.altitude_m is not None]
    heights += [s.altitude_m for s in study.spots if s is not None and s.altitude_m is not None]
    if not heights:
        yield "rig", skipped("No stay whose height is known.")
        return
    height = figure(max(heights), "m", COMPUTED, address="highest stay")
    yield "rig", judge(height)
    for part in study.rig.of_kind(*INVERTERS):
        yield part.id, judge_inverter(height, asked(part.figure("altitude_max")).figure, f"{part.id}.altitude_max")  # fmt: skip
