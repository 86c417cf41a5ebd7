"""Derive a verdict or a figure, and say what would change it."""

from dataclasses import dataclass
from typing import Any

from ohmwright.checks.types import Finding
from ohmwright.rig.model import Rig
from ohmwright.services.answers import envelope, finite, given, steps
from ohmwright.services.check import Checked, check
from ohmwright.services.lines import Lines
from ohmwright.services.possible import turning_value
from ohmwright.working import Given, OhmwrightError, Step, evaluate, nearest


@dataclass(frozen=True, slots=True)
class Flip:
    """A figure of the rig that, moved alone from `now` to `to`, turns the verdict."""

    address: str
    now: float
    to: float
    unit: str


@dataclass(frozen=True, slots=True)
class Why:
    """A finding with what turns it, or a figure with what uses it."""

    checked: Checked
    finding: Finding | None
    others: tuple[Finding, ...]
    flips: tuple[Flip, ...]
    figure: Given | None = None
    address: str = ""
    used_by: tuple[Finding, ...] = ()
    never: tuple[str, ...] = ()
    """Figures of the rig in value or limit of which no possible value alone turns the verdict."""


_RANK = {"fail": 0, "cannot-tell": 1, "overridden": 2, "warn": 3, "pass": 4, "skip": 5}
_SEVERITY = {"danger": 0, "fails": 1, "disappoints": 2, "note": 3}


def why(where: str, what: str, subject: str | None = None) -> Why:
    """The derivation of rule `what` (slug or number) for `subject`, the worst one first; or of a figure's address."""
    return derived(check(where), what, subject)


def derived(done: Checked, what: str, subject: str | None = None) -> Why:
    """The same, of a rig that was checked already."""
    about = [f for f in done.findings if what in (f.rule, f.number)]
    if not about:
        return _figure(done, what)
    if subject:
        chosen = [f for f in about if f.subject == subject]
        if not chosen:
            near = nearest(subject, [f.subject for f in about])
            raise OhmwrightError(
                f"rule {what} says nothing about '{subject}'",
                remedy=f"did you mean {near}?"
                if near
                else "write one of " + ", ".join(sorted({f.subject for f in about})[:8]),
            )
    else:
        chosen = about
    ordered = sorted(
        chosen,
        key=lambda f: (_RANK[f.verdict], _SEVERITY[f.severity], f.margin if f.margin is not None else 0.0),
    )
    first = ordered[0]
    found, never = turning(first, done.study.rig)
    return Why(done, first, tuple(f for f in about if f is not first), found, never=never)


def _figure(done: Checked, address: str) -> Why:
    from ohmwright.rig.questions import every_figure

    known = dict(every_figure(done.study.rig))
    if address not in known:
        from ohmwright.services.reckon import names as reckoned

        names = (
            {f.rule for f in done.findings} | {f.number for f in done.findings} | set(known) | {*reckoned()}
        )
        near = nearest(address, names)
        raise OhmwrightError(
            f"'{address}' is neither a rule applied here nor a figure of this rig",
            remedy=f"did you mean {near}?"
            if near
            else "see ohmwright rules, or ohmwright show RIG --figures",
        )
    users = tuple(
        f
        for f in done.findings
        if any(i.address == address for s in f.steps for t in s.chain() for i in t.inputs)
        or address in f.missing
    )
    return Why(done, None, (), (), known[address], address, users)


def _again(step: Step, changed: dict[str, float]) -> float:
    values = {
        i.symbol: _again(i.step, changed) if i.step else changed.get(i.address, i.value) for i in step.inputs
    }
    return evaluate(step.formula, values)


def _roots(step: Step) -> dict[str, "Root"]:
    """The figures of the rig at the root of a step: published ones cannot be moved."""
    return {
        i.address: Root(i.value, i.unit, i.origin.kind != "computed")
        for s in step.chain()
        for i in s.inputs
        if i.address and i.step is None and i.origin.kind != "standard"
    }


@dataclass(frozen=True, slots=True)
class Root:
    """A figure at the root of a derivation; `given` when the file holds it, else it was computed."""

    now: float
    unit: str
    given: bool


def flips(finding: Finding, rig: Rig | None = None) -> tuple[Flip, ...]:
    """For each figure of the rig in value or limit, the value at which the verdict turns, the others kept."""
    return turning(finding, rig)[0]


def turning(finding: Finding, rig: Rig | None = None) -> tuple[tuple[Flip, ...], tuple[str, ...]]:
    """The turning points, and the given figures of which no value that they can have turns the verdict.

    With the rig at hand a part's rating also has to lie among the sizes on the shelf.
    """
    if finding.value is None or finding.limit is None or finding.sense not in ("max", "min"):
        return (), ()
    value = _Side(finding, finding.value, None)
    limit = _Side(finding, finding.limit, value.step)
    roots = {**limit.roots(), **value.roots()}
    met = {address: _solve(value, limit, address, root.now, root.unit) for address, root in roots.items()}
    for address, now, to in (
        (finding.limit_address, finding.limit, finding.value),
        (finding.value_address, finding.value, finding.limit),
    ):
        if address and met.get(address) is None:
            roots[address], met[address] = Root(now, finding.unit, True), to
    found: list[Flip] = []
    never: list[str] = []
    for address, root in roots.items():
        solved = met[address]
        to_it = None if solved is None else turning_value(address, root.unit, root.now, solved, rig)
        if to_it is not None:
            found.append(Flip(address, root.now, to_it, root.unit))
        elif root.given:
            never.append(address)
    return tuple(found), tuple(never)


class _Side:
    """Value or limit of a finding: a step that can be worked again, else the number alone."""

    def __init__(self, finding: Finding, number: float, other: Step | None) -> None:
        self.number = number
        steps = (s for f in reversed(finding.steps) for s in reversed(f.chain()))
        step = next((s for s in steps if s is not other and _near(s.value, number)), None)
        self.step = step if step is not None and _near(_again(step, {}), step.value) else None

    def roots(self) -> dict[str, Root]:
        return _roots(self.step) if self.step is not None else {}

    def at(self, changed: dict[str, float]) -> float:
        return self.number if self.step is None else _again(self.step, changed)


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= 1e-9 * max(1.0, abs(a), abs(b))


def _solve(value: _Side, limit: _Side, address: str, now: float, unit: str) -> float | None:
    """The nearest value of one root at which value and limit meet, within a hundredfold of today's."""

    def gap(x: float) -> float | None:
        try:
            return value.at({address: x}) - limit.at({address: x})
        except (ValueError, ZeroDivisionError, OverflowError, TypeError):
            return None

    here = gap(now)
    if here is None or here == 0:
        return now if here == 0 else None
    size = max(abs(now), 1.0)
    for reach in (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 20.0, 100.0):
        for side in (now - reach * size, now + reach * size):
            if now >= 0 and side <= 0 and unit != "degC":
                side = now / (1 + reach)
            there = gap(side)
            if there is not None and (there < 0) != (here < 0):
                return _bisect(gap, now, side, here)
    return None


def _bisect(gap: Any, low: float, high: float, at_low: float) -> float:
    for _ in range(80):
        middle = (low + high) / 2
        g = gap(middle)
        if g is None or (g < 0) == (at_low < 0):
            low = middle
        else:
            high = middle
    return high


def why_json(done: Why) -> dict[str, Any]:
    """The answer of `why --json`."""
    head = envelope(done.checked.opened)
    if done.finding is None:
        figure = done.figure
        assert figure is not None
        return {**head, "address": done.address, "figure": given(figure),
                "used_by": [{"rule": f.rule, "subject": f.subject, "verdict": f.verdict} for f in done.used_by]}  # fmt: skip
    f = done.finding
    return {
        **head, "rule": f.rule, "number": f.number, "subject": f.subject, "severity": f.severity, "verdict": f.verdict, "message": f.message,
        "clause": f.clause or None, "edition": f.edition or None, "limit": finite(f.limit), "unit": f.unit or None, "missing": list(f.missing), "path": list(f.path),
        "steps": steps(f.steps, Lines(done.checked.opened.rig).of), "flips": [{"address": p.address, "from": p.now, "to": p.to, "unit": p.unit} for p in done.flips],
        "never": list(done.never),
        "others": [{"subject": o.subject, "verdict": o.verdict} for o in done.others],
    }  # fmt: skip
