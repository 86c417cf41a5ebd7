"""Charts of a year: in ink, legible in grey, units on every axis, nothing off the sheet, and true to their rows."""

import re
from typing import Any

import pytest

from ohmwright.drawing.shapes import INK_HEX, Circle, Line, Polyline, Sheet, Text
from ohmwright.drawing.svg import svg_of
from ohmwright.drawing.year_charts import bad_week_chart, months_chart, sizes_chart, words_fit


def rows(worst: float) -> list[dict[str, Any]]:
    return [
        {
            "array_W": 200.0 * modules, "modules": modules, "bank_Ah": 200.0 * batteries, "batteries": batteries,
            "is_now": (modules, batteries) == (6, 4), "nights_usual": 2.0,
            "nights_one_in_ten": max(worst - 3.0 * modules - 2.0 * batteries, 0.0), "nights_error": 1.5,
            "any_probability": max(1.0 - 0.05 * modules - 0.1 * batteries, 0.0), "any_error": 0.03,
        }
        for modules in range(5, 10)
        for batteries in range(3, 7)
    ]  # fmt: skip


SIZES = {"array": "M", "bank": "B", "years": 160, "rows": rows(40.0), "words": "so"}
NOTHING = {**SIZES, "rows": rows(0.0)}
WEEK = {
    "year": 3, "first_day": "12-29", "soc": [1.0 - t / 334 for t in range(168)], "soc_low": [0.4] * 168,
    "soc_high": [0.9] * 168, "band_percent": [10, 90], "band_years": 16,
}  # fmt: skip
MONTHS = [
    {"month": m, "load_kWh": 10.0 + 4 * m, "unserved_kWh": 0.5 * m if m > 8 else 0.0, "unserved_kWh_p90": 1.1 * m if m > 8 else None}
    for m in range(1, 13)
]  # fmt: skip
CHARTS = {
    "nights": sizes_chart(SIZES), "chance": sizes_chart(SIZES, "chance"), "nothing": sizes_chart(NOTHING),
    "week": bad_week_chart(WEEK), "months": months_chart(MONTHS),
}  # fmt: skip


def words(sheet: Sheet) -> str:
    return " | ".join(s.text for s in sheet.shapes() if isinstance(s, Text))


@pytest.mark.parametrize("name", CHARTS)
def test_a_chart_is_ink_on_the_sheet_with_a_unit_on_every_axis(name: str) -> None:
    sheet = CHARTS[name]

    assert words_fit(sheet)
    used = {s.colour for s in sheet.shapes() if isinstance(s, Text | Line | Polyline | Circle)}
    assert used <= {"ink", "graphite"}
    assert set(re.findall(r"#[0-9A-Fa-f]{6}", svg_of(sheet))) <= {
        INK_HEX[c] for c in ("ink", "graphite", "sheet")
    }
    assert sheet.title not in words(sheet)  # whoever shows the chart says what it is
    for unit in {"week": ("%", "day"), "months": ("kWh",), "chance": ("%", "W"), "nights": ("nights", "W"), "nothing": ("nights", "W")}[name]:  # fmt: skip
        assert unit in words(sheet)


@pytest.mark.parametrize("name", ["nights", "chance", "nothing", "months"])
def test_no_two_words_of_a_chart_touch(name: str) -> None:
    from ohmwright.drawing.shapes import box_around

    boxes = [(s.text, box_around(s)) for s in CHARTS[name].shapes() if isinstance(s, Text)]
    for i, (one, a) in enumerate(boxes):
        for two, b in boxes[i + 1 :]:
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"{one!r} lies on {two!r}"


def test_more_nights_stand_higher_and_the_rig_as_drawn_is_bracketed() -> None:
    sheet = CHARTS["nights"]
    lines = [s for s in sheet.shapes() if isinstance(s, Polyline) and not s.closed and len(s.points) == 5]
    brackets = [s for s in sheet.shapes() if isinstance(s, Polyline) and not s.closed and len(s.points) == 3]

    assert len(lines) == 4
    assert len(brackets) == 4
    for line in lines:
        heights = [y for _, y in line.points]
        assert heights == sorted(heights)  # y runs down: fewer nights with a larger array
    middle = sum(x for b in brackets for x, _ in [b.points[1]]) / 4, sum(y for b in brackets for _, y in [b.points[1]]) / 4  # fmt: skip
    assert min(abs(middle[0] - x) + abs(middle[1] - y) for line in lines for x, y in line.points) < 1e-6


def test_the_bad_week_runs_over_the_turn_of_the_year_and_falls_to_its_least() -> None:
    told = words(CHARTS["week"])

    assert "29 Dec" in told
    assert "4 Jan" in told
    assert "50 %" in told  # 1 - 167 / 334
    assert "80 of 100 years" in told


def test_what_is_not_given_is_hatched_in_the_months_that_lack() -> None:
    hatched = [s for s in CHARTS["months"].shapes() if isinstance(s, Line) and s.colour == "graphite" and s.dash == ""]  # fmt: skip

    assert hatched
    assert "6.0, 13.2" in words(CHARTS["months"])  # December
