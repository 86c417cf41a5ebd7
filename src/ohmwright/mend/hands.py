"""What no file can settle: what to look at, to measure, to decide, and what needs a licensed hand."""

from collections.abc import Sequence

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.mend.trial import is_open
from ohmwright.mend.types import Hand, Proposed


def hands_of(findings: Sequence[Finding], taken: Sequence[Proposed]) -> tuple[Hand, ...]:
    """Work that changes ask of a hand, then open findings of mains and settings, then what is missing."""
    out = [
        Hand("licensed" if p.change.licensed else "do", p.change.address, p.change.by_hand, (p.why.number,))
        for p in taken
        if p.change.by_hand
    ]
    for f in findings:
        if not is_open(f):
            continue
        if f.number.startswith("D"):
            out.append(Hand("licensed", f.subject, f"{f.message} {f.remedy}".strip(), (f.number,)))
        elif f.severity in ("danger", "fails"):
            out.append(Hand("decide", f.subject, f"{f.message} {f.remedy}".strip(), (f.number,)))
    serious = [f for f in findings if f.severity in ("danger", "fails")]
    for address, rules in engine.group_cannot_tells(serious).items():
        if address.startswith("looked-at "):
            rule, _, subject = address.removeprefix("looked-at ").partition(" ")
            told = next((f.message for f in serious if f.rule == rule and f.subject == subject), address)
            out.append(Hand("look", subject, told, rules))
        else:
            out.append(Hand("measure", address, "", rules))
    return tuple(out)
