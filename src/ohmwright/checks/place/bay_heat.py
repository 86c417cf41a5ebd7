"""E1: how warm an equipment bay gets."""

from collections.abc import Iterator

from ohmwright.checks.heat import HOT, Air, bays
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell

REMEDY = "Vents low and high, or a fan that moves three cubic metres an hour for each watt over the kelvins allowed."


def judge(air: Figure | Step, loss_W: float, case: str = "", more: str = "") -> Judgement:
    """Air of the bay in the hottest case that lasts: a note above 40 °C, a failure above 50 °C."""
    note, limit = find("places/bay-note").value, find("places/bay-fails").value
    told = f"With {tell(loss_W, 'W')} of heat in it{f' ({case})' if case else ''} the bay gets to {tell(air.value, 'degC')}"
    steps = (air,) if isinstance(air, Step) else ()
    return most(
        air.value, limit, "degC", good=f"{told}.{more}", bad=f"{told}: electronics throttle and age.{more}", remedy=REMEDY, warn_above=note,
        warn=f"{told}: above {note:g} °C parts give less.{more}", steps=steps, roots=(air,),
    )  # fmt: skip


@rule(
    "place/bay-heat",
    "E1",
    "Heat of the equipment bay",
    why="Everything in a bay is rated for a cool room, and everything in it heats the bay.",
    severities=("fails", "note"),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each place that holds inverters, controllers or chargers."""
    occupied = {p.place for p in study.rig.of_kind(*HOT)} & set(study.rig.host.places)
    if not occupied:
        yield "rig", skipped("No electronics that turn power into heat.")
    for name in sorted(occupied):
        yield f"host.{name}", _one(bays(study)[name])


def _one(air: Air) -> Judgement:
    if air.air is None:
        return cannot_tell("How warm it gets cannot be told: its hottest air, size or vents are missing.", air.missing, unit="degC", sense="max")  # fmt: skip
    if at_most(air.loss_W, 0.0):
        return skipped("Nothing in it turns power into heat for hours.")
    more = "" if air.full_degC is None else f" With an inverter at its full power, which its page does not give there for hours, it would be {tell(air.full_degC, 'degC')}."  # fmt: skip
    return judge(air.air, air.loss_W, air.case, more)
