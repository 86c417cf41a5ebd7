"""A7: a string fuse lies between what the string pushes and what its modules bear."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.checks.array_strings import Window, window
from ohmwright.checks.circuits import PvCircuit, pv_circuits, strings_behind
from ohmwright.checks.gather import asked, word
from ohmwright.checks.judgement import (
    Judgement,
    at_most,
    cannot_tell,
    fails,
    margin_below,
    most,
    skipped,
    unverified,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import country
from ohmwright.checks.types import Severity
from ohmwright.standards import Clause
from ohmwright.study import Study
from ohmwright.working import Figure, Step, tell

REMEDY = "Put fewer strings in parallel, fuse each string inside the window, or choose modules with a higher series-fuse rating."
FUSES = ("fuse", "breaker")


@dataclass(frozen=True, slots=True)
class BackFeed:
    """Whether the controller lets battery current back to the array, and whether a device stands at its battery side."""

    word: str = "no"
    fused: bool = True
    asks: str = ""


def judge(
    parallel: int, of: Window | None, fuse: Figure | None, back: BackFeed, missing: tuple[str, ...] = ()
) -> Judgement:
    """The string fuse, or its absence, against the window."""
    if parallel < 2:
        return skipped("One string only: nothing can push current backward through it.")
    if of is None:
        return cannot_tell("The window for a string fuse cannot be told.", missing, unit="A", sense="max")
    if fuse is None:
        return _without(parallel, of, back)
    root = of.most if isinstance(of.most, Figure) else None
    steps = tuple(s for s in (of.reverse, of.most, of.least) if isinstance(s, Step))
    needed = not at_most(of.reverse.value, of.module_fuse.value)
    if at_most(fuse.value, of.most.value) and not at_most(of.least.value, fuse.value):
        severity: Severity = "danger" if needed and of.empty else "fails"
        limit = of.most.value if needed and of.empty else fuse.value
        told = f"A {tell(fuse.value, 'A')} string fuse blows on bright cold days: at least {tell(of.least.value, 'A', 4)} is wanted; the window is {of.told}{_fits(of)}."
        return Judgement(
            verdict="fail", severity=severity, message=told, value=of.least.value, limit=limit, sense="max", margin=margin_below(of.least.value, limit),
            unit="A", low=of.least.value, high=of.most.value, remedy=REMEDY, steps=steps, origin_unverified=unverified(*steps, fuse, root),
        )  # fmt: skip
    return most(
        fuse.value, of.most.value, "A", good=f"{tell(fuse.value, 'A')} string fuse, window {of.told}.",
        bad=f"A {tell(fuse.value, 'A')} string fuse is above what the modules bear, {tell(of.most.value, 'A', 4)}: they burn before it blows.",
        remedy=REMEDY, steps=steps, roots=(fuse, root),
    )  # fmt: skip


def _fits(of: Window) -> str:
    return ": no string fuse fits" if of.empty else ""


def _without(parallel: int, of: Window, back: BackFeed) -> Judgement:
    told = f"{parallel} strings without fuses push {tell(of.reverse.value, 'A', 4)} backward into a faulted one; its modules bear {tell(of.module_fuse.value, 'A', 4)}"
    root = of.module_fuse
    judged = most(
        of.reverse.value, of.module_fuse.value, "A", good=f"{told}.", bad=f"{told}; the window for a string fuse is {of.told}{_fits(of)}: the modules burn.",
        remedy=REMEDY, steps=(of.least, of.reverse), roots=(root,),
    )  # fmt: skip
    if judged.verdict != "pass" or back.fused or back.word == "no":
        return judged
    if back.word == "yes":
        return fails(
            "The controller lets battery current back to the array, and no device stands between bank and array.",
            "Fuse the controller at the bank.",
            roots=(root,),
        )
    return cannot_tell(
        "The strings push little enough, but nobody knows whether the controller lets battery current back to the array, and no device stands between them.",
        (back.asks,), unit="A", sense="max", remedy="Read it from the controller's page, or fuse the controller at the bank.",
    )  # fmt: skip


def window_of(study: Study, circuit: PvCircuit) -> tuple[Window | None, tuple[str, ...]]:
    """The window of a circuit: the largest short-circuit current, the smallest module fuse."""
    short, fuse = circuit.weakest("short_circuit", largest=True), circuit.weakest("max_series_fuse")
    if short.figure is None or fuse.figure is None:
        return None, (*short.missing, *fuse.missing)
    return window(country(study.rig.job.rules), circuit.parallel, short.figure, fuse.figure), ()


def string_fuses(study: Study, circuit: PvCircuit) -> dict[str, tuple[str, Figure | None]]:
    """String id -> the device that only it runs through, with its rating."""
    found: dict[str, tuple[str, Figure | None]] = {}
    for device in circuit.devices:
        if device.kind.name not in FUSES:
            continue
        for name in circuit.elements:
            if (
                study.graph.elements[name].owner == device.id
                and (only := strings_behind(study, circuit, name))
                and len(only) == 1
            ):
                found.setdefault(only[0], (device.id, asked(device.figure("rated")).figure))
    return found


def back_feed(study: Study, circuit: PvCircuit) -> BackFeed:
    """What the controller's record says, and whether a device stands at its battery side."""
    controller = circuit.controller
    if controller is None:
        return BackFeed()
    plus = f"{controller.id}.bat.+"
    leads = [n for n in study.graph.at.get(plus, ()) if n in study.graph.conductors and n in study.guards]
    fused = bool(leads) and all(
        any(g.device for g in study.guards[n].guards if not g.source.startswith(controller.id)) for n in leads
    )
    return BackFeed(word(controller, "backfeed") or "unknown", fused, f"{controller.id}.backfeed")


@rule(
    "array/string-fuse",
    "A7",
    "String fuse between its two limits",
    why="""When one string fails, its neighbours push their current backward through it. The fuse has to stop that before
        the module burns, and must not blow on a bright cold day.""",
    severities=("danger", "fails"),
    clauses={
        "us": Clause("NFPA 70", "2023", "690.9(B)", "memory"),
        "eu": Clause("IEC 62548-1", "2023", "string overcurrent protection", "memory"),
    },
    needs=("guards",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string of a circuit with two or more, or the circuit when it has one."""
    for circuit in pv_circuits(study):
        of, missing = window_of(study, circuit)
        if circuit.parallel < 2:
            yield circuit.name, judge(circuit.parallel, of, None, BackFeed())
            continue
        fuses, back = string_fuses(study, circuit), back_feed(study, circuit)
        for string in circuit.strings:
            device, rated = fuses.get(string.id, ("", None))
            if device and rated is None:
                yield (
                    string.id,
                    cannot_tell(
                        "The rating of its string fuse is missing.",
                        (f"{device}.rated",),
                        unit="A",
                        sense="max",
                    ),
                )
            else:
                yield string.id, judge(circuit.parallel, of, rated, back, missing)
