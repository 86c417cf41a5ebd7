"""C6: a short at the far end of a cable is enough to open the device at its near end."""

from collections.abc import Iterator

from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    cannot_tell,
    kept,
    margin_above,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.types import Severity, Verdict
from ohmwright.checks.wires import is_dc, rated
from ohmwright.physics.sums import multiple_ratio
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work

REMEDY = "A larger conductor, or a smaller device."
#: A fuse that carries 1.35 times its rating may take half an hour: below that it does not see the fault at all.
SEEN_ratio = 1.35


@kept
def judge(least_fault: Figure, device: Figure) -> Judgement:
    """The least fault as a multiple of the device's rating: 5 clears in under a second, below 3 it takes long."""
    step = work(multiple_ratio, current_A=least_fault, rated_A=device)
    aim, least = find("protection/far-fault-aim").value, find("protection/far-fault-least").value
    told = f"A short at its far end draws at least {tell(least_fault.value, 'A')}, {step.value:.1f} times the {tell(device.value, 'A')} device"
    verdict: Verdict = "pass"
    severity: Severity | None = None
    message, limit = f"{told}.", aim
    if not at_least(step.value, least):
        verdict, limit = "fail", least
        severity = "fails" if at_least(step.value, SEEN_ratio) else "danger"
        message = (
            f"{told}: it clears late, and the cable cooks meanwhile."
            if severity == "fails"
            else f"{told}: it does not open at all."
        )
    elif not at_least(step.value, aim):
        verdict, severity, message = (
            "warn",
            "note",
            f"{told}: it may take longer than a second; {aim:g} times is aimed at.",
        )
    return Judgement(
        verdict=verdict, severity=severity, message=message, value=step.value, limit=limit, low=limit, sense="min", margin=margin_above(step.value, limit), unit="1",
        remedy="" if verdict == "pass" else REMEDY, steps=(step,), origin_unverified=unverified(step),
    )  # fmt: skip


@rule(
    "wiring/far-fault",
    "C6",
    "Device sees a fault at the far end",
    why="""Long thin cable limits its own fault current. A fuse that never sees enough of it warms, and so does everything
        along the cable.""",
    severities=("danger", "fails"),
    clauses={"": PHYSICS},
    needs=("faults", "guards"),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every live DC conductor with a device in front of it, shorted at the end away from it."""
    for name, guarding in study.guards.items():
        conductor = study.graph.conductors[name]
        if not is_dc(study, conductor) or conductor.pole == "-":
            continue
        guards = [(g, r) for g, r in rated(study, guarding.guards) if g.limited_A is None]
        if not guards:
            continue
        ends = [study.faults[t] for t in (conductor.a, conductor.b) if t in study.faults]
        ratings = [r for _, r in guards if r is not None]
        if not ends:
            yield name, skipped("No bank drives a fault there.")
            continue
        if len(ratings) < len(guards):
            lost = [f"{g.device}.rated" for g, r in guards if r is None]
            yield name, cannot_tell("The rating of a device in front of it is missing.", lost, unit="1", sense="min")  # fmt: skip
            continue
        if any(f.min_A is None for f in ends):
            yield (
                name,
                cannot_tell(
                    "The least fault current cannot be told.",
                    (m for f in ends for m in f.missing),
                    unit="1",
                    sense="min",
                ),
            )
            continue
        least = min(f.min_A for f in ends if f.min_A is not None)
        yield (
            name,
            judge(
                figure(least, "A", COMPUTED, address=f"least fault of {name}"),
                max(ratings, key=lambda r: r.value),
            ),
        )
