"""The ledger from the command line: it only grows, names what the rig has, and knows money when it sees it."""

import json
from pathlib import Path

import pytest

from ohmwright.cli.ending import run
from ohmwright.cli.program import program
from ohmwright.services import new
from ohmwright.store.ledger import read_ledger


@pytest.fixture
def folder(tmp_path: Path) -> str:
    return str(new.like(str(tmp_path / "job"), "trailer"))


def test_what_was_bought_is_listed(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(program, ["ledger", folder, "add", "bought", "F1", "Q1", "--date", "2026-04-20", "--by", "buyer"])
        == 0
    )
    assert run(program, ["ledger", folder, "--json"]) == 0

    told = json.loads(capsys.readouterr().out.split("written.")[-1])
    assert [(e["event"], e.get("address"), e["by"]) for e in told["entries"]][1:] == [
        ("bought", "F1", "buyer"),
        ("bought", "Q1", "buyer"),
    ]
    assert told["entries"][1]["dated"] == "2026-04-20"


def test_money_is_kept_as_it_was_written(folder: str) -> None:
    run(program, ["ledger", folder, "add", "cut", "W07", "--amount", "62.50 USD"])

    facts = read_ledger(f"{folder}/ledger.jsonl")[-1].facts
    assert (facts["amount"], facts["currency"]) == ("62.50", "USD")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["add", "bougt", "F1"], "did you mean bought?"),
        (["add", "bought", "F99"], "no part or run"),
        (["add", "bought", "F1", "--amount", "sixty"], "62 USD"),
        (["add", "bought", "F1", "Q1", "--amount", "60 USD"], "each with its own amount"),
        (["add", "bought", "F1", "--date", "20 April"], "2026-04-20"),
        (["remove", "F1", "Q1"], "add EVENT ADDRESS"),
        (["add", "bought"], "add EVENT ADDRESS"),
    ],
)
def test_a_mistake_is_told_in_one_line_and_nothing_is_written(
    folder: str, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = len(read_ledger(f"{folder}/ledger.jsonl"))

    assert run(program, ["ledger", folder, *words]) == 2

    err = capsys.readouterr().err
    assert told in err
    assert len(err.strip().splitlines()) == 1
    assert len(read_ledger(f"{folder}/ledger.jsonl")) == before


def test_a_signature_needs_no_part(folder: str) -> None:
    assert run(program, ["ledger", folder, "add", "signed", "CO-2", "--by", "owner"]) == 0
    assert read_ledger(f"{folder}/ledger.jsonl")[-1].event == "signed"
