"""The quantity grammar: what it takes, what it refuses and with which advice, and pint's opinion of the numbers."""

import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.working import (
    UNITS,
    Figure,
    NotThere,
    QuantityError,
    Unknown,
    base_of,
    grouped,
    number,
    parse,
    parse_by_label,
    parse_lengths,
    parse_origin,
    tell,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


def figure(text: str, expect: str | None = None) -> Figure:
    given = parse(text, expect)
    assert isinstance(given, Figure)
    return given


def test_a_plain_figure_with_its_page() -> None:
    voc = figure("37.1 V (d1 p2)", "V")

    assert (voc.value, voc.unit, voc.low, voc.high) == (37.1, "V", 37.1, 37.1)
    assert (voc.origin.kind, voc.origin.tag, voc.origin.page) == ("source", "d1", "p2")
    assert voc.text == "37.1 V (d1 p2)"


def test_a_rating_keeps_its_temperature() -> None:
    rating = figure("100 A @ 25 degC")

    assert rating.condition == "25 degC"
    assert rating.condition_value("degC") == 25
    assert rating.condition_value("V") is None


def test_a_rating_keeps_its_seconds() -> None:
    surge = figure("200 A for 10 s (d2 p3)")

    assert (surge.value, surge.seconds, surge.origin.page) == (200, 10, "p3")


def test_a_measured_figure_keeps_tolerance_date_and_meter() -> None:
    r = figure("2.5 mohm +-20 % (m 2026-05-02 meter3)", "ohm")

    assert (r.value, r.low, r.high) == (0.0025, 0.002, 0.003)
    assert (r.origin.kind, r.origin.dated, r.origin.by) == ("measured", "2026-05-02", "meter3")


def test_an_interrupt_rating_keeps_its_volts() -> None:
    breaking = figure("20 kA @ 125 V DC (d7)")

    assert (breaking.value, breaking.condition, breaking.condition_value("V")) == (20_000, "125 V DC", 125)


def test_a_shunt_is_not_multiplied() -> None:
    # A general unit library reads "50 mV @ 500 A" as a product; here it is 50 mV at 500 A.
    shunt = figure("50 mV @ 500 A", "V")

    assert (shunt.value, shunt.condition_value("A")) == (0.05, 500)


def test_the_kinds_of_not_knowing_stay_apart() -> None:
    assert parse("unknown (asked 2026-04-02)") == Unknown("2026-04-02")
    assert parse("unknown") == Unknown("")
    assert parse("none") == NotThere()


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("5 V +-0.2 V", 4.8, 5.2),
        ("5 V ± 200 mV", 4.8, 5.2),
        ("20 degC +-2 K", 18, 22),
        ("68 degF +-1.8 degF", 19, 21),
        ("80 % +-5 %", 0.75, 0.85),  # per cent of per cent is read as points
        ("0.8 +-0.05", 0.75, 0.85),
        ("0.8 +-5 %", 0.76, 0.84),  # a plain number: per cent of it
        ("-0.27 %/K +-10 %", -0.297, -0.243),
    ],
)
def test_a_tolerance_means_what_people_mean(text: str, low: float, high: float) -> None:
    f = figure(text)

    assert [f.low, f.high] == pytest.approx([low, high])


@pytest.mark.parametrize(
    ("text", "expect", "says", "advises"),
    [
        ("12,8 V", "V", "comma", "decimal point"),
        ("nan V", "V", "no quantity", "12.8 V"),
        ("inf A", "A", "no quantity", "100 A"),
        ("-inf A", "A", "no quantity", "100 A"),
        ("1e400 V", "V", "exponent", "write the number out"),
        ("1e3 Wh", "Wh", "exponent", "write the number out"),
        ("12.8", "V", "no unit", "12.8 V"),
        ("12.8 A", "V", "is a current, wanted is one in V", "12.8 V"),
        ("12.8 Volt", "V", "no unit known here", "did you mean volt"),
        ("12.8 qqq", "V", "no unit known here", "12.8 V"),
        ("١٢ V", "V", "no quantity", "12.8 V"),  # Arabic-Indic digits
        ("1２ V", "V", "no quantity", "12.8 V"),  # a full-width digit
        ("½ V", "V", "no quantity", "12.8 V"),
        ("1_000 V", "V", "no quantity", "12.8 V"),
        ("0x10 V", "V", "no quantity", "12.8 V"),
        ("1 000 V", "V", "no quantity", "12.8 V"),
        ("--5 V", "V", "no quantity", "12.8 V"),
        ("1.2.3 m", "m", "no quantity", "1.2 m"),
        ("2/0 AWG", "mm2", "no quantity", "mm2"),
        ("", "V", "no quantity", "12.8 V"),
        ("5 V (d1", "V", "no quantity", "12.8 V"),
        ("5 V ()", "V", "empty bracket", "(d1 p2)"),
        ("5 V (d1) (d2)", "V", "no quantity", "12.8 V"),
        ("5 V more", "V", "no quantity", "12.8 V"),
        ("5 V +-3", "V", "tolerance", "same unit"),
        ("5 V +- -3 V", "V", "no quantity", "12.8 V"),
        ("5 V +-3 A", "V", "another unit", "same unit"),
        ("5 % +-1", "1", "no unit", "same unit"),
        ("20 degC +-10 %", "degC", "per cent of a temperature", "in K"),
        ("5 V @", "V", "condition", "in this order"),
        ("100 A @ 25 degC for 10 s +-5 %", "A", "condition", "in this order"),
        ("100 A @ for 10 s", "A", "condition", "in this order"),
        ("100 A for 0 s", "A", "no time", "for 10 s"),
        ("100 A for -3 s", "A", "no time", "for 10 s"),
        ("9" * 300 + " V", "V", "302 characters", "12.8 V"),
    ],
)
def test_what_is_no_quantity_is_refused_with_advice(text: str, expect: str, says: str, advises: str) -> None:
    with pytest.raises(QuantityError, match=re.escape(says)) as refusal:
        parse(text, expect)

    assert advises in refusal.value.remedy


@given(st.text(max_size=60))
def test_no_text_breaks_the_grammar(text: str) -> None:
    given = refused_with = None
    try:
        given = parse(text)
    except QuantityError as refusal:
        refused_with = refusal.remedy

    assert given or refused_with


_PLAIN = sorted(s for s in UNITS if s not in ("degC", "degF"))
_READS_THE_SAME_IN_PINT = ["A", "mA", "kA", "V", "mV", "kV", "W", "kW", "Wh", "kWh", "J", "MJ", "m", "mm", "cm", "km", "kg", "g", "Hz", "N", "Pa", "mbar"]  # fmt: skip


@given(st.integers(-(10**9), 10**9), st.integers(0, 6), st.sampled_from(_READS_THE_SAME_IN_PINT))
def test_pint_reads_the_same_plain_quantity(digits: int, places: int, symbol: str) -> None:
    text = f"{digits / 10**places:.{places}f} {symbol}"
    ours = figure(text)

    theirs: float = REGISTRY.Quantity(text).to(base_of(symbol)).magnitude

    assert ours.value == pytest.approx(theirs, rel=1e-12)


@given(
    st.decimals(-(10**6), 10**6, places=4, allow_nan=False),
    st.sampled_from(_PLAIN),
    st.sampled_from(["", "25 degC", "125 V DC"]),
    st.none() | st.integers(1, 3600),
    st.sampled_from(["", "d1 p2", "m 2026-05-02", "s"]),
)
def test_what_is_written_is_read_back(
    value: object, symbol: str, at: str, seconds: int | None, origin: str
) -> None:
    text = f"{value} {symbol}"
    text += f" @ {at}" if at else ""
    text += f" for {seconds} s" if seconds else ""
    text += f" ({origin})" if origin else ""

    once = figure(text)
    again = figure(f"{once.value:.17f} {once.unit}" if once.unit != "1" else f"{once.value:.17f}")

    assert again.value == pytest.approx(once.value, rel=1e-12, abs=1e-12)
    assert (once.condition, once.seconds) == (at, seconds)
    assert once.to(symbol) == pytest.approx(float(str(value)), rel=1e-9, abs=1e-9)


def test_seasons_stand_behind_a_slash() -> None:
    duty = parse_by_label("0.49 summer / 0.35 shoulder", "1")

    assert {label: getattr(given, "value", None) for label, given in duty.items()} == {
        "summer": 0.49,
        "shoulder": 0.35,
    }
    with pytest.raises(QuantityError, match="stands twice"):
        parse_by_label("0.49 summer / 0.35 summer", "1")


def test_a_position_has_one_unit_for_three_numbers() -> None:
    assert parse_lengths("0.4 0 2.9 m", 3) == (0.4, 0, 2.9)
    assert parse_lengths("0.9 x 0.5 x 600 mm (m 2026-05-02)", 3) == pytest.approx((0.0009, 0.0005, 0.6))
    for wrong in ("0.4 0 m", "0.4 0 2.9", "0.4 0 2.9 A", "0.4 0 ٢ m", "0.4 0 nan m"):
        with pytest.raises(QuantityError):
            parse_lengths(wrong, 3)


def test_an_origin_is_verified_when_somebody_can_look() -> None:
    assert parse_origin("m 2026-05-02").verified
    assert parse_origin("d1 p2").verified
    assert not parse_origin("d1").verified
    assert not parse_origin("s").verified
    assert not parse_origin("class").verified
    assert not parse_origin("invented").verified


@given(st.floats(-1e9, 1e9, allow_subnormal=False))
def test_a_number_on_a_work_sheet_can_be_computed_with(value: float) -> None:
    assert float(number(value)) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (0.0025, "ohm", "2.5 mΩ"),
        (26_790, "A", "26.8 kA"),
        (999.6, "A", "1000 A"),
        (0.0, "V", "0 V"),
        (1.2e-7, "V", "0.00000012 V"),
        (-34.0, "degC", "-34 °C"),
        (0.25, "1", "0.25"),
    ],
)
def test_a_value_is_told_without_exponents(value: float, unit: str, told: str) -> None:
    assert tell(value, unit) == told


# NIST SP 811 (2008), 10.5.3, from memory: groups of three from the decimal sign by a thin space; four digits stay together.
@pytest.mark.parametrize(
    ("value", "decimals", "told"),
    [(2200, 0, "2200"), (9999.4, 0, "9999"), (9999.5, 0, "10 000"), (16097, 0, "16 097"), (43279.168, 2, "43 279.17"), (-1234567, 0, "-1 234 567")],
)  # fmt: skip
def test_figures_are_grouped_from_five_digits_on(value: float, decimals: int, told: str) -> None:
    assert grouped(value, decimals).replace("\u202f", " ") == told
