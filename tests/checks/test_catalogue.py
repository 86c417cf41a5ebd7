"""The list of rules, what is built of it, and the pages made from both."""

import importlib.util
from pathlib import Path

import pytest

from ohmwright.checks.catalogue import catalogue
from ohmwright.checks.registry import rules
from ohmwright.checks.sets import SETS, clause_in

ROOT = Path(__file__).parents[2]
#: Rules that can never be overridden into an issued design.
NEVER = {"A1", "A6", "B6", "B17", "B18", "C1", "C8", "C9", "D1", "D2", "D4", "D19", "E4"}


def test_the_catalogue_holds_every_row_once() -> None:
    lines = catalogue()
    counts = {letter: sum(n.startswith(letter) for n in lines) for letter in "ABCDEF"}

    # 121 rows (24, 30, 21, 18, 15, 13), 28 more (A25-27, B31-35, C22-23, D19-25, E16-22, F14-17), 19 that speak what
    # the network, the proofs, the roof and the bays say (A28-29, C24-27, D26-30, E23-30), and 13 of an inspector's (B36-39, C28-29, D31-34, E31, F18-19).
    assert counts == {"A": 29, "B": 39, "C": 29, "D": 34, "E": 31, "F": 19}
    assert len({line.id for line in lines.values()}) == len(lines)


@pytest.mark.parametrize("made", list(rules().values()), ids=lambda r: r.id)
def test_a_built_rule_is_as_the_catalogue_lists_it(made: object) -> None:
    from ohmwright.checks.types import Rule

    assert isinstance(made, Rule)
    line = catalogue()[made.number]

    assert (made.id, made.title) == (line.id, line.title)
    assert set(made.sets) == set(line.sets)
    assert made.severities[0] == line.severities[0]
    assert set(made.severities) <= set(line.severities)
    assert made.why.endswith(".")
    assert all(clause_in(made.clauses, s) is not None for s in SETS)


def test_those_that_can_never_be_overridden() -> None:
    assert {r.number for r in rules().values() if r.never_overridden} == NEVER


def test_a_rules_file_is_its_slug() -> None:
    for made in rules().values():
        group, _, name = made.id.partition("/")
        assert (ROOT / "src/ohmwright/checks" / group / f"{name.replace('-', '_')}.py").is_file(), made.id


def test_the_pages_are_not_stale() -> None:
    script = importlib.util.spec_from_file_location("catalogues", ROOT / "scripts" / "catalogues.py")
    assert script is not None
    assert script.loader is not None
    pages = importlib.util.module_from_spec(script)
    script.loader.exec_module(pages)

    assert pages.stale() == [], "run scripts/catalogues.py"


def test_no_message_or_reason_promises_safety() -> None:
    for path in (ROOT / "src/ohmwright/checks").rglob("*.py"):
        words = path.read_text(encoding="utf-8").lower().replace("unsafe", "")
        assert "safe" not in words, path
        assert "compliant" not in words, path


@pytest.mark.parametrize("made", list(rules().values()), ids=lambda r: r.number)
def test_a_clause_of_a_standard_has_an_edition(made: object) -> None:
    from ohmwright.checks.types import Rule

    assert isinstance(made, Rule)
    assert [c.standard for c in made.clauses.values() if c.standard and not c.edition] == []
