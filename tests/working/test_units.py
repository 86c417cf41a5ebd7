"""The one unit table, held against pint, and against the lint that lets its suffixes through."""

import fnmatch
import tomllib
from pathlib import Path
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.working import DIMENSIONS, UNITS, base_of, convert, suffix_unit, unit
from ohmwright.working.units import OTHER_SUFFIXES, SPELLINGS

ROOT = Path(__file__).parents[2]
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()

#: Our symbol -> the expression by which pint 0.25 knows the unit.  A symbol that is not here reads the same there.
IN_PINT = {
    "ohm": "ohm", "mohm": "milliohm", "uohm": "microohm", "kohm": "kiloohm", "Mohm": "megaohm", "uH": "microhenry",
    "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "ft2": "ft**2", "Nm": "N*m", "lbf-ft": "force_pound*ft",
    "lbf-in": "force_pound*inch", "%": "percent", "%/K": "percent/K", "kn": "knot", "W/m2": "W/m**2",
    "kWh/m2": "kWh/m**2", "m3": "m**3", "m3/h": "m**3/h", "A2s": "A**2*s", "ohm/kft": "ohm/(1000*ft)",
    "%/month": "percent/month", "in": "inch", "t": "metric_ton", "days": "day", "lb": "pound",
    "mohm/m": "milliohm/m", "L": "liter", "L/h": "liter/h", "kWh/day": "kWh/day", "Ah/day": "ampere_hour/day",
    "kcmil": "1000*circular_mil", "Ah": "ampere_hour", "mAh": "milliampere_hour",
}  # fmt: skip


def in_pint(symbol: str, value: float) -> Any:
    expression = IN_PINT.get(symbol, symbol)
    if symbol in ("degC", "degF"):
        return REGISTRY.Quantity(value, expression)
    return value * REGISTRY.parse_expression(expression)


@pytest.mark.parametrize("symbol", sorted(UNITS))
@pytest.mark.parametrize("value", [1.0, 37.5, -20.0])
def test_a_conversion_to_the_base_unit_agrees_with_pint(symbol: str, value: float) -> None:
    base = base_of(symbol)
    theirs = in_pint(symbol, value)
    if base == "1":
        expected = theirs.to("").magnitude
    elif base == "degC":
        expected = theirs.to("degC").magnitude
    else:
        expected = (theirs / in_pint(base, 1.0)).to("").magnitude

    assert convert(value, symbol, base) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(("spelling", "symbol"), sorted(SPELLINGS.items()))
def test_every_other_spelling_leads_to_the_table(spelling: str, symbol: str) -> None:
    found = unit(spelling)

    assert found is not None
    assert found.symbol == symbol
    assert spelling not in UNITS


@given(st.sampled_from(sorted(UNITS)), st.sampled_from(sorted(UNITS)), st.floats(-1e6, 1e6))
def test_there_and_back_is_the_same_value_or_is_refused(a: str, b: str, value: float) -> None:
    if UNITS[a].dimension != UNITS[b].dimension:
        with pytest.raises(ValueError, match="cannot be told in"):
            convert(value, a, b)
        return

    assert convert(convert(value, a, b), b, a) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_a_temperature_is_no_temperature_difference() -> None:
    # A rise of 18 degF is 10 K; the thermometer at 18 degF shows -7.8 degC.  Mixing the two is refused.
    with pytest.raises(ValueError, match="degC cannot be told in K"):
        convert(10, "degC", "K")


def test_every_dimension_has_its_base_unit_at_factor_one() -> None:
    for name, dimension in DIMENSIONS.items():
        if dimension.base == "1":
            continue
        base = UNITS[dimension.base]
        assert (base.dimension, base.factor, base.offset) == (name, 1, 0)


def test_a_suffix_stands_for_one_unit_only() -> None:
    suffixes = [d.suffix for d in DIMENSIONS.values()]
    everything = [*suffixes, *OTHER_SUFFIXES]

    assert len(set(everything)) == len(everything)
    assert all(suffix_unit(f"some{d.suffix}") == d.base for d in DIMENSIONS.values())


@pytest.mark.parametrize("name", ["current", "A", "V", "volts", "length_metres", "x_a", "drop_v", "_A_", ""])
def test_a_name_without_a_known_suffix_has_no_unit(name: str) -> None:
    assert suffix_unit(name) is None


def test_the_longest_suffix_wins() -> None:
    assert suffix_unit("run_mohm") == ""  # not "_ohm"
    assert suffix_unit("run_ohm_per_m") == "ohm/m"  # not "_m"
    assert suffix_unit("gain_percent_per_K") == "%/K"  # not "_per_K", not "_K"
    assert suffix_unit("day_kWh_m2") == "kWh/m2"


def test_the_naming_lint_lets_through_exactly_the_suffixes_with_a_capital() -> None:
    lint = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["ruff"]["lint"]["pep8-naming"][
        "ignore-names"
    ]
    suffixes = {d.suffix for d in DIMENSIONS.values()} | set(OTHER_SUFFIXES)
    wanted = sorted(f"*{s}" for s in suffixes if s != s.lower())

    assert lint == wanted, "write this into pyproject.toml: " + str(wanted).replace("'", '"')
    assert not any(fnmatch.fnmatch("betaVoc", pattern) for pattern in lint)
