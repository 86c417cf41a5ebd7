"""What a rule is and what it finds."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ohmwright.standards.types import Clause
from ohmwright.study import Study
from ohmwright.working import Step
from ohmwright.working.quickly import quickly_made

Severity = Literal["danger", "fails", "disappoints", "note"]
Verdict = Literal["fail", "warn", "cannot-tell", "overridden", "skip", "pass"]
Sense = Literal["max", "min", "window", "none"]


@quickly_made
@dataclass(frozen=True, slots=True)
class Finding:
    """One statement of a rule about a subject.

    `value` against `low`/`high` (or `limit`) in `unit`, as `sense` says.  `margin` = (limit - value)/limit for
    max, (value - limit)/limit for min.  `missing` names the addresses that would settle it.  `steps` are the
    derivation; the message prints their numbers and no others.
    """

    rule: str
    number: str
    subject: str
    severity: Severity
    verdict: Verdict
    message: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    sense: Sense = "none"
    margin: float | None = None
    unit: str = ""
    clause: str = ""
    edition: str = ""
    remedy: str = ""
    missing: tuple[str, ...] = ()
    override: Mapping[str, str] | None = None
    origin_unverified: bool = False
    steps: tuple[Step, ...] = ()
    path: tuple[str, ...] = ()
    limit_address: str = ""
    """Where the limit is a figure of the rig: its address, in the unit of `value`."""
    value_address: str = ""
    """The same of the value."""


Check = Callable[["Study"], Iterator[Finding]]


@dataclass(frozen=True, slots=True)
class Rule:
    """A design rule: id for ever, number of the catalogue, clause by rule set, reason, severities, needs."""

    id: str
    number: str
    title: str
    why: str
    severities: tuple[Severity, ...]
    sets: tuple[str, ...]
    clauses: Mapping[str, Clause]
    check: Check
    needs: tuple[str, ...] = ()
    remedy: str = ""
    never_overridden: bool = False
    words: Mapping[str, str] = field(default_factory=dict)
