"""E7: the load on the coupling, as part of the trailer and against the lowest plate."""

from collections.abc import Iterator

from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    margin_above,
    margin_below,
    skipped,
    unverified,
)
from ohmwright.checks.masses import added
from ohmwright.checks.place.weight import laden_of
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.physics.weights import tongue_kg, tongue_ratio
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, tell, work

REMEDY = "Move mass along the axle line."


def judge(
    rules: str,
    least: Step | None,
    most: Step | None,
    laden: Step | Figure | None,
    plate: Figure | None,
    missing: tuple[str, ...] = (),
) -> Judgement:
    """Both bounds of the coupling load within the country's window and under the lowest plate."""
    if least is None or most is None or laden is None or plate is None:
        return cannot_tell(
            "The load on the coupling cannot be told: weights or the lowest plate of car, ball and coupling are missing.",
            missing,
            unit="kg",
            sense="max",
        )
    unsure = most.value > least.value * (1 + 1e-9)
    if unsure and at_most(least.value, plate.value) and not at_most(most.value, plate.value):
        return _unsure(least, most, missing)
    if not at_most(most.value, plate.value):
        told = f"Up to {tell(most.value, 'kg', 4)} on the coupling; its lowest plate says {tell(plate.value, 'kg', 4)}."
        return Judgement(verdict="fail", message=told, value=most.value, limit=plate.value, high=plate.value, sense="max", margin=margin_below(most.value, plate.value), unit="kg", remedy=REMEDY, steps=(most,), origin_unverified=unverified(most, plate))  # fmt: skip
    low_part, high_part = (
        work(tongue_ratio, tongue_kg=least, laden_kg=laden),
        work(tongue_ratio, tongue_kg=most, laden_kg=laden),
    )
    us = country(rules) == "us"
    both = [
        _american(p, p, plate) if us else _european(p, p, x, plate)
        for p, x in ((low_part, least), (high_part, most))
    ]
    if unsure and both[0].verdict != both[1].verdict and "fail" in (both[0].verdict, both[1].verdict):
        return _unsure(least, most, missing)
    return _american(low_part, high_part, plate) if us else _european(low_part, high_part, least, plate)


def _unsure(least: Step, most: Step, missing: tuple[str, ...]) -> Judgement:
    told = f"Between {tell(least.value, 'kg', 4)} and {tell(most.value, 'kg', 4)} on the coupling, by where the removed mass had been."
    return cannot_tell(
        told,
        missing,
        unit="kg",
        sense="max",
        remedy="Write how far ahead of the axle the removed mass was, or weigh the coupling again.",
    )


def _american(low_part: Step, high_part: Step, plate: Figure) -> Judgement:
    low, high = find("vehicles/tongue-us-low").value, find("vehicles/tongue-us-high").value
    told = f"{100 * low_part.value:.1f} to {100 * high_part.value:.1f} % of the laden trailer on the coupling; {100 * low:.0f} to {100 * high:.0f} % is the window"
    short, over = not at_least(low_part.value, low), not at_most(high_part.value, high)
    worst, limit = (low_part, low) if short else (high_part, high)
    margin = (
        margin_above(100 * worst.value, 100 * limit)
        if short
        else margin_below(100 * worst.value, 100 * limit)
    )
    return Judgement(
        verdict="fail" if short or over else "pass", message=f"{told}: it sways." if short else f"{told}.", value=100 * worst.value, limit=100 * limit, low=100 * low, high=100 * high,
        sense="window", margin=margin, unit="%", remedy=REMEDY if short or over else "", steps=(low_part, high_part), origin_unverified=unverified(low_part, plate),
    )  # fmt: skip


def _european(low_part: Step, high_part: Step, least: Step, plate: Figure) -> Judgement:
    floor, floor_kg = find("vehicles/tongue-eu-floor").value, find("vehicles/tongue-eu-floor-mass").value
    low, high = find("vehicles/tongue-eu-aim-low").value, find("vehicles/tongue-eu-aim-high").value
    told = f"{100 * low_part.value:.1f} to {100 * high_part.value:.1f} % of the laden trailer on the coupling; {100 * low:.0f} to {100 * high:.0f} % is aimed at, under the lowest plate of {tell(plate.value, 'kg', 4)}"
    if not at_least(low_part.value, floor) or not at_least(least.value, floor_kg):
        return Judgement(verdict="fail", message=f"{told}: too light, it sways.", value=100 * low_part.value, limit=100 * floor, low=100 * floor, sense="min", margin=margin_above(100 * low_part.value, 100 * floor), unit="%", remedy=REMEDY, steps=(low_part,), origin_unverified=unverified(low_part))  # fmt: skip
    aimed = at_least(low_part.value, low) and at_most(high_part.value, high)
    return Judgement(
        verdict="pass" if aimed else "warn", severity=None if aimed else "note", message=f"{told}.", value=100 * high_part.value, limit=100 * high, low=100 * low, high=100 * high,
        sense="window", margin=margin_below(100 * high_part.value, 100 * high), unit="%", steps=(low_part, high_part), origin_unverified=unverified(low_part, plate),
    )  # fmt: skip


@rule(
    "place/tongue",
    "E7",
    "Load on the coupling",
    why="""Too light a coupling and the trailer steers the car; too heavy and the car's front wheels do not. A battery bank
        moved two metres is enough for either.""",
    severities=("danger", "note"),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={
        "us": Clause("", "", "common practice, no source: 10 to 15 %", "memory"),
        "eu": Clause(
            "UK towing guide",
            "undated",
            "nose weight; its floor after Directive 92/21/EEC, Annex II, from memory",
            "secondary",
        ),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Trailers only. What came out may have lain anywhere between axle and ball: both bounds are held against the window."""
    rig = study.rig
    if rig.host.kind not in ("trailer", "caravan"):
        yield "host", skipped("It is not towed.")
        return
    before, arm, plate, removed = (mass(rig, k) for k in ("tongue", "axle-to-ball", "hitch-limit", "removed"))
    laden, missing = laden_of(study)
    more = added(study)
    lost = (*before.missing, *arm.missing, *plate.missing, *missing, *more.unplaced)
    if before.figure is None or arm.figure is None or laden is None or more.unplaced:
        yield "host", judge(rig.job.rules, None, None, laden, plate.figure, lost)
        return
    was = mass(rig, "removed-ahead")
    out_kg = removed.figure.value if removed.figure else 0.0
    farthest, nearest = (was.figure.value, was.figure.value) if was.figure else (arm.figure.value, 0.0)
    bounds = [
        work(
            tongue_kg,
            before_kg=before.figure,
            moment_kg_m=Figure(m, "kg.m", m, m, COMPUTED, address="parts and cables about the axle"),
            axle_to_ball_m=arm.figure,
        )
        for m in (more.moment_kg_m - out_kg * farthest, more.moment_kg_m - out_kg * nearest)
    ]
    yield (
        "host",
        judge(rig.job.rules, bounds[0], bounds[1], laden, plate.figure, plate.missing or was.missing),
    )
