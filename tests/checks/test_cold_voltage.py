"""A1 at its limits.  Arithmetic of NFPA 70 690.7(A); every case was worked by hand."""

import pytest

from ohmwright.checks.array import cold_voltage as rule
from ohmwright.checks.cold import Modules, cold_voltage
from ohmwright.checks.judgement import Judgement
from ohmwright.working import Figure, Origin, figure

PAGE = Origin("source", "d1", "p2")
TYPED = Origin("typed")


def judge(
    n: int, voc: float, coefficient: Figure | None, at: float | None, limit: float, technology: str = "mono"
) -> Judgement:
    modules = Modules(
        n, figure(voc, "V", PAGE, address="M.open_circuit"), coefficient, technology, ("M.beta",)
    )
    cold = cold_voltage([modules], None if at is None else figure(at, "degC", PAGE), ("use.stays.1.coldest",))
    return rule.judge(cold, figure(limit, "V", PAGE))


def percent(value: float, origin: Origin = PAGE) -> Figure:
    return figure(value, "%/K", origin, address="M.beta")


# case, modules in series, Voc, coefficient %/K with its page, coldest, controller maximum | value, margin, verdict, severity
CASES = [
    ("A1-1", 3, 37.1, -0.27, -34, 100, 129.03, -29.0, "fail", "danger"),
    ("A1-2", 3, 37.1, -0.27, -34, 150, 129.03, 14.0, "pass", ""),
    ("A1-3", 4, 37.1, -0.27, -34, 150, 172.04, -14.7, "fail", "danger"),
    ("A1-5", 1, 100.1, -0.25, -15, 110, 110.11, -0.1, "fail", "danger"),
    ("A1-6", 1, 100.0, -0.25, -15, 114.5, 110.0, 3.9, "warn", "note"),
    ("A1-7", 4, 39.2, -0.26, -36, 250, 181.67, 27.3, "pass", ""),
    ("A1-12", 2, 41.0, -0.25, -33, 100, 93.89, 6.1, "warn", "note"),
]


@pytest.mark.parametrize(
    ("case", "n", "voc", "beta", "at", "limit", "value", "margin", "verdict", "severity"), CASES
)
def test_the_coefficient_governs_when_it_has_a_page(
    case: str,
    n: int,
    voc: float,
    beta: float,
    at: float,
    limit: float,
    value: float,
    margin: float,
    verdict: str,
    severity: str,
) -> None:
    judged = judge(n, voc, percent(beta), at, limit)

    assert judged.value == pytest.approx(value, abs=0.005), case
    assert judged.limit == limit
    assert judged.margin is not None
    assert 100 * judged.margin == pytest.approx(margin, abs=0.05)
    assert judged.verdict == verdict
    assert verdict == "pass" or (judged.severity or "danger") == severity


def test_exactly_at_the_limit_passes() -> None:
    judged = judge(1, 100.0, percent(-0.25), -15, 110)

    assert judged.value == pytest.approx(110.0, rel=1e-12)
    assert judged.verdict == "warn"  # 100 % is above 95 %, and not above the limit
    assert judged.margin == pytest.approx(0.0, abs=1e-12)


def test_without_a_coefficient_the_table_governs_and_says_so() -> None:
    judged = judge(3, 37.1, None, -34, 150)  # A1-8

    assert judged.value == pytest.approx(136.9, abs=0.05)
    assert judged.margin == pytest.approx(0.087, abs=5e-4)
    assert judged.verdict == "pass"
    assert "by table" in judged.message


@pytest.mark.parametrize("technology", ["unknown", "thin-film", ""])
def test_the_table_is_for_crystalline_silicon_only(technology: str) -> None:
    judged = judge(3, 37.1, None, -34, 150, technology)  # A1-10

    assert (judged.verdict, judged.value, judged.limit) == ("cannot-tell", None, 150)
    assert judged.missing == ("M.beta",)


def test_below_the_end_of_the_table_nothing_is_said() -> None:
    judged = judge(3, 37.1, None, -45, 150)  # A1-11

    assert (judged.verdict, judged.value) == ("cannot-tell", None)
    assert "-40" in judged.message


def test_a_table_over_the_limit_is_told_beside_the_coefficient() -> None:
    judged = judge(2, 41.0, percent(-0.25), -33, 100)  # A1-12: the table gives 100.86 V

    assert judged.verdict == "warn"
    assert "100.9 V" in judged.message
    assert "93.9 V" in judged.message


def test_a_coefficient_without_a_page_gives_way_to_the_larger() -> None:
    judged = judge(2, 41.0, percent(-0.25, TYPED), -33, 100)  # A1-13

    assert judged.value == pytest.approx(100.86, abs=0.005)
    assert judged.margin == pytest.approx(-0.009, abs=5e-4)
    assert judged.verdict == "fail"


def test_volts_a_kelvin_give_the_same_answer() -> None:
    judged = judge(3, 37.1, figure(-0.1002, "V/K", PAGE), -34, 100)  # A1-15

    assert judged.value == pytest.approx(129.04, abs=0.005)
    assert judged.value == pytest.approx(129.03, abs=0.011)
    assert judged.verdict == "fail"


def test_without_a_coldest_night_it_cannot_be_told() -> None:
    judged = judge(3, 37.1, percent(-0.27), None, 100)  # A1-16

    assert (judged.verdict, judged.limit) == ("cannot-tell", 100)
    assert judged.missing == ("use.stays.1.coldest",)


def test_unequal_modules_add_up() -> None:
    a = Modules(1, figure(19.6, "V", PAGE), percent(-0.3), "mono")
    b = Modules(2, figure(18.2, "V", PAGE), percent(-0.3), "mono")
    cold = cold_voltage([a, b], figure(-15, "degC", PAGE), ())

    assert cold.governs is not None
    assert cold.governs.value == pytest.approx((19.6 + 2 * 18.2) * 1.12, rel=1e-12)


def test_an_invented_sheet_gives_a_verdict_that_rests_on_unverified_figures() -> None:
    modules = Modules(3, figure(37.1, "V", Origin("invented")), percent(-0.27, Origin("invented")), "mono")
    judged = rule.judge(cold_voltage([modules], figure(-34, "degC", PAGE), ()), figure(100, "V", PAGE))

    assert judged.verdict == "fail"
    assert judged.origin_unverified is True
    assert judged.value == pytest.approx(129.03, abs=0.005)
