"""D28: a fault at the far end of a circuit of alternating current is disconnected before it hurts."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import Judgement, cannot_tell, least, passes, skipped
from ohmwright.checks.mains.residual_current import around_devices
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import is_alternating
from ohmwright.circuit.guards import Guard
from ohmwright.circuit.types import Fault
from ohmwright.physics.sums import multiple_ratio
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Part
from ohmwright.standards import find
from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, tell, work

REMEDY = (
    "A residual-current device that every source passes, a larger conductor, or a device of a quicker curve."
)
LINES = ("L", "L1", "L2", "L3")
SOURCES = ("supply-post", "generator")
#: Curves with a printed multiple at which a breaker must open at once.
CURVES = ("b", "c", "d")


def judge(fault: Figure | None, rated: Figure | None, at_once: Figure | None, *, residual: bool, missing: tuple[str, ...] = ()) -> Judgement:  # fmt: skip
    """The least fault as a multiple of the rating against the multiple that opens it at once; a residual-current device opens it anyway."""
    if residual:
        return passes("Every source that feeds it passes a residual-current device, which opens a fault to earth.", roots=(rated,))  # fmt: skip
    if fault is None or rated is None:
        return cannot_tell("The least fault current, or the rating of its device, is not known.", missing, unit="1", sense="min", remedy=REMEDY)  # fmt: skip
    step = work(multiple_ratio, current_A=fault, rated_A=rated)
    told = f"A fault at its far end draws at least {tell(fault.value, 'A')}, {step.value:.1f} times its rating of {tell(rated.value, 'A')}"
    if at_once is None:
        return cannot_tell(f"{told}; at which multiple it opens at once is not known.", missing, unit="1", sense="min", remedy=f"Copy the curve from its page. {REMEDY}")  # fmt: skip
    said = f"{told}; it opens at once from {at_once.value:g} times"
    return least(step, at_once, "1", good=f"{said}.", bad=f"{said}: metal stays live for seconds.", remedy=REMEDY, steps=(step,))  # fmt: skip


@rule(
    "mains/disconnection",
    "D28",
    "A fault on alternating current is disconnected",
    why="""An inverter cannot push the current that opens a breaker at once, and a thin cord keeps it back. Whoever touches the
        faulted machine meanwhile is part of the circuit.""",
    severities=("danger",),
    clauses={
        "us": Clause("NFPA 70", "2023", "250.4(A)(5)", "memory"),
        "": Clause("IEC 60364-4-41", "2017", "411.3.2, 411.4", "memory"),
    },
    needs=("faults", "guards"),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each of our devices with the live conductors that every source reaches through a device, at their least fault."""
    guarded: dict[str, list[tuple[Conductor, Guard]]] = {}
    for name, guarding in study.guards.items():
        c = study.graph.conductors[name]
        if c.pole in LINES and is_alternating(study, c) and all(g.device for g in guarding.guards):
            for g in guarding.guards:
                if _part(study, g) is not None:
                    guarded.setdefault(g.device or "", []).append((c, g))
    if not guarded:
        yield "rig", skipped("No device of ours guards a conductor of alternating current.")
        return
    bare = frozenset(t for _, reached in around_devices(study) for t in reached)
    for device, behind in sorted(guarded.items()):
        yield device, _one(study, behind, bare)


def _part(study: Study, g: Guard) -> Part | None:
    """The part of a guard, where it is ours and no source's own breaker."""
    name = g.device or ""
    part = study.rig.parts.get(name) or study.rig.parts.get(name.rpartition(".")[0])
    return None if part is None or part.kind.name in SOURCES or part.words.get("own") == "no" else part


def _one(study: Study, behind: list[tuple[Conductor, Guard]], bare: frozenset[str]) -> Judgement:
    guard = behind[0][1]
    part = _part(study, guard)
    assert part is not None
    ends = {t for c, _ in behind for t in (c.a, c.b)}
    residual = not ends & bare
    rated = _rated(part, guard.device or "")
    faults = [study.ac_faults[t] for t in sorted(ends) if t in study.ac_faults]
    if not residual:
        # To earth the loop may be longer. Where nothing leads back at all rule D1 speaks.
        faults += [f for t in sorted(ends) if (f := study.earth_faults.get(t)) is not None and f.min_A != 0.0]
    if _stops(study):
        faults = [_not_stopped(study, f) for f in faults]
    if not faults:
        return skipped("No source of alternating current reaches it.")
    lost = [m for f in faults if f.min_A is None for m in f.missing] + (
        [f"{guard.device}.rated"] if rated is None else []
    )
    worst = min((f for f in faults if f.min_A is not None), key=lambda f: f.min_A or 0.0, default=None)
    fault = None
    if worst is not None:
        fault = figure(worst.min_A or 0.0, "A", COMPUTED, address=f"least fault at {worst.terminal}")
    told = judge(fault, rated, at_once(part), residual=residual, missing=tuple(lost) or (f"{part.id}.curve",))
    # What is not known elsewhere can only make the least fault smaller: a fail stays one, a pass is none.
    if told.verdict == "fail" or residual or not any(f.min_A is None for f in faults):
        return told
    return judge(None, rated, at_once(part), residual=residual, missing=tuple(lost))


def _stops(study: Study) -> frozenset[str]:
    """Inverters whose page says how soon a fault stops them for good: rule D29 holds that time against the allowed one."""
    return frozenset(
        p.id
        for p in study.rig.of_kind("inverter", "inverter-charger")
        if known(p.figure("fault_stop")) is not None
    )


def _not_stopped(study: Study, f: Fault) -> Fault:
    """A fault with the least that the other sources give; as it is where none of them feeds it."""
    told = (*study.neutral_clearing.get(f.terminal, ()), *study.earth_clearing.get(f.terminal, ()))
    amps = [c.amps for c in told if c.source not in _stops(study) and c.amps is not None]
    return f if f.min_A is None or not amps else replace(f, min_A=min(amps))


def _rated(part: Part, device: str) -> Figure | None:
    """The rating of a device, or of a panel's way."""
    way = device.removeprefix(part.id).lstrip(".")
    return known(part.ways[way]) if way in part.ways else asked(part.figure("rated")).figure


def at_once(part: Part) -> Figure | None:
    """The multiple of its rating at which a device must open at once: its page's, else its curve's."""
    printed = asked(part.figure("instant_high")).figure if "instant_high" in part.kind.figures else None
    curve = word(part, "curve")
    return printed or (find(f"alternating/curve-{curve}").figure if curve in CURVES else None)
