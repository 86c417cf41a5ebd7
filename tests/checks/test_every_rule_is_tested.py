"""Every rule is tried both ways, at its limit, and with something missing; a rule without such a case fails here."""

import pytest
from tests.checks import test_limits, test_network_rules, test_on_rigs

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
    "C2": {"missing": TOPOLOGY},
    "C24": {"missing": TOPOLOGY},
    "C16": {"bad": "a torque is on file or it is not"},
    "C21": {"bad": "a size without its system is refused when the file is read", "missing": "as well"},
    "C23": {"missing": TOPOLOGY},
    "D2": {"missing": TOPOLOGY},
    "D3": {"missing": TOPOLOGY},
    "D4": {"missing": TOPOLOGY},
    "D13": {"missing": TOPOLOGY},
    "D14": {"missing": TOPOLOGY},
    "D17": {"missing": TOPOLOGY},
    "D19": {"missing": TOPOLOGY},
    "D26": {"missing": TOPOLOGY},
    "E12": {"limit": "no two metals of the table stand just at it"},
    "F3": {"missing": TOPOLOGY},
    "F5": {"missing": TOPOLOGY},
    "F13": {"missing": TOPOLOGY},
    "F17": {"missing": TOPOLOGY},
}


@pytest.fixture(scope="module")
def tried() -> dict[str, set[str]]:
    """Kinds of cases by rule, from the tables of both files."""
    found: dict[str, set[str]] = {r.number: set() for r in rules().values()}
    for case in (*test_limits.CASES, *test_network_rules.LIMITS):
        found[case.number].add(KIND[case.verdict])
        judged = case.judge()
        if judged.value is not None and judged.limit is not None:
            found[case.number].add("has a limit")
        if case.exact or "at the limit" in case.name or "at its l" in case.name:
            found[case.number].add("limit")
    for placed in (*test_on_rigs.CASES, *test_network_rules.RIGS):
        found[placed.number].add(KIND[placed.verdict])
    for number in test_on_rigs.eyes():
        found[number] |= {"good", "bad", "missing"}
    return found


def test_no_case_is_of_a_rule_that_is_not(tried: dict[str, set[str]]) -> None:
    assert set(tried) == {r.number for r in rules().values()}


@pytest.mark.parametrize("number", [r.number for r in rules().values()])
def test_a_rule_is_tried_both_ways_at_its_limit_and_with_something_missing(
    number: str, tried: dict[str, set[str]]
) -> None:
    wanted = {"good", "bad", "missing"} | ({"limit"} if "has a limit" in tried[number] else set())
    wanted -= set(NOT_APPLICABLE.get(number, {}))

    assert wanted - tried[number] == set()
