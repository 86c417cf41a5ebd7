"""The rules by id. A rule is a file; its folder and name are its slug."""

import pkgutil
import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from importlib import import_module

from ohmwright.checks.judgement import Judgement
from ohmwright.checks.sets import SETS, clause_in
from ohmwright.checks.types import Finding, Rule, Severity
from ohmwright.standards.types import Clause
from ohmwright.study import Study

#: The folders that hold rules.
GROUPS = ("array", "battery", "wiring", "mains", "place", "charging", "monitor", "storage", "service")

#: A plain word in front of a sentence: with a digit, a capital, a point or a dash in it, it is a name.
_FIRST = re.compile(r"[a-z]+(?=[ :])")
Check = Callable[[Study], Iterator[tuple[str, Judgement]]]

_RULES: dict[str, Rule] = {}
#: Subjects of one rule whose last finding is kept.
MOST_KEPT = 4000


def rule(
    id: str,  # noqa: A002 - the word of the interface
    number: str,
    title: str,
    *,
    why: str,
    severities: tuple[Severity, ...],
    clauses: Mapping[str, Clause],
    sets: tuple[str, ...] = SETS,
    needs: tuple[str, ...] = (),
    never_overridden: bool = False,
) -> Callable[[Check], Check]:
    """Enter a check as a rule: every judgement it yields becomes a finding in the rule's name."""

    def enter(check: Check) -> Check:
        kept: dict[str, tuple[Judgement, str, Finding]] = {}

        def findings(study: Study) -> Iterator[Finding]:
            """A judgement that was said again of a subject is the same finding again."""
            rules = study.rig.job.rules
            if len(kept) > MOST_KEPT:
                kept.clear()
            for subject, judgement in check(study):
                last = kept.get(subject)
                if last is None or last[0] is not judgement or last[1] != rules:
                    last = kept[subject] = judgement, rules, signed(made, subject, judgement, rules)
                yield last[2]

        made = Rule(
            id,
            number,
            title,
            " ".join(why.split()),
            severities,
            sets,
            clauses,
            findings,
            needs,
            never_overridden=never_overridden,
        )
        _RULES[id] = made
        return check

    return enter


def signed(made: Rule, subject: str, j: Judgement, rules: str) -> Finding:
    """A judgement as a finding of `made`."""
    clause = j.clause or clause_in(made.clauses, rules)
    return Finding(
        made.id, made.number, subject, j.severity or made.severities[0], j.verdict, _begun(j.message, subject), j.value, j.low, j.high, j.limit, j.sense, j.margin,
        j.unit, _told(clause), clause.edition, j.remedy, j.missing, None, j.origin_unverified, j.steps, j.path, j.limit_address, j.value_address,
    )  # fmt: skip


def _begun(message: str, subject: str) -> str:
    """A sentence begins with a capital; a name of the file that stands first keeps its spelling."""
    first = _FIRST.match(message)
    return message if first is None or first[0] == subject else message[0].upper() + message[1:]


@lru_cache(maxsize=1024)
def _told(clause: Clause) -> str:
    told = " ".join(w for w in (clause.standard, clause.clause) if w) or "common practice, no source"
    return f"{told} (from memory)" if clause.standard and clause.seen == "memory" else told


@lru_cache(maxsize=1)
def rules() -> Mapping[str, Rule]:
    """Every rule that is built, in the order of the catalogue's numbers."""
    for group in GROUPS:
        package = import_module(f"ohmwright.checks.{group}")
        for module in sorted(m.name for m in pkgutil.iter_modules(package.__path__)):
            import_module(f"ohmwright.checks.{group}.{module}")
    return dict(sorted(_RULES.items(), key=lambda item: place(item[1].number)))


def place(number: str) -> tuple[str, int]:
    """Sorts A2 before A10."""
    return number[:1], int(number[1:])
