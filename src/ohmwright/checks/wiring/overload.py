"""C1: the device in front of a conductor acts before the conductor is too hot."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.battery.fuse_distance import longest
from ohmwright.checks.carrying import Carries, Wire, carries
from ohmwright.checks.judgement import (
    Judgement,
    at_most,
    cannot_tell,
    fails,
    margin_below,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.types import Severity, Verdict
from ohmwright.checks.wires import asks, cranks, from_one_side, is_alternating, rating, tap_device, wire_of
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell

NOTE: Severity = "note"
REMEDY = "Fit a larger conductor, or a smaller device if the load allows it."


def judge(rules: str, device: Figure, wire: Wire) -> Judgement:
    """Rating of the device against what the conductor may carry."""
    if wire.material == "cca":
        return fails(
            "No ampacity is on file for copper-clad aluminium: it may not be used here.",
            "Lay copper.",
            roots=(device,),
        )
    least = carries(wire, rules, "least")
    most = least if wire.insulation_degC is not None else carries(wire, rules, "most")
    if least is None or most is None:
        return cannot_tell(
            "No row of the table fits this conductor or its surroundings.",
            (wire.asks,),
            unit="A",
            sense="max",
        )
    if wire.insulation_degC is not None or at_most(device.value, least.ceiling.value):
        return _judged(device, least)
    if not at_most(device.value, most.ceiling.value):
        return _judged(device, most)
    return cannot_tell(
        f"The {tell(device.value, 'A')} device suits this conductor only if its insulation is of a higher class than 60 °C ({least.told}).",
        (wire.asks,), limit=least.ceiling.value, unit="A", sense="max", remedy="Write the temperature class of its insulation.",
    )  # fmt: skip


def _judged(device: Figure, c: Carries) -> Judgement:
    rated, ampacity, ceiling = device.value, c.ampacity.value, c.ceiling.value
    over, allowed = not at_most(rated, ampacity), at_most(rated, ceiling)
    by_law = c.ceiling.clause.startswith("33 CFR")
    near = ceiling if not by_law or abs(rated - ceiling) <= abs(rated - ampacity) else ampacity
    told = f"{tell(rated, 'A')} device, conductor {tell(ampacity, 'A')} ({c.told}{c.ceiling_told})"
    verdict: Verdict = "pass"
    message, severity = f"{told}.", None
    if not allowed:
        verdict, message = "fail", f"{told}: an overload heats the cable before the device acts."
    elif over and by_law:
        verdict, severity = "warn", NOTE
        message = f"{told}: the law allows up to {tell(ceiling, 'A')}, but an overload between the two is not stopped."
    return Judgement(
        verdict=verdict, message=message, severity=severity, value=rated, limit=near, low=ampacity, high=ceiling, sense="max", margin=margin_below(rated, near),
        unit="A", remedy="" if verdict == "pass" else REMEDY, steps=(c.ampacity, c.ceiling), origin_unverified=unverified(device), clause=c.clause,
    )  # fmt: skip


@rule(
    "wiring/overload",
    "C1",
    "Overcurrent device suits the conductor",
    why="""A conductor that carries more than its insulation bears softens it, year after year or in one evening. The
        device in front of it, not the load behind it, decides how much it can be made to carry.""",
    severities=("danger", "note"),
    clauses={
        "us-boat": Clause("33 CFR 183", "consolidated text", "183.455(c)", "official"),
        "us-cabin": Clause("NFPA 70", "2023", "240.4", "secondary"),
        "": Clause("33 CFR 183", "consolidated text", "183.425 Table 5 (shop rule)", "official"),
    },
    needs=("guards",),
    never_overridden=True,
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Every conductor against the largest device that stands between it and a source."""
    for name, guarding in study.guards.items():
        conductor = study.graph.conductors[name]
        ratings = [(g, rating(study, g)) for g in guarding.guards if g.device]
        known = [r for _, r in ratings if r is not None]
        wire = wire_of(study, name)
        if any(
            (g.together_A or 0.0) > r.value * (1 + 1e-9) for g, r in ratings if r is not None
        ) and not is_alternating(study, conductor):
            known += [f for f in (from_one_side(study, conductor, guarding.guards),) if f is not None]
        if any(r is None for _, r in ratings):
            yield (
                name,
                cannot_tell(
                    "The rating of a device in front of it is missing.",
                    (f"{g.device}.rated" for g, r in ratings if r is None),
                    unit="A",
                    sense="max",
                ),
            )
        elif not known:
            yield name, skipped("No device stands in front of it: rule C2 speaks.")
        elif wire is None:
            yield (
                name,
                cannot_tell(
                    "Its size is not known.", (asks(study, conductor, "cable"),), unit="A", sense="max"
                ),
            )
        else:
            before = max(known, key=lambda f: f.value)
            judged = judge(study.rig.job.rules, before, wire)
            own = None if judged.verdict == "pass" else _as_tap(study, conductor, wire, before)
            if (
                own is None
                and judged.verdict == "fail"
                and wire.material != "cca"
                and cranks(study, conductor)
            ):
                own = skipped("An engine cranking conductor: it carries its current for seconds.")
            yield name, own or judged


def _as_tap(study: Study, conductor: Conductor, wire: Wire, before: Figure) -> Judgement | None:
    """A tap to its own device, which keeps it from overload.

    No longer than what may lie bare it passes; longer it is a note, if the device before it is not more than
    three times its ampacity.
    """
    device = tap_device(study, conductor)
    if device is None or conductor.length_m is None:
        return None
    judged = judge(study.rig.job.rules, device, wire)
    if judged.verdict in ("fail", "cannot-tell"):
        return None
    told = f"A tap of {1000 * conductor.length_m:.0f} mm to its own device. {judged.message}"
    allowed, _ = longest(study.rig.job.rules, petrol=False, sheathed="sheathed" in conductor.cable.words)
    if at_most(1000 * conductor.length_m, allowed.value):
        return replace(judged, message=told)
    ampacity = judged.low if judged.low is not None else 0.0
    near = at_most(before.value, find("protection/tap-part").value * ampacity)
    if near and at_most(conductor.length_m, find("protection/tap-length").value):
        return replace(
            judged,
            verdict="warn",
            severity="note",
            message=f"{told} The device before it is {tell(before.value, 'A')}: it stops a short circuit, not an overload.",
        )
    return None
