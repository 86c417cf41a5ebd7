"""Apply the design rules to a rig."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from ohmwright.checks import engine
from ohmwright.checks.types import Finding, Severity, Verdict
from ohmwright.services.answers import envelope, finite
from ohmwright.services.opening import Opened, open_study
from ohmwright.study import Study

SEVERITIES: tuple[Severity, ...] = ("danger", "fails", "disappoints", "note")
VERDICTS: tuple[Verdict, ...] = ("fail", "warn", "cannot-tell", "overridden", "skip", "pass")


@dataclass(frozen=True, slots=True)
class Checked:
    """The findings of a rig, and the rules of its set that were not applied."""

    opened: Opened
    study: Study
    findings: tuple[Finding, ...]
    not_applied: tuple[tuple[str, str], ...]

    @property
    def open(self) -> bool:
        """A danger or fails that fails, or a danger that cannot be told."""
        return any(
            (f.verdict == "fail" and f.severity in ("danger", "fails"))
            or (f.verdict == "cannot-tell" and f.severity == "danger")
            for f in self.findings
        )

    def dangers(self) -> tuple[Finding, ...]:
        """Dangers that fail."""
        return tuple(f for f in self.findings if f.verdict == "fail" and f.severity == "danger")

    def statement(self) -> str:
        """The one sentence that may be said about the whole."""
        dangers = len(self.dangers())
        open_dangers = sum(f.verdict == "cannot-tell" and f.severity == "danger" for f in self.findings)
        applied = len({f.rule for f in self.findings})
        if dangers:
            return f"{dangers} danger{'s' if dangers > 1 else ''} found by the {applied} rules applied."
        if open_dangers:
            told = "1 danger" if open_dangers == 1 else f"{open_dangers} dangers"
            return f"No danger found among the {applied} rules applied, but {told} cannot be told."
        return f"No danger among the {applied} rules applied."


def check(where: str, *, deep: bool = False) -> Checked:
    """Open a rig and apply every rule of its set that is built."""
    opened, study = open_study(where, deep=deep)
    return checked(opened, study)


def checked(opened: Opened, study: Study) -> Checked:
    """The findings of an opened rig."""
    return Checked(opened, study, engine.run(study), tuple(engine.not_applied(study)))


def finding_json(f: Finding) -> dict[str, Any]:
    """A finding with the keys of the contract."""
    return {
        "rule": f.rule,
        "number": f.number,
        "subject": f.subject,
        "severity": f.severity,
        "verdict": f.verdict,
        "message": f.message,
        "value": finite(f.value),
        "low": finite(f.low),
        "high": finite(f.high),
        "limit": finite(f.limit),
        "sense": f.sense,
        "margin": finite(f.margin),
        "unit": f.unit or None,
        "clause": f.clause or None,
        "edition": f.edition or None,
        "remedy": f.remedy or None,
        "missing": list(f.missing),
        "override": dict(f.override) if f.override else None,
        "origin_unverified": f.origin_unverified,
        "path": list(f.path),
    }


def check_json(done: Checked) -> dict[str, Any]:
    """The answer of `check --json`."""
    fails = Counter(f.severity for f in done.findings if f.verdict == "fail")
    verdicts = Counter(f.verdict for f in done.findings)
    return {
        **envelope(done.opened),
        "rules": f"{done.opened.rig.job.rules} {done.opened.rig.job.edition}".strip() or None,
        "counts": {s: fails[s] for s in SEVERITIES},
        "by_verdict": {v: verdicts[v] for v in VERDICTS},
        "statement": done.statement(),
        "findings": [finding_json(f) for f in done.findings],
        "missing": {a: list(r) for a, r in engine.group_cannot_tells(done.findings).items()},
        "not_applied": [{"number": n, "title": t} for n, t in done.not_applied],
    }
