"""C1: the device in front of a conductor acts before the conductor is too hot."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ohmwright.checks.battery.fuse_distance import longest
from ohmwright.checks.carrying import Carries, Wire, carries
from ohmwright.checks.judgement import (
    Judgement,
    at_most,
    cannot_tell,
    fails,
    kept,
    margin_below,
    most,
    plain,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.types import Severity, Verdict
from ohmwright.checks.wires import (
    asks,
    cranks,
    from_one_side,
    is_alternating,
    rated,
    rating,
    tap_device,
    wire_of,
)
from ohmwright.circuit.guards import Guard
from ohmwright.physics.fault import (
    let_through_A2s,
    rising_let_through_A2s,
    withstand_A2s,
    withstand_factor,
)
from ohmwright.rig.graph import Conductor
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, tell, work

NOTE: Severity = "note"
INVERTERS = ("inverter", "inverter-charger")
#: What soft insulation bears for seconds; IEC 60364-5-54 Annex A, from memory.
SOFT_degC = 160.0
REMEDY = "Fit a larger conductor, or a smaller device if the load allows it."


@kept
def judge(rules: str, device: Figure, wire: Wire, what: str = "device") -> Judgement:
    """Rating of the device against what the conductor may carry."""
    if wire.material == "cca":
        return fails(
            "No ampacity is on file for copper-clad aluminium: it may not be used here.",
            "Lay copper.",
            roots=(device,),
        )
    least = carries(wire, rules, "least")
    best = least if wire.insulation_degC is not None else carries(wire, rules, "most")
    if least is None or best is None:
        return cannot_tell(
            "No row of the table fits this conductor or its surroundings.",
            (wire.asks,),
            unit="A",
            sense="max",
        )
    if wire.insulation_degC is not None or at_most(device.value, least.ceiling.value):
        return _judged(device, least, what)
    if not at_most(device.value, best.ceiling.value):
        return _judged(device, replace(best, told=f"{best.told}, the best class that it can have"), what)
    return cannot_tell(
        f"The {tell(device.value, 'A')} device suits this conductor only if its insulation is of a higher class than 60 °C ({least.told}).",
        (wire.asks,), limit=least.ceiling.value, unit="A", sense="max", remedy="Write the temperature class of its insulation.",
    )  # fmt: skip


def _judged(device: Figure, c: Carries, what: str) -> Judgement:
    rated, ampacity, ceiling = device.value, c.ampacity.value, c.ceiling.value
    over, allowed = not at_most(rated, ampacity), at_most(rated, ceiling)
    by_law = c.ceiling.clause.startswith("33 CFR")
    near = ceiling if not by_law or abs(rated - ceiling) <= abs(rated - ampacity) else ampacity
    told = f"{tell(rated, 'A')} {what}, conductor {tell(ampacity, 'A')} ({c.told}{c.ceiling_told})"
    verdict: Verdict = "pass"
    message, severity = f"{told}.", None
    if not allowed:
        verdict, message = "fail", f"{told}: an overload heats the cable before the device acts."
    elif over and by_law:
        verdict, severity = "warn", NOTE
        message = f"{told}: the law allows up to {tell(ceiling, 'A')}, but an overload between the two is not stopped."
    return Judgement(
        verdict=verdict, message=message, severity=severity, value=rated, limit=near, low=ampacity, high=ceiling, sense="max", margin=margin_below(rated, near),
        unit="A", remedy="" if verdict == "pass" else REMEDY, steps=(c.ampacity, c.ceiling), origin_unverified=unverified(device), clause=c.clause, value_address=plain(device)[1],
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
        ratings = rated(study, guarding.guards)
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
        elif is_alternating(study, conductor) and (bare := [g for g in guarding.guards if not g.device]):
            yield name, _without_device(study, conductor, wire, known, bare)
        elif not known:
            yield name, _pushed(study, wire, guarding.guards)
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
            own = None if judged.verdict == "pass" else _as_tap(study, conductor, wire, guarding.guards)
            if (
                own is None
                and judged.verdict == "fail"
                and wire.material != "cca"
                and cranks(study, conductor)
            ):
                own = skipped("An engine cranking conductor: it carries its current for seconds.")
            yield name, own or judged


def _pushed(study: Study, wire: Wire | None, guards: tuple[Guard, ...]) -> Judgement:
    """No device at all: rule C2 speaks, and this one where a source alone pushes more for hours than the conductor bears."""
    limits = [(g.limited_A, g.source) for g in guards if g.limited_A is not None]
    if wire is not None and limits:
        amps, source = max(limits)
        judged = judge(study.rig.job.rules, figure(amps or 0.0, "A", COMPUTED, address=f"{source} at its full output"), wire, f"from {source}")  # fmt: skip
        if judged.verdict == "fail":
            return judged
    return skipped("No device stands in front of it: rule C2 speaks.")


def _without_device(
    study: Study, conductor: Conductor, wire: Wire | None, known: list[Figure], bare: list[Guard]
) -> Judgement:
    """A conductor of alternating current that a source reaches without a device: what the source itself lets through counts.

    An inverter gives no more than its power; behind a transformer of equal volts the device before it holds.
    """
    sources: list[tuple[Figure, str]] = [(f, "device") for f in known]
    for g in bare:
        if g.limited_A is not None:
            most_A = figure(g.limited_A, "A", COMPUTED, address=f"{g.source} at its full power")
            sources.append((most_A, f"from {g.source} at the most"))
        elif (before := _before_transformer(study, g.source)) is not None:
            sources.append((before, f"device before {g.source}"))
        elif (part := study.rig.parts.get(g.source)) is not None and part.kind.name in INVERTERS:
            return cannot_tell(f"What {g.source} gives at the most is not known.", (f"{g.source}.power",), unit="A", sense="max")  # fmt: skip
        else:
            return fails(f"Nothing stands between {g.source} and it: an overload or a short is stopped by nothing of ours.", "Fit a breaker at that source.")  # fmt: skip
    if wire is None:
        return cannot_tell(
            "Its size is not known.", (asks(study, conductor, "cable"),), unit="A", sense="max"
        )
    largest, what = max(sources, key=lambda x: x[0].value)
    return judge(study.rig.job.rules, largest, wire, what)


def _before_transformer(study: Study, source: str) -> Figure | None:
    """The device before the primary of a transformer that changes no volts."""
    part = study.rig.parts.get(source)
    if part is None or part.kind.name != "isolation-transformer":
        return None
    found = [
        r
        for t in study.graph.terminals.values()
        if t.port == f"{source}.primary" and t.pole in ("L", "L1", "L2")
        for n in study.graph.at.get(t.id, ())
        for g in (study.guards[n].guards if n in study.guards else ())
        if g.device and (r := rating(study, g)) is not None
    ]
    return max(found, key=lambda f: f.value, default=None)


def _as_tap(study: Study, conductor: Conductor, wire: Wire, guards: tuple[Guard, ...]) -> Judgement | None:
    """A conductor all of whose current runs through a device at its far end, which keeps it from overload.

    A short circuit on it meets only the devices before it.  It passes when it is no longer than what may lie bare
    (rule B17), or when they clear before its copper is too hot; where their clearing time is not known it cannot be
    told.  Docs: decision 0014.
    """
    device = tap_device(study, conductor)
    if device is None or conductor.length_m is None:
        return None
    tap = judge_tap(study.rig.job.rules, device, wire, conductor.length_m, sheathed="sheathed" in conductor.cable.words)  # fmt: skip
    if tap.judged is None or tap.short:
        return tap.judged
    stood = _stands(study, conductor, wire, guards)
    if stood.verdict == "cannot-tell":
        return replace(stood, message=f"{tap.judged.message} {stood.message}")
    if stood.verdict == "pass":
        told = f"{tap.judged.message} {stood.message}"
        return replace(tap.judged, message=told, steps=(*tap.judged.steps, *stood.steps))
    return None


@dataclass(frozen=True, slots=True)
class Tap:
    """What the device at the far end of a tap says of it, None where it is no device for it; and whether so little may lie bare."""

    judged: Judgement | None
    short: bool = False


@kept
def judge_tap(rules: str, device: Figure, wire: Wire, length_m: float, *, sheathed: bool) -> Tap:
    """The rating of the device at the far end of a tap against what the tap may carry, and its length against what may lie bare."""
    judged = judge(rules, device, wire)
    if judged.verdict in ("fail", "cannot-tell"):
        return Tap(None)
    told = f"A tap of {1000 * length_m:.0f} mm to its own device. {judged.message}"
    allowed, _ = longest(rules, petrol=False, sheathed=sheathed)
    return Tap(replace(judged, message=told), at_most(1000 * length_m, allowed.value))


def _stands(study: Study, conductor: Conductor, wire: Wire, guards: tuple[Guard, ...]) -> Judgement:
    """Whether its copper bears a short circuit at either end of it until it is cleared, at both bounds of the current."""
    faults = [study.faults[t] for t in (conductor.a, conductor.b) if t in study.faults]
    bounds = [
        (amps, (f.clears_s or {}).get(bound), f.tau_s.get(bound, 0.0), f.let_through_A2s.get(bound, 0.0))
        for f in faults
        for bound, amps in (("max", f.max_A), ("min", f.min_A))
    ]
    sure = [(a, s, tau, through) for a, s, tau, through in bounds if a is not None and s is not None]
    if not bounds or len(sure) < len(bounds):
        devices = tuple(dict.fromkeys(g.device for g in guards if g.device and g.limited_A is None))
        lost = [m for f in faults for m in f.missing] or [f"{d}.clearing" for d in devices]
        return cannot_tell("How fast a short circuit on it is cleared is not known.", lost, unit="A2s", sense="max", remedy=f"The clearing curves of the devices before it, or a shorter tap. {REMEDY}")  # fmt: skip
    amps, seconds, tau, _ = max(sure, key=lambda x: x[3])
    return stands(amps, seconds, wire.area_mm2, wire.insulation_degC, tau)


def stands(
    fault_A: float, clears_s: float, area_mm2: float, insulation_degC: float | None, tau_s: float = 0.0
) -> Judgement:
    """Let-through against what the copper bears from its class temperature to 160 °C, what soft insulation bears."""
    amps = figure(fault_A, "A", COMPUTED, address="fault on it that lets most through")
    seconds = figure(clears_s, "s", COMPUTED, address="longest clearing time")
    rises = figure(tau_s, "s", COMPUTED, address="time constant of the fault loop")
    through = (
        work(rising_let_through_A2s, settled_A=amps, time_s=seconds, tau_s=rises)
        if tau_s > 0
        else work(let_through_A2s, current_A=amps, clears_s=seconds)
    )
    constant = work(withstand_factor, initial_degC=insulation_degC or 105.0, final_degC=SOFT_degC)
    bears = work(
        withstand_A2s,
        constant_factor=constant,
        area_mm2=figure(area_mm2, "mm2", COMPUTED, address="its area"),
    )
    told = (
        f"A short circuit on it lets through {through.value:.3g} A²s; its copper bears {bears.value:.3g} A²s"
    )
    return most(through.value, bears, "A2s", good=f"{told}.", bad=f"{told}.", remedy=REMEDY, steps=(through,))
