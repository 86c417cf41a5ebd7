"""What people answer to findings: what eyes have seen, and what somebody accepts."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from ohmwright.checks.judgement import SLACK
from ohmwright.checks.seen import changed
from ohmwright.checks.types import Finding, Rule
from ohmwright.rig.model import LookedAt, Override
from ohmwright.working import Figure, QuantityError, convert, parse
from ohmwright.working import unit as unit_of

EYES = "looked-at"


def looked_at(
    finding: Finding, rule: Rule, seen: Iterable[LookedAt], mark: Callable[[str, str], str] | None = None
) -> Finding:
    """A question that only eyes can settle, settled by the latest look; other rules compute and take no look.

    `mark` tells what a rule's subject is now: a look that was of something else no longer answers.
    """
    if EYES not in rule.needs or finding.verdict != "cannot-tell":
        return finding
    looks = [s for s in seen if s.rule in (rule.id, rule.number) and s.subject == finding.subject]
    if not looks:
        return finding
    look = max(reversed(looks), key=lambda s: s.dated)  # of one day, the one that stands last in the file
    told = f"Looked at by {look.by} on {look.dated}: {look.found}."
    now = mark(rule.id, finding.subject) if mark is not None else look.of
    if look.of in (now, ""):
        bind = (
            ""
            if look.of == now
            else f"Write of: {now} with the look: it lapses then when what was seen changes."
        )
        return replace(finding, verdict=look.verdict, message=told, missing=(), remedy=finding.remedy if look.verdict == "fail" else bind)  # fmt: skip
    since = ", ".join(changed(finding.subject, look.of, now))
    again = (
        f"{finding.message} {look.by} looked on {look.dated} ({look.found}), but since then {since} changed."
    )
    return replace(finding, message=again, remedy=f"Look again, and write of: {now} with what was found. {finding.remedy}")  # fmt: skip


def overridden(finding: Finding, rule: Rule, overrides: Sequence[Override], today: str) -> Finding:
    """The finding as accepted, or with the reason why the acceptance does not hold."""
    if finding.verdict not in ("fail", "warn"):
        return finding
    given = next(
        (o for o in overrides if o.rule in (rule.id, rule.number) and o.subject == finding.subject), None
    )
    if given is None:
        return finding
    told = {"why": given.why, "by": given.by, "dated": given.dated.isoformat(), "accepted": given.accepted, "until": given.until.isoformat() if given.until else "", "licensed": given.licensed}  # fmt: skip
    lapse = _lapse(finding, rule, given, today)
    if lapse:
        return replace(finding, override={**told, "state": "does not hold", "because": lapse})
    return replace(finding, verdict="overridden", override={**told, "state": "holds"})


def _lapse(finding: Finding, rule: Rule, given: Override, today: str) -> str:
    if rule.never_overridden:
        return "this rule cannot be overridden into an issued design"
    if finding.severity == "danger" and not given.licensed:
        return "a danger needs a second, licensed person: write licensed"
    if given.until is not None and today and date.fromisoformat(today) > given.until:
        return f"it ended on {given.until.isoformat()}"
    if finding.value is None:
        return ""
    if not given.accepted:
        return f"it names no accepted figure: write accepted: {accepted_text(finding.value, finding.unit)}"
    if _same(given.accepted, finding.value, finding.unit):
        return ""
    now = accepted_text(finding.value, finding.unit)
    return f"it was given for {given.accepted}, the figure is now {now}; write accepted: {now}"


def accepted_text(value: float, unit: str) -> str:
    """What to write as accepted: six digits or as many more as say this value, and a unit that a file may write.

    >>> accepted_text(0.7149, "1"), accepted_text(21.71875, "A"), accepted_text(12345678.9, "N")
    ('0.714900', '21.71875 A', '12345679 N')
    """
    written = f" {unit}" if _writable(unit) else ""
    for digits in range(6, 18):
        text = f"{Decimal(f'{value:#.{digits}g}'):f}{written}"
        if _same(text, value, unit):
            return text
    return f"{Decimal(repr(value)):f}{written}"


def _writable(unit: str) -> bool:
    """Whether a file may write this unit; a plain number, a count of joins or a rate stand without."""
    return unit not in ("", "1") and unit_of(unit) is not None


def _same(accepted: str, value: float, unit: str) -> bool:
    """The accepted figure is the value, to the digits that were written or to 1e-9."""
    try:
        given = parse(accepted)
    except QuantityError:
        return False
    if not isinstance(given, Figure):
        return False
    unit = unit if _writable(unit) else "1"
    try:
        was = convert(given.value, given.unit, unit or "1")
        one = convert(1.0, given.unit, unit or "1") - convert(0.0, given.unit, unit or "1")
    except (ValueError, KeyError):
        return False
    written = re.match(r"[+-]?\d+(?:\.(\d+))?\s*(\S*)", accepted.strip())
    decimals = len(written[1] or "") if written else 0
    factor = abs(_factor(written[2] if written else "", given.unit)) * abs(one)
    return abs(was - value) <= max(0.5 * 10.0**-decimals * factor, SLACK * abs(value))


def _factor(symbol: str, base: str) -> float:
    """How many base units one written unit is."""
    try:
        return convert(1.0, symbol, base) - convert(0.0, symbol, base)
    except (ValueError, KeyError):
        return 1.0
