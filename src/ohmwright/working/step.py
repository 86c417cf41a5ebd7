"""A formula once: its text hangs on the function that computes it, and a step prints both.

`@formula` only attaches the text and returns the function, so that a kernel may compile it unchanged.  `work`
calls the function with figures or earlier steps and keeps everything a person needs to redo it.
"""

import ast
import inspect
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, TypeVar

from ohmwright.working import units
from ohmwright.working.figure import COMPUTED, Figure, Origin
from ohmwright.working.quantity import number
from ohmwright.working.quickly import quickly_made

F = TypeVar("F", bound=Callable[..., float])

FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt, "exp": math.exp, "ln": math.log, "log10": math.log10, "min": min, "max": max, "abs": abs,
    "sin": math.sin, "cos": math.cos, "tan": math.tan, "asin": math.asin, "acos": math.acos, "atan": math.atan, "atan2": math.atan2, "rad": math.radians, "degrees": math.degrees,
    "cbrt": math.cbrt, "erf": math.erf, "floor": math.floor, "ceil": math.ceil,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Formula:
    """The printed form of a function: text in symbols, and which parameter each symbol stands for.

    `rises` and `falls` name the parameters in which the result is monotone; `work(..., worst=...)` uses them.
    `hand` is True when the function is an algorithm and the text a hand check of it.  `ranges` says between
    which values a parameter is sampled when text and function are compared, where its suffix says too little.
    """

    text: str
    symbol: str
    unit: str
    symbols: dict[str, str]
    rises: frozenset[str]
    falls: frozenset[str]
    hand: bool = False
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)


#: Every formula of the program, by "module.function"; the drift test walks it.
FORMULAS: dict[str, tuple[Callable[..., float], Formula]] = {}
_BY_FUNCTION: dict[Callable[..., float], Formula] = {}
#: Name, symbol and unit by its suffix of every parameter of a function that has a formula; "" for a plain number.
_PARAMETERS: dict[Callable[..., float], tuple[tuple[str, str, str], ...]] = {}


def formula(
    text: str,
    *,
    symbol: str,
    unit: str,
    rises: tuple[str, ...] = (),
    falls: tuple[str, ...] = (),
    hand: bool = False,
    ranges: Mapping[str, tuple[float, float]] | None = None,
    **symbols: str,
) -> Callable[[F], F]:
    """Hang the printed formula on a function and return the function itself."""

    def hang(function: F) -> F:
        told = Formula(
            text, symbol, unit, dict(symbols), frozenset(rises), frozenset(falls), hand, dict(ranges or {})
        )
        parameters = list(inspect.signature(function).parameters)
        if list(symbols) != parameters:
            raise TypeError(
                f"{function.__name__}: symbols {list(symbols)} do not match parameters {parameters}"
            )
        FORMULAS[f"{function.__module__}.{function.__name__}"] = (function, told)
        _BY_FUNCTION[function] = told
        _PARAMETERS[function] = tuple([(n, s, _wanted(n)) for n, s in symbols.items()])
        return function

    return hang


def _wanted(name: str) -> str:
    """The unit that a parameter asks for by its suffix."""
    asked = units.suffix_unit(name) or ""
    return "" if asked == "1" else asked


def formula_of(function: Callable[..., float]) -> Formula:
    """The formula that hangs on a function."""
    return _BY_FUNCTION[function]


@quickly_made
@dataclass(frozen=True, slots=True)
class Input:
    """What went into a step: a figure, or the result of an earlier step."""

    symbol: str
    value: float
    unit: str
    origin: Origin
    address: str = ""
    step: "Step | None" = None


@quickly_made
@dataclass(frozen=True, slots=True)
class Step:
    """One worked formula: `substituted` evaluates to `value`."""

    symbol: str
    formula: str
    value: float
    unit: str
    inputs: tuple[Input, ...]
    clause: str = ""
    note: str = ""

    @property
    def substituted(self) -> str:
        """The formula with its numbers: put in when somebody looks, for few steps are ever read."""
        return _substitute(self.formula, {i.symbol: i.value for i in self.inputs})

    @property
    def origin_unverified(self) -> bool:
        """True when any figure at the root of this step is not verified."""
        return any(i.step.origin_unverified if i.step else not i.origin.verified for i in self.inputs)

    def chain(self) -> tuple["Step", ...]:
        """This step behind all the steps it rests on, in working order, each once."""
        out: list[Step] = []
        for i in self.inputs:
            for s in i.step.chain() if i.step else ():
                if s not in out:
                    out.append(s)
        return (*out, self)


class LaterStep(Step):
    """A step whose inputs are put together when somebody looks at them: few chains are ever read.

    It equals the plain step that it stands for, and is saved as that.
    """

    __slots__ = ("_ask", "_unverified")
    _ask: Callable[[], Step]
    _unverified: bool

    def __getattr__(self, name: str) -> object:
        if name != "inputs":
            raise AttributeError(name)
        made = self._ask().inputs
        object.__setattr__(self, "inputs", made)
        return made

    @property
    def origin_unverified(self) -> bool:
        """Told with the value, so that nothing has to be put together for it."""
        return self._unverified

    def plain(self) -> Step:
        """The step itself."""
        return Step(self.symbol, self.formula, self.value, self.unit, self.inputs, self.clause, self.note)

    def __eq__(self, other: object) -> bool:
        return self.plain() == (other.plain() if isinstance(other, LaterStep) else other)

    def __hash__(self) -> int:
        return hash(self.plain())

    def __repr__(self) -> str:
        return repr(self.plain())

    def __reduce__(self) -> str | tuple[object, ...]:
        return self.plain().__reduce__()


def running_sum(function: Callable[[float, float], float], steps: Sequence[Step]) -> Step:
    """Steps added one by one with a formula of two terms; the chain of sums is put together when it is looked at."""
    if len(steps) < 3:
        return _summed(function, steps)
    told, total = _BY_FUNCTION[function], steps[0].value
    for s in steps[1:]:
        total = function(total, s.value)
    made = object.__new__(LaterStep)
    for name, held in (
        ("symbol", told.symbol), ("formula", told.text), ("value", float(total)), ("unit", told.unit), ("clause", ""), ("note", ""),
        ("_ask", lambda: _summed(function, steps)), ("_unverified", any(s.origin_unverified for s in steps)),
    ):  # fmt: skip
        object.__setattr__(made, name, held)
    return made


def _summed(function: Callable[[float, float], float], steps: Sequence[Step]) -> Step:
    first, second, *_ = _PARAMETERS[function]
    total = steps[0]
    for s in steps[1:]:
        total = work(function, worst=None, clause="", note="", **{first[0]: total, second[0]: s})
    return total


Workable: TypeAlias = "Figure | Step | float"


def evaluate(text: str, values: dict[str, float] | None = None) -> float:
    """The value of a printed formula: numbers, symbols, + - * / **, comparisons in a conditional, and FUNCTIONS.

    >>> round(evaluate("3 * 37.1 * (1 + -0.27/100 * (-34 - 25))"), 2)
    129.03
    """
    names: dict[str, object] = {**FUNCTIONS, "pi": math.pi, **(values or {})}
    tree = ast.parse(text, mode="eval")
    for node in ast.walk(tree):
        if not isinstance(node, _ALLOWED):
            raise ValueError(f"'{text}' holds a {type(node).__name__}, which no formula may")
    return float(eval(compile(tree, "formula", "eval"), {"__builtins__": {}}, names))


_ALLOWED = (
    ast.Expression, ast.BinOp, ast.UnaryOp, ast.Constant, ast.Name, ast.Load, ast.Call, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow,
    ast.USub, ast.UAdd, ast.IfExp, ast.Compare, ast.Lt, ast.LtE, ast.Gt, ast.GtE, ast.Eq,
)  # fmt: skip


def _substitute(text: str, values: dict[str, float]) -> str:
    def put(match: re.Match[str]) -> str:
        name = match[0]
        if name not in values:
            return name
        shown = number(values[name])
        after = text[match.end() :].lstrip()
        return f"({shown})" if values[name] < 0 and after.startswith("**") else shown

    return re.sub(r"(?<![\w.])[A-Za-zα-ωΑ-Ω_][\wα-ωΑ-Ω']*", put, text)


def work(
    function: Callable[..., float],
    *,
    worst: Literal["high", "low"] | None = None,
    clause: str = "",
    note: str = "",
    **inputs: Workable,
) -> Step:
    """Call `function` and keep the derivation.

    With `worst`, each figure that has bounds enters at the end that makes the result highest or lowest, as
    the formula declares its directions.
    """
    told = _BY_FUNCTION[function]
    kept: list[Input] = []
    values: list[float] = []
    for name, symbol, wanted in _PARAMETERS[function]:
        given = inputs[name]
        if isinstance(given, Figure):
            value = given.value if worst is None else _at_end(given, _adverse(told, name, worst))
            kept.append(Input(symbol, value, given.unit, given.origin, given.address))
        elif isinstance(given, Step):
            value = given.value
            kept.append(Input(symbol, value, given.unit, COMPUTED, "", given))
        else:
            value = float(given)
            kept.append(Input(symbol, value, wanted or "1", COMPUTED))
        if wanted and kept[-1].unit != wanted:
            raise _other_unit(kept[-1].unit, name)
        values.append(value)
    if len(inputs) != len(values):
        raise TypeError(f"{function.__name__} does not take {sorted(set(inputs) - set(told.symbols))}")
    return Step(told.symbol, told.text, float(function(*values)), told.unit, tuple(kept), clause, note)


def _adverse(told: Formula, name: str, worst: Literal["high", "low"]) -> Literal["high", "low", ""]:
    """At which of its bounds a parameter makes the result highest or lowest; "" where it may be either."""
    if name in told.rises:
        return worst
    return ("low" if worst == "high" else "high") if name in told.falls else ""


def _at_end(given: Figure, end: Literal["high", "low", ""]) -> float:
    """A figure at one of its bounds, or as it is."""
    return given.high if end == "high" else given.low if end == "low" else given.value


def _other_unit(unit: str, name: str) -> TypeError:
    return TypeError(f"a figure in {unit} was given for {name}")
