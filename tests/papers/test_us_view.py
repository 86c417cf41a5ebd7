"""A pack in US units: no metric figure is left in any paper but where a formula is worked in its own units."""

import re
from dataclasses import replace

import pint
import pytest
from tests.papers.packs import material

from ohmwright.drawing.lint import lint, lint_ink
from ohmwright.drawing.shapes import Polyline, Sheet, Text
from ohmwright.papers.catalogue import words
from ohmwright.papers.circuit_sheet import further_of, sheets_of
from ohmwright.papers.doc import tree
from ohmwright.papers.labour import costing
from ohmwright.papers.material import Material
from ohmwright.papers.order_list import order_for
from ohmwright.papers.pack import _binder, _shop
from ohmwright.papers.report import limit_of
from ohmwright.papers.units import Units, in_us

METRIC = re.compile(r"\d ?(?:mm|cm|m|km|kg|N·m|Nm|°C|degC|m/s|L|m3/h)(?![\w²³/·])")
DEMOS = ("trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml")
#: Derivations stay as they were worked; a finding's origin is told as it was written down.
AS_WORKED = ("formula", "substituted", "value", "origins", "symbol")


def _is_metric(value: str, key: str) -> bool:
    return bool(METRIC.search(value)) or (key == "unit" and value in ("m", "mm", "kg", "°C", "N·m", "L"))


@pytest.mark.parametrize("demo", DEMOS)
def test_no_metric_figure_is_left(demo: str) -> None:
    m = replace(material(demo, words()), view="us")
    order = order_for(m)
    left: list[str] = []

    def look(value: object, key: str = "") -> None:
        if isinstance(value, dict):
            for k, v in value.items():
                look(v, k)
        elif isinstance(value, list):
            for v in value:
                look(v, key)
        elif isinstance(value, str) and key not in AS_WORKED and _is_metric(value, key):
            left.append(value)

    for _, doc in (*_binder(m), *((n, d) for n, d, _ in _shop(m, order, costing(m, order)))):
        for block in doc.blocks:
            look(tree(block))
    assert left == []


def drawn(m: Material) -> dict[str, tuple[Sheet, ...]]:
    """The drawings of a pack."""
    return {"circuit": sheets_of(m), **dict(further_of(m))}


def texts(sheets: tuple[Sheet, ...]) -> list[str]:
    return [t.text.replace("\u00a0", " ") for s in sheets for t in s.shapes() if isinstance(t, Text)]


@pytest.mark.parametrize("demo", DEMOS)
def test_no_metric_figure_is_left_on_a_drawing_and_it_stays_clean(demo: str) -> None:
    m = replace(material(demo, words()), view="us")
    made, metric = drawn(m), drawn(replace(m, view="metric"))
    titles = [m.rig.job.title, *(p.record.title for p in m.rig.parts.values())]
    for name, sheets in made.items():
        left = [t for t in texts(sheets) if METRIC.search(t) and not any(t in x for x in titles)]
        left = [t for t in left if not re.search(r"\([\d.]+ in\)", t)]  # a drill template bears both
        left += [t for t in texts(sheets) if re.search(r"\d, \d+ high", t)]  # a box in bare millimetres
        assert left == [], name
        before = {str(f) for f in lint_ink(metric[name])}
        assert [str(f) for f in lint_ink(sheets) if str(f) not in before] == [], name
    covered = {f.what for f in lint(metric["circuit"], m.rig)}
    assert [f.what for f in lint(made["circuit"], m.rig) if f.what not in covered] == []


# The reference is pint's own definitions of the units.
@pytest.mark.parametrize("demo", DEMOS)
def test_the_length_of_every_run_stands_on_the_circuit_in_feet_and_below_one_in_inches(demo: str) -> None:
    m = replace(material(demo, words()), view="us")
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    lettered = [f for t in texts(sheets_of(m)) for f in re.findall(r"([\d.]+) (ft|in)\b", t)]
    assert all(float(f) >= 1.0 for f, unit in lettered if unit == "ft" and float(f))
    told = [float(f) / {"ft": 1, "in": 12}[unit] for f, unit in lettered]
    metric = [
        float(f) for t in texts(sheets_of(replace(m, view="metric"))) for f in re.findall(r"([\d.]+) m\b", t)
    ]
    assert metric
    for metres in metric:
        feet = registry.Quantity(metres, "m").to("ft").magnitude
        assert any(t == pytest.approx(feet, rel=0.026) for t in told), metres


@pytest.mark.parametrize("demo", DEMOS)
def test_the_bar_of_a_scale_is_as_long_as_it_says_in_feet(demo: str) -> None:
    m = replace(material(demo, words()), view="us")
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    seen = 0
    for sheets in drawn(m).values():
        for sheet in sheets:
            shapes = list(sheet.shapes())
            for n, shape in enumerate(shapes):
                if not isinstance(shape, Text) or not (
                    found := re.fullmatch(r"([\d.]+) (ft|in), scale [^(]+ \(1:(\d+)\)", shape.text)
                ):
                    continue
                bar = [p for p in shapes[n - 4 : n] if isinstance(p, Polyline)]
                xs = [x for p in bar for x, _ in p.points]
                true_mm = (max(xs) - min(xs)) * int(found[3])
                whole = registry.Quantity(float(found[1]), {"ft": "ft", "in": "inch"}[found[2]])
                assert true_mm == pytest.approx(whole.to("mm").magnitude, rel=1e-6)
                seen += 1
    assert seen


# The reference is pint's own definitions of the units.
@pytest.mark.parametrize(
    ("metric", "unit", "us"),
    [
        (1.25, "m", "ft"), (175.0, "mm", "in"), (3306.0, "kg", "lb"), (1500.0, "km", "mi"), (14.0, "N·m", "lbf·in"), (-34.0, "°C", "°F"),
        (40.0, "°C", "°F"), (12.5, "L", "gal"), (20.5, "m/s", "mph"), (55.0, "m3/h", "cfm"), (600.0, "cm2", "in²"),
    ],
)  # fmt: skip
def test_a_figure_in_a_sentence_turns_as_a_reference_library_turns_it(
    metric: float, unit: str, us: str
) -> None:
    names = {"°C": "degC", "°F": "degF", "N·m": "N*m", "lbf·in": "lbf*in", "m3/h": "m**3/h", "cfm": "ft**3/min", "mi": "mile", "gal": "US_liquid_gallon", "cm2": "cm**2", "in²": "inch**2"}  # fmt: skip
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    theirs = registry.Quantity(metric, names.get(unit, unit)).to(names.get(us, us)).magnitude
    told = in_us(f"about {metric:g} {unit} here")
    found = re.fullmatch(rf"about (-?[\d.]+) {re.escape(us)} here", told)
    assert found, told
    assert float(found[1]) == pytest.approx(theirs, rel=0.026)  # two digits are kept at least
    value, in_unit = Units(us=True).any(metric, unit)
    assert value == pytest.approx(theirs, rel=1e-6)
    assert in_unit == us


def test_ranges_tolerances_and_sizes_are_turned_whole_and_quotations_are_not() -> None:
    assert in_us("between 5 and 40 degC") == "between 41 and 104 °F"
    assert in_us("−20…−30 °C") == "-4…-22 °F"
    assert in_us("20 ± 5 °C") == "68 ± 9 °F"
    assert in_us("600 x 400 x 200 mm") == "23.6 x 15.7 x 7.87 in"
    assert in_us("70 mm2 and 35 mm² cable on M8, 12 m/W2") == "70 mm2 and 35 mm² cable on M8, 12 m/W2"
    assert in_us("she said “never more than 3 km”") == "she said “never more than 3 km”"


def test_value_and_limit_of_a_finding_stand_in_one_unit() -> None:
    m = material("trailer/rig-built.yaml", words())
    us = replace(m, view="us")
    for f in m.findings:
        if f.unit in ("mm", "m", "kg", "degC", "°C") and f.value is not None and f.limit is not None:
            told = limit_of(us, f)
            assert not METRIC.search(told)
            assert told != limit_of(m, f)
