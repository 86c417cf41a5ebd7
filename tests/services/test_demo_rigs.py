"""What the program must say about the demo rigs.

The figures are worked by hand from the invented data of the rigs; clauses and tables stand in the rules' own
tests.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ohmwright.working import evaluate

Answer = Callable[..., dict[str, Any]]


def found(
    told: dict[str, Any], number: str, verdict: str = "fail", severity: str = "danger"
) -> list[dict[str, Any]]:
    return [
        f
        for f in told["findings"]
        if (f["number"], f["verdict"], f["severity"]) == (number, verdict, severity)
    ]


def test_no_string_fuse_fits_the_quoted_trailer(demos: Path, answer: Answer) -> None:
    told = answer("check", demos / "trailer")

    (first, *_) = found(told, "A7")
    assert first["low"] == pytest.approx(1.5625 * 10.5, abs=0.01)  # 16.41 A
    assert first["high"] == 15.0
    assert "no string fuse fits" in first["message"]
    assert first["clause"]
    assert first["remedy"]


def test_the_old_controller_is_destroyed_by_the_swapped_modules(demos: Path, answer: Answer) -> None:
    told = answer("check", demos / "trailer" / "rig-swapped.yaml")

    (danger,) = found(told, "A1")
    assert danger["value"] == pytest.approx(129.03, abs=0.005)  # 3 * 37.1 * (1 - 0.0027 * -59)
    assert danger["limit"] == 100.0
    assert "129.0 V" in danger["message"]
    assert "136.9 V" in danger["message"]  # 3 * 37.1 * 1.23
    assert "690.7" in danger["clause"]
    assert danger["remedy"]


def test_the_derivation_can_be_followed(demos: Path, answer: Answer) -> None:
    told = answer("why", demos / "trailer" / "rig-swapped.yaml", "A1")

    assert {round(s["value"], 1) for s in told["steps"]} >= {129.0, 136.9}
    for step in told["steps"]:
        assert evaluate(step["substituted"]) == pytest.approx(step["value"], rel=1e-9)
        assert all(i["origin"] for i in step["inputs"])
    volts = next(f for f in told["flips"] if "open_circuit" in f["address"])
    assert volts["to"] * 3 * (1 - 0.0027 * (-34 - 25)) == pytest.approx(100.0, rel=1e-6)
    # It would turn in a coldest night of 62.6 degC, and there is none.
    assert any("coldest" in address for address in told["never"])


def test_the_built_trailer_has_no_danger_among_the_rules_applied(demos: Path, answer: Answer) -> None:
    told = answer("check", demos / "trailer" / "rig-built.yaml")

    assert told["counts"]["danger"] == 0
    assert not found(told, "B18", "cannot-tell")
    assert told["statement"].startswith("No danger among the ")
    assert told["not_applied"] is not None


@pytest.mark.parametrize(
    ("number", "what"),
    [
        ("B17", "no fuse within reach of the bank"),
        ("D19", "the lead with pins at both ends"),
        ("F5", "the inverter's negative around the shunt"),
        ("B1", "the bank is too small for the inverter"),
    ],
)
def test_the_rescue_van_is_told_what_is_wrong(demos: Path, answer: Answer, number: str, what: str) -> None:
    told = answer("check", demos / "van")

    wrong = [f for f in told["findings"] if f["number"] == number and f["verdict"] == "fail"]
    assert wrong, what


@pytest.mark.parametrize(
    "rig", ["trailer", "trailer/rig-swapped.yaml", "trailer/rig-built.yaml", "boat", "cabin", "van"]
)
def test_every_rule_applied_appears_and_every_fail_can_be_acted_on(
    demos: Path, answer: Answer, rig: str
) -> None:
    told = answer("check", demos / rig)
    applied = {r["number"] for r in answer("rules", "--set", told["rules"].split()[0])["rules"]}

    assert {f["number"] for f in told["findings"]} == applied
    assert not applied & {n["number"] for n in told["not_applied"]}
    for f in told["findings"]:
        if f["verdict"] == "fail":
            assert f["remedy"], f
            assert f["clause"], f
        if f["verdict"] == "cannot-tell":
            assert f["missing"] or f["message"], f


def test_moving_any_negative_past_the_shunt_is_caught(demos: Path, answer: Answer, tmp_path: Path) -> None:
    text = (demos / "trailer" / "rig-built.yaml").read_text(encoding="utf-8")
    lines = [n for n, line in enumerate(text.splitlines()) if "to: XN." in line and "R1" not in line]
    shelf = demos / "trailer" / "shelf"

    assert len(lines) >= 4
    for n in lines:
        moved = text.splitlines()
        start, _, rest = moved[n].partition("to: XN.")
        moved[n] = start + "to: R1.bank" + rest.lstrip("0123456789")
        job = tmp_path / f"m{n}"
        (job / "shelf").mkdir(parents=True)
        for part in shelf.iterdir():
            (job / "shelf" / part.name).write_bytes(part.read_bytes())
        (job / "rig.yaml").write_text("\n".join(moved) + "\n", encoding="utf-8")

        told = answer("check", job)

        assert [f for f in told["findings"] if f["number"] == "F5" and f["verdict"] == "fail"], moved[n]


def test_the_graph_lists_every_conductor_with_size_and_length(demos: Path, answer: Answer) -> None:
    told = answer("show", demos / "trailer", "--graph")

    assert len(told["conductors"]) > 50
    for c in told["conductors"]:
        assert c["area_mm2"], c
        assert c["length_m"], c
    terminals = {t["id"] for t in told["terminals"]}
    assert all(e["a"] in terminals and e["b"] in terminals for e in told["elements"])


def test_december_in_the_cabin_is_impossible_and_by_how_much(demos: Path, answer: Answer) -> None:
    told = answer("year", demos / "cabin")

    stay = next(s for s in told["stays"] if s["mode"] == "occupied" and s["days"] < 30)
    assert stay["shortfall_Wh_per_day"] > 1500
    assert any("12-20" in n and "kWh are missing" in n for n in told["notes"])
    assert told["balance_error"] < 1e-9


def test_a_weather_file_is_used_when_given(demos: Path, answer: Answer) -> None:
    import pvlib

    file = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    told = answer("year", demos / "cabin", "--weather", file)

    assert "723170" in str(told["place"])
    assert told["balance_error"] < 1e-9
