"""What mend never does, held against every change that is about to be taken, whatever proposed it."""

from dataclasses import replace

from ohmwright.checks.types import Finding
from ohmwright.circuit.devices import device_of
from ohmwright.mend.edits import Forget
from ohmwright.mend.trial import Draft, Heirs, groups, key
from ohmwright.mend.types import Change
from ohmwright.rig.model import Rig
from ohmwright.study import Study
from ohmwright.working import known

OVERLOAD = "wiring/overload"
#: Kinds that protect people or cables, beside the overcurrent devices.
GUARDING_KINDS = (
    "fuse",
    "breaker",
    "rcbo",
    "rcd",
    "pv-disconnect",
    "surge-dc",
    "surge-ac",
    "surge-protector",
    "galvanic-isolator",
)


def refused(before: Draft, after: Draft, changes: tuple[Change, ...], heirs: Heirs) -> str:
    """The reason why a step may not be taken, or ""."""
    gone = protective(before.study) - protective(after.study)
    if gone:
        return f"it takes out {', '.join(sorted(gone))}"
    raised = _raised_above_cable(before, after)
    if raised:
        return f"it raises {raised} above its cable"
    if any(c.sort == "setting" for c in changes):
        was, now = groups(before.findings, heirs), groups(after.findings, heirs)
        if was != now or _untold(before.findings) != _untold(after.findings):
            return "a setting settles no danger"
    if _answers(before.study.rig) != _answers(after.study.rig):
        return "what people saw or accepted is theirs"
    return ""


def emptied(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """The changes that leave a device's settings empty."""
    return tuple(c for c in changes if any(isinstance(e, Forget) for e in c.edits))


def as_set(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """The same changes with the settings of the old devices kept: what they do without the dropped settings."""
    return tuple(replace(c, edits=tuple(e for e in c.edits if not isinstance(e, Forget))) for c in changes)


def settled_by_emptying(kept: Draft, after: Draft, heirs: Heirs) -> list[Finding]:
    """Dangers that fail while the old settings stand and that nobody asks for any more once they are gone."""
    asked = {key(f, heirs) for f in after.findings if f.verdict in ("fail", "cannot-tell")}
    return [
        f
        for f in kept.findings
        if f.severity == "danger" and f.verdict == "fail" and key(f, heirs) not in asked
    ]


def _untold(findings: tuple[Finding, ...]) -> set[tuple[str, str]]:
    return {(f.rule, f.subject) for f in findings if f.severity == "danger" and f.verdict == "cannot-tell"}


def _answers(rig: Rig) -> tuple[tuple[tuple[str, str, str], ...], ...]:
    return (
        tuple((o.rule, o.subject, o.why) for o in rig.overrides),
        tuple((x.rule, x.subject, x.found) for x in rig.looked_at),
    )


def protective(study: Study) -> set[str]:
    """Ids of everything that protects: devices, ways of panels, residual-current devices."""
    out = {d.id for e in study.graph.elements.values() if (d := device_of(study.rig, e)) is not None}
    return out | {p.id for p in study.rig.of_kind(*GUARDING_KINDS)}


def ratings(study: Study) -> dict[str, float]:
    """Rating of every overcurrent device that has one."""
    out = {}
    for e in study.graph.elements.values():
        device = device_of(study.rig, e)
        rated = known(device.rated) if device is not None else None
        if device is not None and rated is not None:
            out[device.id] = rated.value
    return out


def _raised_above_cable(before: Draft, after: Draft) -> str:
    """A device of a larger rating than it had, in front of a conductor that it is the largest for and that does not bear it."""
    was, now = ratings(before.study), ratings(after.study)
    raised = {d: a for d, a in now.items() if d in was and a > was[d] * (1 + 1e-9)}
    if not raised:
        return ""
    untold = {f.subject for f in before.findings if f.rule == OVERLOAD and f.verdict == "cannot-tell"}
    for f in after.findings:
        guarding = after.study.guards.get(f.subject)
        if f.rule != OVERLOAD or guarding is None or f.verdict not in ("fail", "cannot-tell"):
            continue
        for device in {g.device for g in guarding.guards if g.device} & set(raised):
            largest = f.value is not None and abs(f.value - raised[device]) <= 1e-6 * raised[device]
            if largest or (f.verdict == "cannot-tell" and f.subject not in untold):
                return device
    return ""


def new_dangers(root: Draft, after: Draft, heirs: Heirs) -> list[Finding]:
    """Dangers of `after` that the root did not have, or had fewer of."""
    was, now = groups(root.findings, heirs), groups(after.findings, heirs)
    more = {k for k, n in now.items() if n > was.get(k, 0)}
    return [
        f for f in after.findings if f.verdict == "fail" and f.severity == "danger" and key(f, heirs) in more
    ]
