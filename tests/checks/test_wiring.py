"""C rules at their limits: 33 CFR 183.425 and .455, NFPA 70 310.16, 240.4; the rest is the shop's own rule."""

import pytest

from ohmwright.checks.carrying import Wire
from ohmwright.checks.dc_rating import Rating
from ohmwright.checks.wiring import dc_rating, overload, polarised
from ohmwright.physics.sums import poles_V
from ohmwright.standards.wire import awg_area_mm2, sae_area_mm2
from ohmwright.working import Figure, Origin, Step, figure, work

PAGE = Origin("source", "d1", "p2")


def amps(value: float) -> Figure:
    return figure(value, "A", PAGE)


def awg(size: str, class_degC: float | None, *, ac: bool = False, engine: bool = False) -> Wire:
    area = awg_area_mm2(size)
    assert area is not None
    return Wire(area, class_degC, alternating=ac, engine=engine, asks="W01.insulation")


# case, rule set, wire, device | limit, margin %, verdict, severity
OVERLOAD = [
    ("C1-1", "us-boat", awg("10", 105), 60, 60, 0.0, "pass", ""),
    ("C1-2", "us-boat", awg("10", 105), 70, 60, -16.7, "warn", "note"),
    ("C1-3", "us-boat", awg("10", 105), 90, 90, 0.0, "warn", "note"),
    ("C1-4", "us-boat", awg("10", 105), 100, 90, -11.1, "fail", "danger"),
    ("C1-6", "us-vehicle", awg("10", 105), 70, 60, -16.7, "fail", "danger"),
    ("C1-7", "us-cabin", awg("10", 60, ac=True), 35, 30, -16.7, "fail", "danger"),
    ("C1-8", "us-cabin", awg("6", 75), 70, 70, 0.0, "pass", ""),
    ("C1-9", "us-cabin", awg("6", 75), 80, 70, -14.3, "fail", "danger"),
    ("C1-11", "us-vehicle", awg("4/0", 105), 400, 445, 10.1, "pass", ""),
    ("C1-12", "us-cabin", awg("4/0", 75), 400, 250, -60.0, "fail", "danger"),
    ("C1-13", "us-vehicle", Wire(sae_area_mm2("10") or 0.0, 105), 60, 45, -33.3, "fail", "danger"),
]


@pytest.mark.parametrize(
    ("case", "rules", "wire", "device", "limit", "margin", "verdict", "severity"), OVERLOAD
)
def test_a_device_against_its_conductor(
    case: str, rules: str, wire: Wire, device: float, limit: float, margin: float, verdict: str, severity: str
) -> None:
    judged = overload.judge(rules, amps(device), wire)

    assert (judged.verdict, judged.value, judged.limit) == (verdict, device, limit), case
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(margin, abs=0.05)
    assert verdict == "pass" or (judged.severity or "danger") == severity
    assert "Table" in judged.message  # each finding names the table it used


def test_copper_clad_aluminium_has_no_ampacity() -> None:
    judged = overload.judge("us-vehicle", amps(30), Wire(35.0, 105, "cca"))  # C1-14

    assert (judged.verdict, judged.value, judged.limit) == ("fail", None, None)


def test_the_same_copper_under_another_rule_set_names_another_table() -> None:
    here = overload.judge("us-vehicle", amps(400), awg("4/0", 105))
    there = overload.judge("us-cabin", amps(400), awg("4/0", 75))

    assert "33 CFR 183 Table 5" in here.message
    assert "shop's own rule" in here.message
    assert "310.16" in there.message


def test_inside_an_engine_space_the_conductor_carries_less() -> None:
    judged = overload.judge("eu-boat", amps(60), awg("10", 105, engine=True))

    assert (judged.verdict, judged.limit) == ("fail", 51)  # 60 x 0.85


def test_an_unknown_insulation_passes_only_what_any_class_passes() -> None:
    wire = awg("10", None)

    assert overload.judge("us-vehicle", amps(40), wire).verdict == "pass"  # 40 A at 60 degC
    assert overload.judge("us-vehicle", amps(70), wire).verdict == "fail"  # 60 A at 105 degC
    between = overload.judge("us-vehicle", amps(50), wire)
    assert (between.verdict, between.missing) == ("cannot-tell", ("W01.insulation",))


def volts(value: float) -> Figure:
    return figure(value, "V", PAGE)


# C8: case, volts, rating | limit, margin %, verdict
RATING = [
    ("C8-1", 129.0, volts(125), 125, -3.2, "fail"),
    ("C8-2", 129.0, work(poles_V, poles_count=figure(2, "1", PAGE), pole_V=volts(125)), 250, 48.4, "pass"),
    ("C8-3", 136.9, volts(150), 150, 8.7, "pass"),
    ("C8-4", 136.9, volts(137), 137, 0.1, "warn"),
]


@pytest.mark.parametrize(("case", "at", "rated", "limit", "margin", "verdict"), RATING)
def test_a_device_against_the_direct_volts_it_may_meet(
    case: str, at: float, rated: Figure | Step, limit: float, margin: float, verdict: str
) -> None:
    judged = dc_rating.judge(volts(at), (), Rating(rated))

    assert (judged.verdict, judged.value, judged.limit) == (verdict, at, limit), case
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(margin, abs=0.05)


def test_poles_without_a_drawing_cannot_be_told() -> None:
    judged = dc_rating.judge(volts(129.0), (), Rating(None, ("S1.poles_in_series",)))  # C8-6

    assert (judged.verdict, judged.value, judged.limit) == ("cannot-tell", 129.0, None)
    assert "wired in series" in judged.message


def test_a_device_for_alternating_current_only_fails() -> None:
    assert dc_rating.judge(volts(14.4), (), Rating(volts(250)), alternating_only=True).verdict == "fail"


# C9: page drawings differ between makers; common practice, no source.
def test_a_polarised_breaker_where_current_reverses() -> None:
    both = (("B",), ("U2",))

    assert polarised.judge("yes", both).verdict == "fail"  # C9-1, bank and inverter-charger
    assert polarised.judge("yes", None, drawn=True).verdict == "pass"  # C9-2
    assert polarised.judge("yes", (("M.1",), ("M.2",))).verdict == "fail"  # C9-3
    assert polarised.judge("no", both).verdict == "pass"  # C9-5
    assert polarised.judge("unknown", both, "F5.polarised").missing == ("F5.polarised",)
    assert polarised.judge("yes", None, "F5.polarised").verdict == "cannot-tell"
