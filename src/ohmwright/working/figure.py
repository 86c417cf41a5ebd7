"""A figure: value, bounds, unit, origin and the condition it holds under; and the four kinds of not-knowing."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from ohmwright.working import units
from ohmwright.working.quickly import quickly_made

OriginKind = Literal[
    "measured",  # with an instrument, on this rig
    "source",  # a document of the file's `sources:` table, or of a shelf record
    "said",  # by the owner
    "shop",  # shop practice
    "class",  # typical of the class: for energy, never for a danger
    "invented",  # a made-up data sheet of a demo part
    "typed",  # written in the rig file without an origin
    "standard",  # a published figure
    "computed",  # by this program
]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a figure comes from. `tag` is the short word of the file's `sources:` table."""

    kind: OriginKind
    tag: str = ""
    page: str = ""
    dated: str = ""
    by: str = ""

    @property
    def verified(self) -> bool:
        """Measured, computed, published, or read from a named page."""
        return self.kind in ("measured", "computed", "standard") or (
            self.kind == "source" and bool(self.page)
        )

    def __str__(self) -> str:
        words = {"said": "said by the owner", "shop": "shop practice", "class": "class default"}
        first = words.get(self.kind, self.kind)
        return " ".join(w for w in (first, self.tag, self.page, self.dated, self.by) if w)


TYPED = Origin("typed")
COMPUTED = Origin("computed")
CLASS = Origin("class")
INVENTED = Origin("invented")


@quickly_made
@dataclass(frozen=True, slots=True)
class Figure:
    """A known value in the base unit of its dimension, between `low` and `high`."""

    value: float
    unit: str
    low: float
    high: float
    origin: Origin = TYPED
    condition: str = ""
    seconds: float | None = None
    address: str = ""
    text: str = ""

    def to(self, symbol: str) -> float:
        """The value in another unit of the same dimension."""
        return units.convert(self.value, self.unit, symbol)

    def condition_value(self, symbol: str) -> float | None:
        """The number of the condition in `symbol`, if the condition is of that dimension: `@ 125 V DC` -> 125."""
        for piece in self.condition.split(","):
            words = piece.split()
            if len(words) >= 2 and (u := units.unit(words[1])) is not None:
                try:
                    return units.convert(float(words[0]), u.symbol, symbol)
                except ValueError:
                    continue
        return None

    def at(self, address: str) -> "Figure":
        """The same figure, knowing its address."""
        return Figure(
            self.value,
            self.unit,
            self.low,
            self.high,
            self.origin,
            self.condition,
            self.seconds,
            address,
            self.text,
        )


@dataclass(frozen=True, slots=True)
class Unknown:
    """Asked and not had: it stays on the list of open questions."""

    asked: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class NotThere:
    """`none`: the thing does not exist."""

    address: str = ""


@quickly_made
@dataclass(frozen=True, slots=True)
class Absent:
    """Never asked. A class default may stand in for energy, never for a danger."""

    address: str = ""


Given: TypeAlias = Figure | Unknown | NotThere | Absent


def figure(value: float, unit: str, origin: Origin = TYPED, *, address: str = "") -> Figure:
    """A figure without bounds of its own, from a value in `unit` (any unit of the table, or "1")."""
    base = units.base_of(unit)
    v = value if unit == base or not unit else units.convert(value, unit, base)
    return Figure(v, base, v, v, origin, "", None, address)


def known(given: Given) -> Figure | None:
    """The figure, or None for every kind of not-knowing."""
    return given if isinstance(given, Figure) else None
