"""E5: what is left of every weight rating once the rig is aboard."""

from collections.abc import Iterator

from ohmwright.checks.gather import mass
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, margin_above, skipped, unverified
from ohmwright.checks.masses import added
from ohmwright.checks.registry import rule
from ohmwright.checks.types import Severity, Verdict
from ohmwright.physics.sums import in_percent
from ohmwright.physics.weights import laden_kg, spare_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, tell, work

REMEDY = "Lighter parts, less water and gear, or a host of a higher rating."


def judge(
    name: str, load: Step | Figure | None, rating: Figure | None, missing: tuple[str, ...] = ()
) -> Judgement:
    """Spare part of one rating: over it is a danger, under 5 % fails."""
    if load is None or rating is None:
        return cannot_tell(
            f"The {name} cannot be told: it has not been weighed, or its rating is not known.",
            missing,
            unit="%",
            sense="min",
        )
    step = work(spare_ratio, rating_kg=rating, load_kg=load)
    percent = work(in_percent, part_ratio=step)
    wanted = find("vehicles/weight-spare").value
    told = f"{tell(load.value, 'kg', 4)} of {tell(rating.value, 'kg', 4)} ({name}): {100 * step.value:.1f} % is left"
    verdict: Verdict = "pass"
    severity: Severity | None = None
    limit, message = 100 * wanted, f"{told}."
    if not at_least(step.value, 0.0):
        verdict, severity, limit, message = (
            "fail",
            "danger",
            0.0,
            f"{told}: brakes, tyres and the law are past their limit.",
        )
    elif not at_least(step.value, wanted):
        verdict, severity, message = "fail", "fails", f"{told}: the first full water tank uses it up."
    return Judgement(
        verdict=verdict, severity=severity, message=message, value=percent.value, limit=limit, low=limit, sense="min", margin=margin_above(100 * step.value, limit),
        unit="%", remedy="" if verdict == "pass" else REMEDY, steps=(percent,), origin_unverified=unverified(percent),
    )  # fmt: skip


@rule(
    "place/weight",
    "E5",
    "Weight against every rating",
    why="""The label by the door counts from the empty shell. What matters is what is left when it stands ready to roll, on
        each axle, with the rig aboard.""",
    severities=("danger", "fails"),
    sets=("us-vehicle", "eu-vehicle"),
    clauses={"us": PHYSICS, "eu": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Gross weight and axle load of trailers and vans."""
    rig = study.rig
    if rig.host.kind in ("boat", "cabin"):
        yield "host", skipped("It has no wheels.")
        return
    weighed, gross, axle, tongue = (mass(rig, k) for k in ("loaded", "gvwr", "axle-limit", "tongue"))
    laden, missing = laden_of(study)
    yield "host.gvwr", judge("gross weight rating", laden, gross.figure, (*missing, *gross.missing))
    on_axle = None
    if laden is not None and rig.host.kind != "van" and tongue.figure is not None:
        t = tongue.figure
        on_axle = work(
            laden_kg,
            before_kg=laden,
            added_kg=Figure(-t.value, "kg", -t.high, -t.low, t.origin, address=t.address),
        )
    yield (
        "host.axle",
        judge(
            "axle rating",
            on_axle,
            axle.figure,
            (*missing, *axle.missing, *(tongue.missing if rig.host.kind != "van" else weighed.missing)),
        ),
    )


def laden_of(study: Study) -> tuple[Step | None, tuple[str, ...]]:
    """Weighed ready to roll before the rig goes in, plus what comes aboard, less what came out.

    As found, the rig was aboard when it was weighed.
    """
    rig = study.rig
    weighed, removed = mass(rig, "loaded"), mass(rig, "removed")
    if weighed.figure is None:
        return None, weighed.missing
    if rig.job.stage == "as found":
        return work(laden_kg, before_kg=weighed.figure, added_kg=0.0), ()
    more = added(study)
    if more.missing:
        return None, more.missing
    net = more.mass_kg - (removed.figure.value if removed.figure else 0.0)
    return work(
        laden_kg,
        before_kg=weighed.figure,
        added_kg=figure(net, "kg", COMPUTED, address="parts and cables aboard, less what came out"),
    ), ()
