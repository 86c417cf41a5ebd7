"""Apply the rules of a rig's set, and say which were not applied."""

from collections.abc import Iterable, Iterator, Mapping

from ohmwright.checks.answers import looked_at, overridden
from ohmwright.checks.catalogue import catalogue
from ohmwright.checks.judgement import cannot_tell, skipped
from ohmwright.checks.registry import place, rules, signed
from ohmwright.checks.second_opinion import disagreements
from ohmwright.checks.seen import mark_of
from ohmwright.checks.sets import SETS
from ohmwright.checks.types import Finding, Rule
from ohmwright.study import Study

_SEVERITIES = ("danger", "fails", "disappoints", "note")
_RANKS = {"fail": 0, "cannot-tell": 1, "warn": 2, "overridden": 3, "pass": 4, "skip": 5}


def run(study: Study, only: Iterable[str] | None = None) -> tuple[Finding, ...]:
    """Every finding of the rules of the rig's set (or of those in `only`, by id or number), worst first.

    Every rule speaks at least once: a pass with its value and limit, a skip with its reason.
    """
    wanted = None if only is None else set(only)
    found: list[Finding] = []
    for made in rules().values():
        if wanted is not None and not wanted & {made.id, made.number}:
            continue
        if study.rig.job.rules in made.sets or study.rig.job.rules not in SETS:
            found += (_answered(f, made, study) for f in _spoken(made, study))
    found += _second(study, wanted)
    return tuple(sorted(found, key=order))


def _second(study: Study, wanted: set[str] | None) -> Iterator[Finding]:
    """What two methods do not agree on, in the name of the rule that rests on it."""
    by_number = {made.number: made for made in rules().values()}
    resting = ("A1", "B17", "B18", "E7")
    if study.rig.job.rules not in SETS or not any(_is_wanted(by_number[n], wanted, study) for n in resting):
        return
    for number, subject, judgement in disagreements(study):
        if _is_wanted(by_number[number], wanted, study):
            yield signed(by_number[number], subject, judgement, study.rig.job.rules)


def _is_wanted(made: Rule, wanted: set[str] | None, study: Study) -> bool:
    return (wanted is None or bool(wanted & {made.id, made.number})) and study.rig.job.rules in made.sets


def _spoken(made: Rule, study: Study) -> Iterator[Finding]:
    if study.rig.job.rules not in SETS:
        yield signed(
            made,
            "job",
            cannot_tell(
                "No rule set is named, so no limit can be chosen.",
                ("job.rules",),
                remedy=f"Write one of {', '.join(SETS)} with its year.",
            ),
            "",
        )
        return
    spoke = False
    for finding in made.check(study):
        spoke = True
        yield finding
    if not spoke:
        yield signed(
            made, "rig", skipped("Nothing in this rig that this rule is about."), study.rig.job.rules
        )


def _answered(finding: Finding, made: Rule, study: Study) -> Finding:
    seen = looked_at(finding, made, study.rig.looked_at, lambda rule, subject: mark_of(study, rule, subject))
    return overridden(seen, made, study.rig.overrides, study.today)


def order(f: Finding) -> tuple[int, int, int, str, tuple[str, int]]:
    """Open findings first, by severity, then fail before cannot-tell before warn; then subject."""
    rank = _RANKS[f.verdict]
    return (max(rank - 2, 0), _SEVERITIES.index(f.severity), rank, f.subject, place(f.number))


def not_applied(study: Study) -> list[tuple[str, str]]:
    """Number and title of the catalogue's rules for this set that are not built."""
    built = {made.number for made in rules().values()}
    named = study.rig.job.rules in SETS
    return [
        (line.number, line.title)
        for line in catalogue().values()
        if line.number not in built and (not named or study.rig.job.rules in line.sets)
    ]


def group_cannot_tells(findings: Iterable[Finding]) -> Mapping[str, tuple[str, ...]]:
    """Missing address -> the rules it would help to settle, the most wanted first."""
    by_address: dict[str, dict[str, None]] = {}
    for f in findings:
        if f.verdict == "cannot-tell":
            for address in f.missing:
                by_address.setdefault(address, {})[f.number] = None
    ordered = sorted(by_address.items(), key=lambda item: (-len(item[1]), item[0]))
    return {address: tuple(sorted(numbers, key=place)) for address, numbers in ordered}
