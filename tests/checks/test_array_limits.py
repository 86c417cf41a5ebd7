"""A6 and A7 at their limits: NFPA 70 690.9 (us), IEC 62548-1 (eu, from memory); the arithmetic was done by hand."""

import pytest

from ohmwright.checks.array.string_fuse import BackFeed, judge
from ohmwright.checks.array_strings import window
from ohmwright.checks.judgement import Judgement
from ohmwright.working import Figure, Origin, figure

PAGE = Origin("source", "d1", "p2")


def amps(value: float) -> Figure:
    return figure(value, "A", PAGE)


def judged(
    country: str, parallel: int, short: float, module: float, fuse: float | None, back: BackFeed | None = None
) -> Judgement:
    of = window(country, parallel, amps(short), amps(module))
    return judge(parallel, of, None if fuse is None else amps(fuse), back or BackFeed())


# case, country, strings, Isc, module's fuse, string fuse | value, limit, margin %, verdict, severity, window
CASES = [
    (
        "A7-1",
        "us",
        6,
        10.5,
        15,
        None,
        65.625,
        15,
        -337.5,
        "fail",
        "danger",
        "16.41 to 15.00 A, which is empty",
    ),
    ("A7-2", "us", 2, 13.8, 25, None, 17.25, 25, 31.0, "pass", "", None),
    ("A7-4", "us", 2, 12.1, 15, None, 15.125, 15, -0.8, "fail", "danger", "18.91 to 15.00 A, which is empty"),
    ("A7-5", "us", 3, 9.2, 20, None, 23.0, 20, -15.0, "fail", "danger", "14.37 to 20.00 A"),
    ("A7-6", "us", 3, 9.2, 20, 15, 15, 20, 25.0, "pass", "", "14.37 to 20.00 A"),
    ("A7-7", "us", 3, 9.2, 20, 12, 14.375, 12, -19.8, "fail", "fails", None),
    ("A7-9", "us", 3, 9.6, 20, 15, 15, 20, 25.0, "pass", "", "15.00 to 20.00 A"),
    ("A7-10", "eu", 3, 9.2, 20, 15, 15, 20, 25.0, "pass", "", "13.80 to 20.00 A"),
    (
        "A7-11",
        "eu",
        6,
        10.5,
        15,
        None,
        52.5,
        15,
        -250.0,
        "fail",
        "danger",
        "15.75 to 15.00 A, which is empty",
    ),
    ("A7-12", "eu", 3, 9.2, 30, 25, 25, 22.08, -13.2, "fail", "danger", None),
]


@pytest.mark.parametrize(
    (
        "case",
        "country",
        "parallel",
        "short",
        "module",
        "fuse",
        "value",
        "limit",
        "margin",
        "verdict",
        "severity",
        "told",
    ),
    CASES,
)
def test_a_string_fuse_against_its_window(case: str, country: str, parallel: int, short: float, module: float, fuse: float | None, value: float, limit: float, margin: float, verdict: str, severity: str, told: str | None) -> None:  # fmt: skip
    j = judged(country, parallel, short, module, fuse)

    assert j.verdict == verdict, case
    assert j.value == pytest.approx(value, rel=1e-9)
    assert j.limit == pytest.approx(limit, rel=1e-9)
    assert j.margin is not None
    assert 100 * j.margin == pytest.approx(margin, abs=0.05)
    assert verdict == "pass" or (j.severity or "danger") == severity
    assert told is None or told in j.message


def test_a_fuse_of_any_size_does_not_save_an_empty_window() -> None:
    """Six strings in parallel as the trailer was quoted: 16.41 A is wanted, the module bears 15 A."""
    j = judged("us", 6, 10.5, 15, 15)

    assert (j.verdict, j.severity, j.limit) == ("fail", "danger", 15)
    assert j.value == pytest.approx(16.40625, rel=1e-9)


def test_one_string_needs_none() -> None:
    assert judged("us", 1, 10.5, 15, None).verdict == "skip"  # A7-14


def test_a_bank_that_may_feed_back_leaves_it_open() -> None:
    silent = judged("us", 2, 13.8, 25, None, BackFeed("unknown", fused=False, asks="U1.backfeed"))  # A7-15
    feeds = judged("us", 2, 13.8, 25, None, BackFeed("yes", fused=False, asks="U1.backfeed"))
    fused = judged("us", 2, 13.8, 25, None, BackFeed("unknown", fused=True, asks="U1.backfeed"))

    assert (silent.verdict, silent.missing) == ("cannot-tell", ("U1.backfeed",))
    assert feeds.verdict == "fail"
    assert fused.verdict == "pass"


def test_a_missing_module_rating_cannot_be_told() -> None:
    j = judge(3, None, None, BackFeed(), ("M.1.1.max_series_fuse",))

    assert (j.verdict, j.missing) == ("cannot-tell", ("M.1.1.max_series_fuse",))
