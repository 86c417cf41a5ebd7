"""The cable grammar."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.rig.cable import read_cable
from ohmwright.working import QuantityError

# ASTM B258-18, nominal areas of round wire, mm2 as commonly reprinted. Seen: memory.
PRINTED_AWG = [
    ("14", 2.08),
    ("10", 5.26),
    ("6", 13.3),
    ("2", 33.6),
    ("1/0", 53.5),
    ("2/0", 67.4),
    ("4/0", 107.2),
]


@pytest.mark.parametrize(("size", "area_mm2"), PRINTED_AWG)
def test_a_gauge_has_the_area_of_its_standard(size: str, area_mm2: float) -> None:
    assert read_cable(f"{size} AWG red").area_mm2 == pytest.approx(
        area_mm2, rel=3e-3
    )  # the last printed digit


def test_a_metric_size_is_its_area() -> None:
    assert read_cable("2.5 mm2").area_mm2 == 2.5
    assert read_cable("35 mm² CCA black").area_mm2 == 35.0


def test_kcmil_is_an_area() -> None:
    # a circular mil is pi/4 square mil; 1 mil = 0.0254 mm: 250 kcmil = 126.7 mm2
    assert read_cable("250 kcmil").area_mm2 == pytest.approx(126.7, abs=0.05)


def test_an_sae_gauge_holds_less_metal_than_the_awg_of_its_number() -> None:
    for size in ("14", "10", "8", "4", "2", "1/0", "2/0", "4/0"):
        sae, awg = read_cable(f"{size} SAE").area_mm2, read_cable(f"{size} AWG").area_mm2
        assert sae is not None
        assert awg is not None
        assert 0.85 < sae / awg < 1.0


def test_every_word_finds_its_place() -> None:
    c = read_cable("flexible 3 x 2.5 mm2 tinned 90C black H07RN-F")

    assert (c.cores, c.size, c.system, c.material, c.insulation_degC, c.colour, c.use) == (
        3,
        "2.5",
        "mm2",
        "tinned",
        90.0,
        "black",
        "flexible",
    )
    assert "H07RN-F" in c.words
    assert read_cable("pv 10 AWG").use == "pv"
    assert read_cable("16 mm2 green-yellow").colour == "green-yellow"
    assert read_cable("35 mm2 CCA red").material == "cca"


@pytest.mark.parametrize("text", ["maker's lead", "unknown", "unknown (asked 2026-03-14)"])
def test_what_nobody_knows_has_no_area(text: str) -> None:
    assert read_cable(text).area_mm2 is None
    assert read_cable(text).material == "unknown"


@pytest.mark.parametrize("text", ["10 gauge", "10", "4/0", "10 ga red"])
def test_a_gauge_without_its_system_is_refused(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_cable(text)

    assert "AWG or" in caught.value.remedy


@pytest.mark.parametrize(
    "text",
    [
        "",
        "red",
        "nan mm2",
        "0 mm2",
        "-3 AWG",
        "99 AWG",
        "250 AWG",
        "1e3 mm2",
        "10 mm2 rad",
        "10 mm2 10 mm2",
        "x" * 500,
    ],
)
def test_what_is_no_cable_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_cable(text)

    assert caught.value.remedy


@given(st.text(max_size=60))
def test_no_text_breaks_the_grammar(text: str) -> None:
    try:
        cable = read_cable(text)
    except QuantityError:
        return
    assert cable.area_mm2 is None or 0.05 <= cable.area_mm2 <= 1000
