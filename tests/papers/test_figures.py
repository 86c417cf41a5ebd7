"""What is printed is what the commands answer: figures are read off the PDFs of three rigs and held against JSON.

The papers are made by `papers`, the answers by `check`, `flows` and `year`, each from the file anew; only a file name and
the words around a figure are shared.  No published source: a figure that two papers tell differently is wrong on one.
"""

import csv
import io
import json
import re
from collections.abc import Callable
from functools import lru_cache
from math import ceil
from typing import Any

import pytest
from click.testing import CliRunner
from tests.papers.packs import DEMOS, EPOCH, Made, make

from ohmwright.cli.program import program

RIGS = {"trailer": "trailer/rig-built.yaml", "boat": "boat/rig.yaml", "van": "van/rig.yaml"}
Pack = Callable[[str], Made]


@lru_cache(maxsize=16)
def answer(name: str, *command: str) -> dict[str, Any]:
    """What a command answers for a demo rig."""
    told = CliRunner().invoke(program, [command[0], str(DEMOS / RIGS[name]), *command[1:], "--json"])
    assert told.exit_code in (0, 1), told.output
    read: dict[str, Any] = json.loads(told.stdout)
    return read


@pytest.fixture(scope="module")
def pack(trailer: Made, van: Made, tmp_path_factory: pytest.TempPathFactory) -> Pack:
    """The pack of a demo rig, made on the day of these tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        boat = make(DEMOS / RIGS["boat"], tmp_path_factory.mktemp("boat"))
    made = {"trailer": trailer, "boat": boat, "van": van}
    return lambda name: made[name]


def numbers(text: str) -> list[float]:
    """Every number of a text, thin spaces of thousands taken out."""
    joined = re.sub(r"(?<![\d.])(\d{1,3})[ \u202f\u2009](?=\d{3}(?!\d))", r"\1", text).replace("\u2212", "-")
    return [float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", joined)]


def after(text: str, words: str) -> str:
    """What follows on words."""
    assert words in text, words
    return text.partition(words)[2]


@pytest.mark.parametrize("name", RIGS)
def test_the_report_counts_what_check_counts(pack: Pack, name: str) -> None:
    told = answer(name, "check")["counts"]
    printed = numbers(after(pack(name).raw("check-report.pdf", "-layout"), "What fails, by how bad it is"))[
        :4
    ]
    assert printed[:2] == [told["danger"], told["fails"]]
    assert printed[3] == told["note"]
    # the pack has run the year: what disappoints in it is more than `check` can tell without
    assert told["disappoints"] <= printed[2]


@pytest.mark.parametrize("name", RIGS)
def test_every_paper_that_gives_the_verdict_gives_that_of_check(pack: Pack, name: str) -> None:
    told = answer(name, "check")["statement"]
    for paper in ("contents", "check-report", "certificate", "resale", "quote"):
        assert pack(name).has(f"{paper}.pdf", told), paper


@pytest.mark.parametrize("name", RIGS)
def test_every_finding_that_fails_is_in_the_report_with_its_value_and_limit(pack: Pack, name: str) -> None:
    made = pack(name)
    text = made.text("check-report.pdf")
    failed = [f for f in answer(name, "check")["findings"] if f["verdict"] == "fail"]
    assert failed
    limits = [
        numbers(x) for x in re.findall(r"value and limit ([^;]{1,30}; at (?:most|least) .{1,14})", text)
    ]
    for f in failed:
        assert made.has("check-report.pdf", f["message"]), f["message"]
        if f["value"] is not None and f["limit"] is not None and f["sense"] in ("max", "min"):
            wanted = pytest.approx([f["value"], f["limit"]], rel=6e-4)
            assert any(x[:2] == wanted for x in limits), (f["rule"], f["subject"], f["value"], f["limit"])


@pytest.mark.parametrize("name", RIGS)
def test_the_emergency_card_and_the_labels_give_the_array_the_volts_of_check(pack: Pack, name: str) -> None:
    found = [
        f["value"]
        for f in answer(name, "check")["findings"]
        if f["number"] in ("A1", "A2") and f["value"] is not None
    ]
    card, labels = pack(name).text("emergency-card.pdf"), pack(name).text("labels.pdf")
    if not found:
        assert "volts not known, direct current" in card
        assert "max ____ V" in labels
        return
    highest = ceil(max(found))  # a label may not tell less than there is
    assert f"up to {highest} V direct current" in card
    on_labels = [numbers(x)[0] for x in re.findall(r"max (\d+ V)", labels)]
    assert max(on_labels) == highest


def test_each_array_switch_bears_the_amperes_of_its_own_array(pack: Pack) -> None:
    currents = [f["value"] for f in answer("boat", "check")["findings"] if f["number"] == "A4"]
    labels = pack("boat").text("labels.pdf")
    told = [int(x) for x in re.findall(r"PV DC . live in daylight . max \d+ V, (\d+) A", labels)]
    assert set(told) == {ceil(x) for x in currents}
    assert len(set(told)) > 1


@pytest.mark.parametrize("name", RIGS)
def test_a_label_says_always_live_of_what_flows_feeds_with_every_switch_open(pack: Pack, name: str) -> None:
    labels = pack(name).text("labels.pdf")
    told = re.search(r"Always live: ((?:[\w-]+, )*[\w-]+)", labels)
    # by hand from each file: what a wire without a hand switch leads to from a battery's plus
    wanted = {"trailer": "detectors", "boat": "BM", "van": "U2, fridge, lights, pump, blower, vehicle"}
    assert told is not None
    assert told[1] == wanted[name]


@pytest.mark.parametrize("name", RIGS)
def test_the_emergency_card_gives_each_bank_the_fault_of_flows(pack: Pack, name: str) -> None:
    card = pack(name).raw("emergency-card.pdf", "-layout")
    faults = answer(name, "flows")["faults"]
    told = re.findall(
        r"^\s*(\w+) · [\w-]+ +(?:lithium|lead)[^·]*?short[ -]circuit[^·]*?(?:about\s+([\d.]+)\s+kA|not\s+known)",
        card,
        re.MULTILINE,
    )
    assert told
    for bank, told_kA in told:
        posts = re.compile(rf"{bank}(\.\d+)?\.[+-]")
        at = [f["max_A"] for t, f in faults.items() if posts.fullmatch(t) and f["max_A"] is not None]
        assert told_kA == (f"{max(at) / 1000:.1f}" if at else ""), bank


@pytest.mark.parametrize("name", ["trailer", "boat"])
def test_the_months_of_the_energy_page_are_those_of_year(pack: Pack, name: str) -> None:
    told = answer(name, "year", "--years", "1")["months"]
    page = after(pack(name).raw("energy.pdf", "-layout"), "lowest charge, %")
    for month, title in zip(
        told,
        ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"),
        strict=True,
    ):  # fmt: skip
        printed = numbers(after(page, title))[:6]
        wanted = [
            month[k] for k in ("irradiation_kWh_m2", "array_kWh", "load_kWh", "unserved_kWh", "curtailed_kWh")
        ]
        assert printed[:5] == pytest.approx(wanted, abs=0.51), title
        assert printed[3] == pytest.approx(wanted[3], abs=0.051), title
        assert printed[5] == pytest.approx(100 * month["soc_min"], abs=0.51), title
    assert numbers(after(page, "Year "))[:3] == pytest.approx(
        [sum(m[k] for m in told) for k in ("irradiation_kWh_m2", "array_kWh", "load_kWh")], abs=0.51
    )


def test_every_paper_gives_the_laden_weight_of_check(pack: Pack) -> None:
    (found,) = [
        f
        for f in answer("trailer", "check")["findings"]
        if (f["number"], f["subject"]) == ("E5", "host.gvwr")
    ]
    for paper in ("quote", "how-it-lives", "weights"):
        laden, gross, left = numbers(after(pack("trailer").text(f"{paper}.pdf"), "Weight: "))[:3]
        assert gross - laden == pytest.approx(left, abs=1.01), paper
        assert 100 * left / gross == pytest.approx(found["value"], abs=100 * 0.51 / gross), paper


@pytest.mark.parametrize("name", RIGS)
def test_money_is_the_same_on_the_parts_list_the_costing_and_the_quote(pack: Pack, name: str) -> None:
    made = pack(name)
    together = after(made.raw("parts-list.pdf", "-layout"), "Together ").partition("\n")[0]
    costing = made.raw("costing.pdf", "-layout")
    if "?" not in together:
        assert numbers(after(costing, "Parts "))[0] == numbers(together)[-1]
    asked = numbers(after(costing, "rounded outward to what the span knows"))[:2]
    assert numbers(after(made.raw("quote.pdf", "-layout"), "work as above, without tax"))[:2] == asked
    worked = numbers(after(costing, "per cent on it "))[:2]
    assert asked[0] <= worked[0] <= worked[1] <= asked[1]


@pytest.mark.parametrize("name", RIGS)
def test_the_schedule_gives_a_conductor_no_less_drop_than_any_lasting_case_of_flows(
    pack: Pack, name: str
) -> None:
    told = answer(name, "flows")["cases"]
    most: dict[str, float] = {}
    for case in told.values():
        if case["converged"]:
            for run, r in case["runs"].items():
                most[run] = max(most.get(run, 0.0), r["drop_V"] or 0.0)
    text = (pack(name).folder / "schedules.csv").read_text(encoding="utf-8-sig")
    rows = [r for r in csv.DictReader(io.StringIO(text)) if (r.get("conductor") or "").strip("'") in most]
    assert rows
    printed = {
        r["conductor"].strip("'"): float(r["most drop, V"])
        for r in rows
        if r["most drop, V"] not in ("–", "?", "")
    }
    assert printed
    assert all(v <= most[k] + 0.0051 for k, v in printed.items())
    assert max(printed.values()) > 0


def test_the_stop_use_order_counts_the_dangers_of_check(pack: Pack) -> None:
    told = answer("van", "check")["counts"]["danger"]
    assert pack("van").text("stop-use.pdf").count(f"{told} dangers were found") == 1
