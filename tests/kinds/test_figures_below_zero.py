"""What no page can print is refused where it stands: a rating below zero, a battery without resistance."""

import pytest
from tests.checks.test_on_rigs import part, study_of, swap

from ohmwright.kinds.base import FigureSpec
from ohmwright.working import OhmwrightError


@pytest.mark.parametrize(
    ("name", "figure"),
    [
        ("F6", "rated: -63 A"),
        ("B", "capacity: -200 Ah"),
        ("B", "resistance: -2 mohm"),
        ("B", "resistance: 0 mohm"),
        ("B", "capacity: 0 Ah"),
        ("B", "discharge-max: -100 A @ 25 degC"),
        ("F6", "rated: 0 A"),
        ("U2", "power: 0 W @ 25 degC"),
        ("U3", "efficiency: 0 %"),
        ("U3", "efficiency: 120 %"),
        ("B", "charge-voltage-max: 0 V"),
    ],
)
def test_a_figure_that_no_page_can_print_is_refused(name: str, figure: str) -> None:
    with pytest.raises(OhmwrightError, match=r"less than 0|cannot be 0|more than 100"):
        study_of("built", (part(name, figure),))


def test_temperatures_and_coefficients_go_below_zero() -> None:
    for unit in ("degC", "%/K", "V/K", "A/K"):
        assert FigureSpec(unit, "").refused("any", -1) is None
    assert FigureSpec("A", "").refused("any", -1) is not None
    assert FigureSpec("W", "").refused("idle", 0) is None
    assert FigureSpec("1", "").refused("efficiency", 1) is None


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("3: 10 A, 4: 5 A", "3: 0 A, 4: 5 A"),
        ("supply-limit: 24 A", "supply-limit: -24 A"),
        ("cut-off: 12.0 V", "cut-off: -5 V"),
        ("cable: 4/0 AWG 105C red, length: 0.17 m}", "cable: 4/0 AWG 105C red, length: 0 m}"),
        ("post-length: 0.03 m", "post-length: 0 m"),
        ("coldest: -34 degC (o), set", "coldest: -400 degC (o), set"),
    ],
)
def test_ways_lengths_settings_and_weather_that_cannot_be_are_refused(old: str, new: str) -> None:
    with pytest.raises(OhmwrightError, match=r"is no rating|less than"):
        study_of("built", (swap(old, new),))
