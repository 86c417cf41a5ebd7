"""What a rule says of one subject, before it is signed with the rule's name.

`judge` functions take figures and steps and return a Judgement; they know nothing of rigs, so that limit cases
are tests of them.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import ParamSpec, TypeVar, cast

from ohmwright.checks.types import Sense, Severity, Verdict
from ohmwright.standards.types import Clause
from ohmwright.working import Figure, Step
from ohmwright.working.quickly import quickly_made

SLACK = 1e-9


@quickly_made
@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """Verdict, message and figures. `severity` None: the rule's first; `clause` None: the rule's own."""

    verdict: Verdict
    message: str
    severity: Severity | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    sense: Sense = "none"
    margin: float | None = None
    unit: str = ""
    remedy: str = ""
    missing: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    path: tuple[str, ...] = ()
    origin_unverified: bool = False
    clause: Clause | None = None
    limit_address: str = ""
    value_address: str = ""


P = ParamSpec("P")
T = TypeVar("T")


def kept(judge: Callable[P, T]) -> Callable[P, T]:
    """For a `judge` that many subjects ask: what was said of equal figures is said again.

    A judgement rests on what the function is given and on published figures; after an edit most of both is as it was.
    """
    return cast(Callable[P, T], lru_cache(maxsize=4096)(judge))


def at_most(value: float, limit: float) -> bool:
    """Not above the limit, with a relative slack of 1e-9.

    >>> at_most(110.00000000000001, 110), at_most(110.11, 110)
    (True, False)
    """
    return value <= limit + SLACK * max(abs(limit), abs(value))


def at_least(value: float, limit: float) -> bool:
    """Not below the limit, with a relative slack of 1e-9."""
    return at_most(limit, value)


def margin_below(value: float, limit: float) -> float | None:
    """What is left below an upper limit, as part of it; None for a limit of zero."""
    return (limit - value) / abs(limit) if limit else None


def margin_above(value: float, limit: float) -> float | None:
    """What is left above a lower limit, as part of it; None for a limit of zero."""
    return (value - limit) / abs(limit) if limit else None


def plain(given: float | Figure | Step) -> tuple[float, str, tuple[Figure | Step, ...]]:
    """The value of what was given, its address where it is a figure of the rig, and itself as a root."""
    if isinstance(given, Figure):
        return (
            given.value,
            given.address if given.origin.kind not in ("standard", "computed") else "",
            (given,),
        )
    return (given.value, "", (given,)) if isinstance(given, Step) else (given, "", ())


def with_limit(own: tuple[Figure | Step, ...], steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The steps, before them those that gave limit and value."""
    return (*(s for s in own if isinstance(s, Step) and s not in steps), *steps)


def unverified(*roots: Figure | Step | None) -> bool:
    """True when any of these rests on a figure that nobody has verified."""
    return any(
        r.origin_unverified if isinstance(r, Step) else not r.origin.verified for r in roots if r is not None
    )


def cannot_tell(message: str, missing: Iterable[str], *, limit: float | None = None, unit: str = "", sense: Sense = "none", remedy: str = "", severity: Severity | None = None) -> Judgement:  # fmt: skip
    """Something is missing; `missing` names the addresses that would settle it."""
    return Judgement(
        verdict="cannot-tell", message=message, missing=tuple(dict.fromkeys(missing)), limit=limit, unit=unit, sense=sense, remedy=remedy, severity=severity,
    )  # fmt: skip


def skipped(reason: str) -> Judgement:
    """The rule does not apply here."""
    return Judgement(verdict="skip", message=reason)


def passes(
    message: str, *, steps: tuple[Step, ...] = (), roots: tuple[Figure | Step | None, ...] = ()
) -> Judgement:
    """A pass without a figure."""
    return Judgement(
        verdict="pass", message=message, steps=steps, origin_unverified=unverified(*steps, *roots)
    )


def fails(
    message: str,
    remedy: str,
    *,
    severity: Severity | None = None,
    path: tuple[str, ...] = (),
    roots: tuple[Figure | Step | None, ...] = (),
    clause: Clause | None = None,
) -> Judgement:
    """A fail without a figure."""
    return Judgement(
        verdict="fail",
        message=message,
        remedy=remedy,
        severity=severity,
        path=path,
        origin_unverified=unverified(*roots),
        clause=clause,
    )


def warns(
    message: str,
    remedy: str = "",
    *,
    path: tuple[str, ...] = (),
    roots: tuple[Figure | Step | None, ...] = (),
    steps: tuple[Step, ...] = (),
) -> Judgement:
    """A note to heed."""
    return Judgement(
        verdict="warn",
        message=message,
        remedy=remedy,
        severity="note",
        path=path,
        steps=steps,
        origin_unverified=unverified(*roots),
    )


def most(
    value: float | Figure | Step,
    limit: float | Figure | Step,
    unit: str,
    *,
    good: str,
    bad: str,
    remedy: str = "",
    warn_above: float | None = None,
    warn: str = "",
    severity: Severity | None = None,
    steps: tuple[Step, ...] = (),
    roots: tuple[Figure | Step | None, ...] = (),
    clause: Clause | None = None,
) -> Judgement:
    """Judge a value against an upper limit; between `warn_above` and the limit it is a note."""
    value, value_address, more = plain(value)
    limit, address, own = plain(limit)
    verdict: Verdict = "pass" if at_most(value, limit) else "fail"
    message, said_remedy, severe = (good, "", severity) if verdict == "pass" else (bad, remedy, severity)
    if verdict == "pass" and warn_above is not None and not at_most(value, warn_above):
        verdict, message, said_remedy, severe = "warn", warn or good, remedy, "note"
    return Judgement(
        verdict=verdict, message=message, severity=severe, value=value, limit=limit, high=limit, sense="max", margin=margin_below(value, limit),
        unit=unit, remedy=said_remedy, steps=with_limit((*own, *more), steps), origin_unverified=unverified(*steps, *roots, *own, *more), clause=clause, limit_address=address, value_address=value_address,
    )  # fmt: skip


def least(
    value: float | Figure | Step,
    limit: float | Figure | Step,
    unit: str,
    *,
    good: str,
    bad: str,
    remedy: str = "",
    warn_below: float | None = None,
    warn: str = "",
    severity: Severity | None = None,
    steps: tuple[Step, ...] = (),
    roots: tuple[Figure | Step | None, ...] = (),
    clause: Clause | None = None,
) -> Judgement:
    """Judge a value against a lower limit; between the limit and `warn_below` it is a note."""
    value, value_address, more = plain(value)
    limit, address, own = plain(limit)
    verdict: Verdict = "pass" if at_least(value, limit) else "fail"
    message, said_remedy, severe = (good, "", severity) if verdict == "pass" else (bad, remedy, severity)
    if verdict == "pass" and warn_below is not None and not at_least(value, warn_below):
        verdict, message, said_remedy, severe = "warn", warn or good, remedy, "note"
    return Judgement(
        verdict=verdict, message=message, severity=severe, value=value, limit=limit, low=limit, sense="min", margin=margin_above(value, limit),
        unit=unit, remedy=said_remedy, steps=with_limit((*own, *more), steps), origin_unverified=unverified(*steps, *roots, *own, *more), clause=clause, limit_address=address, value_address=value_address,
    )  # fmt: skip
