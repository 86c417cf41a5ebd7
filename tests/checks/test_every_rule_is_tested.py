"""Every rule is tried both ways, at its limit, and with something missing; a rule without such a case fails here."""

import pytest
from tests.checks import test_limits, test_network_rules, test_on_rigs, test_places

from ohmwright.checks.registry import rules

KIND = {
    "pass": "good",
    "fail": "bad",
    "warn": "bad",
    "overridden": "bad",
    "cannot-tell": "missing",
    "skip": "skipped",
}

#: What cannot be tried, and why.
TOPOLOGY = "the wiring as drawn answers it: no figure can be missing"
YEAR = "it speaks with a year only, and a year has all its figures"
NOT_APPLICABLE: dict[str, dict[str, str]] = {
    "A18": {"missing": YEAR},
    "A22": {"missing": TOPOLOGY},
    "A26": {"missing": TOPOLOGY},
    "B11": {"missing": YEAR},
    "B13": {"missing": YEAR},
    "B16": {"missing": TOPOLOGY},
    "C24": {"missing": TOPOLOGY},
    "C29": {"missing": TOPOLOGY},
    "C16": {"bad": "a torque is on file or it is not"},
    "C21": {"bad": "a size without its system is refused when the file is read", "missing": "as well"},
    "D2": {"missing": TOPOLOGY},
    "D3": {"missing": TOPOLOGY},
    "D13": {"missing": TOPOLOGY},
    "D14": {"missing": TOPOLOGY},
    "D17": {"missing": TOPOLOGY},
    "D33": {"missing": TOPOLOGY},
    "D34": {"missing": "without both frequencies there is nothing to hold against each other"},
    "E12": {"limit": "no two metals of the table stand just at it"},
    "E25": {"missing": "without a rule set no rule speaks at all"},
    "F17": {"missing": TOPOLOGY},
}


@pytest.fixture(scope="module")
def tried() -> dict[str, set[str]]:
    """Kinds of cases by rule, from the tables of both files."""
    found: dict[str, set[str]] = {r.number: set() for r in rules().values()}
    for case in (*test_limits.CASES, *test_network_rules.LIMITS, *test_places.LIMITS):
        found[case.number].add(KIND[case.verdict])
        judged = case.judge()
        if judged.value is not None and judged.limit is not None:
            found[case.number].add("has a limit")
        if case.exact or "at the limit" in case.name or "at its l" in case.name:
            found[case.number].add("limit")
    for placed in (*test_on_rigs.CASES, *test_network_rules.RIGS, *test_places.RIGS):
        found[placed.number].add(KIND[placed.verdict])
    for number in test_on_rigs.eyes():
        found[number] |= {"good", "bad", "missing"}
    return found


def test_no_case_is_of_a_rule_that_is_not(tried: dict[str, set[str]]) -> None:
    assert set(tried) == {r.number for r in rules().values()}


def lacks(number: str, tried: set[str]) -> set[str]:
    """The kinds of cases that a rule still wants."""
    wanted = {"good", "bad", "missing"} | ({"limit"} if "has a limit" in tried else set())
    return wanted - set(NOT_APPLICABLE.get(number, {})) - tried


@pytest.mark.parametrize("number", [r.number for r in rules().values()])
def test_a_rule_is_tried_both_ways_at_its_limit_and_with_something_missing(
    number: str, tried: dict[str, set[str]]
) -> None:
    assert lacks(number, tried[number]) == set()


def test_a_rule_that_nobody_has_tried_is_named_here() -> None:
    assert lacks("Z1", set()) == {"good", "bad", "missing"}
    assert lacks("Z1", {"good", "bad", "missing", "has a limit"}) == {"limit"}
    assert lacks("Z1", {"good", "skipped"}) == {"bad", "missing"}


def test_no_excuse_is_kept_for_what_is_tried(tried: dict[str, set[str]]) -> None:
    assert {
        (n, kind) for n, excused in NOT_APPLICABLE.items() for kind in excused if kind in tried[n]
    } == set()
    assert set(NOT_APPLICABLE) <= set(tried)
