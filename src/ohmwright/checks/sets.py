"""Rule sets: country and host, and which clause of a rule holds in one."""

from collections.abc import Mapping

from ohmwright.standards.types import COMMON_PRACTICE, Clause

SETS = ("us-vehicle", "us-boat", "us-cabin", "eu-vehicle", "eu-boat", "eu-cabin")


def country(rules: str) -> str:
    """`us` or `eu`.

    >>> country("eu-boat")
    'eu'
    """
    return rules.partition("-")[0]


def host(rules: str) -> str:
    """`vehicle`, `boat` or `cabin`."""
    return rules.partition("-")[2]


def clause_in(clauses: Mapping[str, Clause], rules: str) -> Clause:
    """The clause for a rule set: its own, its country's, its host's, or the one for all (key "")."""
    for key in (rules, country(rules), host(rules), ""):
        if key in clauses:
            return clauses[key]
    return COMMON_PRACTICE
