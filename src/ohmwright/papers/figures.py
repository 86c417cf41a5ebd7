"""The few figures that stand on more than one card: what the banks store, what they push, what the array reaches."""

from collections.abc import Iterable, Iterator
from math import ceil

from ohmwright.checks.types import Finding
from ohmwright.papers.catalogue import Words
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.ports import is_group
from ohmwright.study import Study
from ohmwright.working import known


def banks(rig: Rig) -> Iterator[Part]:
    """Every bank: groups as written, and batteries that stand alone."""
    for p in rig.parts.values():
        if p.kind.name == "battery" and (is_group(p) or not p.group):
            yield p


def guard_class(words: Words, p: Part) -> str:
    """The class of a fuse, or which residual currents a device sees, as it stands on its face."""
    seen = p.word("type")
    if seen == "unknown":
        return "?"
    if seen.startswith("class-"):
        return words.say("schedules.residual-class", letter=seen.removeprefix("class-").upper())
    return p.word("class") or (words.say("schedules.residual-type", letter=seen.upper()) if seen else "")


def members_of(rig: Rig, bank: Part) -> list[Part]:
    """The batteries of a bank."""
    return [p for p in rig.of_kind("battery") if p.group == bank.id] or [bank]


def stored_kWh(rig: Rig, bank: Part) -> str:
    """Stored energy of a bank at its nominal volts, "" when it is not known."""
    total = 0.0
    for p in members_of(rig, bank):
        volts, hours = known(p.figure("nominal_voltage")), known(p.figure("capacity"))
        if volts is None or hours is None:
            return ""
        total += volts.value * hours.value / 1000
    return f"{total:.1f}"


def fault_kA(study: Study, bank: Part) -> str:
    """The largest fault at the bank's own posts, "" when it is not known."""
    owners = {bank.id, *(p.id for p in members_of(study.rig, bank))}
    found = [
        f.max_A
        for t, f in study.faults.items()
        if f.max_A is not None and study.graph.terminals[t].owner in owners
    ]
    return f"{max(found) / 1000:.1f}" if found else ""


def cold_volts(findings: Iterable[Finding]) -> float | None:
    """The array's highest volts, as rule A1 (or A2, by table) worked them out."""
    return max((f.value for f in findings if f.number in ("A1", "A2") and f.value is not None), default=None)


def at_most(value: float) -> str:
    """A largest value in whole units, rounded up: a label may not tell less than there is.

    >>> at_most(54.26), at_most(136.0)
    ('55', '136')
    """
    return f"{ceil(value - 1e-9)}"


def array_amps(findings: Iterable[Finding]) -> float | None:
    """The array's largest current, as rule A4 worked it out."""
    return max((f.value for f in findings if f.number == "A4" and f.value is not None), default=None)
