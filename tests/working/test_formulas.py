"""Printed text and code of every formula are compared by value: they cannot drift apart.

Each text is evaluated on random inputs against the function it hangs on.  The ranges come from the unit in
the parameter's name, or from the formula's own `ranges`.
"""

import ast
import importlib
import inspect
import math
import pkgutil
import random
from collections.abc import Callable, Iterator

import pytest

from ohmwright.working import FORMULAS, Formula, evaluate, formula, suffix_unit
from ohmwright.working.step import FUNCTIONS

FLOORS = ("physics", "circuit", "energy", "checks")
SAMPLES, ENOUGH, MOST_TRIES = 200, 50, 4000
REFUSALS = (ValueError, ZeroDivisionError, OverflowError)

#: Where a plain float of this unit lies in the rigs that people build.  Positive ranges are sampled by ratio.
RANGES: dict[str, tuple[float, float]] = {
    "A": (0.1, 600), "V": (1, 600), "W": (1, 10_000), "VA": (1, 10_000), "Wh": (1, 50_000), "Ah": (1, 2_000),
    "ohm": (1e-5, 10), "H": (1e-7, 1e-2), "m": (0.05, 50), "mm2": (0.5, 240), "degC": (-40, 105), "K": (0.5, 80),
    "s": (1e-3, 1e4), "kg": (0.1, 5_000), "Hz": (45, 65), "deg": (-180, 180), "%/K": (-0.5, -0.1), "W/m2": (1, 1_300),
    "1": (0.05, 1),
}  # fmt: skip

#: Where a parameter lies whose name says more than its unit.
NAMED: dict[str, tuple[float, float]] = {
    "coldest_degC": (-45, 20), "hottest_degC": (30, 90), "nominal_degC": (40, 60), "reference_degC": (20, 30),
    "insulation_degC": (75, 125), "ambient_degC": (-40, 70), "open_V": (12.8, 60), "loaded_V": (9, 12.7),
    "coefficient_V_per_K": (-0.5, -0.05), "still_exponent": (-4, -2), "wind_exponent": (-0.2, -0.01),
    "at_5_factor": (1, 5),
}  # fmt: skip


def _load(floor: str) -> None:
    package = importlib.import_module(f"ohmwright.{floor}")
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        importlib.import_module(module.name)


for _floor in FLOORS:
    _load(_floor)

OURS = {name: entry for name, entry in FORMULAS.items() if name.startswith("ohmwright.")}


def _range(name: str, told: Formula) -> tuple[float, float]:
    if name in told.ranges:
        return told.ranges[name]
    if name in NAMED:
        return NAMED[name]
    if name.endswith("_count"):
        return (1, 12)
    return RANGES.get(suffix_unit(name) or "", (0.1, 10))


def _one(name: str, whole: bool, told: Formula, chance: random.Random) -> float:
    low, high = _range(name, told)
    if whole:
        return chance.randint(math.ceil(low), math.floor(high))
    if low > 0 and high > 10 * low:
        return math.exp(chance.uniform(math.log(low), math.log(high)))
    return chance.uniform(low, high)


def sample(function: Callable[..., float], told: Formula, chance: random.Random) -> dict[str, float]:
    """One set of arguments, by parameter name."""
    parameters = inspect.signature(function).parameters
    return {n: _one(n, parameters[n].annotation in (int, "int"), told, chance) for n in told.symbols}


def answer(compute: Callable[[], float]) -> float | None:
    """The value, or None where the formula does not hold."""
    try:
        value = compute()
        return value if math.isfinite(value) else None
    except REFUSALS:
        return None
    except TypeError:  # a root of a negative number is complex, and no quantity
        return None


def drift(function: Callable[..., float], told: Formula) -> str:
    """Where text and function part, or nothing."""
    chance = random.Random(f"{function.__module__}.{function.__name__}")
    held = 0
    for _ in range(MOST_TRIES):
        given = sample(function, told, chance)
        by_symbol = {told.symbols[n]: v for n, v in given.items()}
        code = answer(lambda given=given: float(function(**given)))  # type: ignore[misc]
        if code is None:
            continue  # out of the range that the function states
        text = answer(lambda by_symbol=by_symbol: evaluate(told.text, by_symbol))  # type: ignore[misc]
        if text is None or not math.isclose(code, text, rel_tol=1e-9, abs_tol=1e-12):
            return f"at {given}: the function gives {code}, the text {text}"
        held += 1
        if held == SAMPLES:
            return ""
    return "" if held >= ENOUGH else f"only {held} of {MOST_TRIES} samples hold: state ranges"


def names_in(text: str) -> set[str]:
    return {node.id for node in ast.walk(ast.parse(text, mode="eval")) if isinstance(node, ast.Name)}


def misdirected(function: Callable[..., float], told: Formula) -> Iterator[str]:
    """Every parameter in which the result does not move the declared way."""
    chance = random.Random(f"{function.__name__} moves")
    for name in sorted(told.rises | told.falls):
        for _ in range(SAMPLES):
            given = sample(function, told, chance)
            one = answer(lambda given=given: float(function(**given)))  # type: ignore[misc]
            further = {**given, name: max(given[name], sample(function, told, chance)[name])}
            two = answer(lambda further=further: float(function(**further)))  # type: ignore[misc]
            if one is None or two is None:
                continue
            slack = 1e-9 * max(abs(one), abs(two))
            if (name in told.rises and two < one - slack) or (name in told.falls and two > one + slack):
                yield f"{name}: {one} at {given}, {two} at {further[name]}"
                break


EXACT = sorted(name for name, (_, told) in OURS.items() if not told.hand)
BY_HAND = sorted(name for name, (_, told) in OURS.items() if told.hand)


@pytest.mark.parametrize("name", EXACT)
def test_text_and_function_agree(name: str) -> None:
    assert drift(*OURS[name]) == ""


@pytest.mark.parametrize("name", sorted(OURS))
def test_the_result_moves_the_declared_way(name: str) -> None:
    assert list(misdirected(*OURS[name])) == []


@pytest.mark.parametrize("name", EXACT)
def test_the_text_uses_every_symbol_and_no_other(name: str) -> None:
    _, told = OURS[name]

    assert names_in(told.text) - set(FUNCTIONS) - {"pi"} == set(told.symbols.values())
    assert len(set(told.symbols.values())) == len(told.symbols)


@pytest.mark.parametrize("name", sorted(OURS))
def test_the_unit_of_the_text_is_the_unit_in_the_name(name: str) -> None:
    function, told = OURS[name]
    known = suffix_unit(function.__name__)

    assert known is not None, f"{name} has no unit in its name"
    if known not in ("", "1"):  # a factor may carry a unit that has no name of its own
        assert told.unit == known
    assert told.rises.isdisjoint(told.falls)
    assert told.rises | told.falls <= set(told.symbols)
    assert set(told.ranges) <= set(told.symbols)


def test_a_formula_checked_by_hand_says_so_in_its_docstring() -> None:
    silent = [name for name in BY_HAND if not inspect.getdoc(OURS[name][0])]

    assert silent == []


# The test itself is tried on planted mistakes.


def _planted(text: str, **more: tuple[str, ...]) -> tuple[Callable[..., float], Formula]:
    def drop_V(current_A: float, resistance_ohm: float) -> float:
        return current_A * resistance_ohm

    hang = formula(text, symbol="dU", unit="V", current_A="I", resistance_ohm="R", **more)  # type: ignore[arg-type]
    hang(drop_V)
    return FORMULAS.pop(f"{__name__}.drop_V")


def test_a_true_text_is_let_through() -> None:
    assert drift(*_planted("I * R", rises=("current_A", "resistance_ohm"))) == ""


@pytest.mark.parametrize(
    "text", ["I * R * 1.000001", "I / R", "I * R + 1e-6", "max(I, 1) * R", "sqrt(I - 5) * R"]
)
def test_a_text_that_says_something_else_is_caught(text: str) -> None:
    assert "the function gives" in drift(*_planted(text))


def test_a_direction_that_is_wrong_is_caught() -> None:
    assert len(list(misdirected(*_planted("I * R", falls=("current_A",))))) == 1


def test_a_parameter_that_has_no_symbol_is_refused_at_once() -> None:
    with pytest.raises(TypeError, match="do not match parameters"):

        @formula("I * R", symbol="dU", unit="V", current_A="I")
        def drop_V(current_A: float, resistance_ohm: float) -> float:
            return current_A * resistance_ohm
