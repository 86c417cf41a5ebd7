"""Why a figure of the year is what it is: worked steps, and the days or hours behind them, each to be asked further."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ohmwright.working import Figure, Input, Origin, Step

#: A sum of more terms than this is made of sums, so that a hand can follow it.
MOST_TERMS = 12


@dataclass(frozen=True, slots=True)
class Ask:
    """What can be asked further: `ohmwright why RIG WHAT SUBJECT`."""

    what: str
    subject: str

    def __str__(self) -> str:
        return f"{self.what} {self.subject}".strip()


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a list; its name can be asked why where `ask` is given."""

    name: str
    cells: tuple[str, ...]
    ask: Ask | None = None


@dataclass(frozen=True, slots=True)
class Listing:
    """Days, hours or years that a figure was made from."""

    caption: str
    columns: tuple[str, ...]
    """Of the names first, then of the cells."""
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A figure that the year told, with its derivation; the last of `steps` ends at `value`."""

    ask: Ask
    title: str
    value: float
    unit: str
    says: tuple[str, ...]
    steps: tuple[Step, ...] = ()
    lists: tuple[Listing, ...] = ()
    also: tuple[tuple[str, Ask], ...] = field(default=())
    """What else is near, in words."""


def computed(symbol: str, value: float, unit: str, by: str = "", ask: Ask | None = None) -> Input:
    """An input that this program worked out: from what, or what to ask."""
    return Input(symbol, value, unit, Origin("computed", by=by), str(ask) if ask else "")


def given(symbol: str, figure: Figure, address: str = "") -> Input:
    """A figure of the file or of a shelf page."""
    return Input(symbol, figure.value, figure.unit, figure.origin, address or figure.address)


def held(symbol: str, step: Step) -> Input:
    """What an earlier step came to."""
    return Input(symbol, step.value, step.unit, Origin("computed"), "", step)


def worked(symbol: str, formula: str, value: float, unit: str, inputs: Sequence[Input], note: str = "") -> Step:  # fmt: skip
    """A step whose value was worked out by the year itself; the formula comes to it by hand."""
    return Step(symbol, formula, value, unit, tuple(inputs), "", note)


def summed(symbol: str, unit: str, terms: Sequence[Input], note: str = "") -> Step:
    """The sum of some terms, in their order; of many, by sums of at most MOST_TERMS."""
    if len(terms) > MOST_TERMS:
        parts = [terms[k : k + MOST_TERMS] for k in range(0, len(terms), MOST_TERMS)]
        some = [summed(f"{symbol}{n}", unit, part) for n, part in enumerate(parts, 1)]
        return summed(symbol, unit, [held(s.symbol, s) for s in some], note)
    value = 0.0
    for t in terms:
        value += t.value
    return Step(symbol, " + ".join(t.symbol for t in terms) or "0", value, unit, tuple(terms), "", note)
