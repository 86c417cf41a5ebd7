"""E25: the rules that are applied are those of this host."""

from collections.abc import Iterator

from ohmwright.checks.judgement import Judgement, fails, passes, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.standards.types import Clause
from ohmwright.study import Study

#: By the kind of host: the last word of its rule sets.
MADE_FOR = {"trailer": "vehicle", "van": "vehicle", "boat": "boat", "cabin": "cabin"}


def judge(kind: str, rules: str) -> Judgement:
    """Rules of a boat say nothing of brakes, rules of a cabin nothing of a crash."""
    wanted = MADE_FOR.get(kind)
    if wanted is None:
        return skipped("The file does not say what the rig is built into.")
    if host(rules) == wanted:
        return passes(f"Rules of a {wanted} for a {kind}.")
    return fails(f"A {kind} is judged by the rules of a {host(rules)}: what it has to keep beyond them is not looked at.", f"Write rules: us-{wanted} or eu-{wanted} with its year.")  # fmt: skip


@rule(
    "place/rule-set",
    "E25",
    "The rules are those of this host",
    why="""Whoever wants to get round a weight, a bond or an inlet breaker has only to write another word at the head of the
        file. Every finding below it is then true, and the rig is judged by the wrong book.""",
    severities=("danger",),
    clauses={"": Clause("", "", "common practice, no source", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """The host's kind against the rule set of the job."""
    yield "job", judge(study.rig.host.kind, study.rig.job.rules)
