"""What a paper says, before it is set in type: a frozen tree of blocks that holds exactly what is printed.

The hash of this tree is the paper's fingerprint.  A figure that is not in it is not on the paper.
"""

import re
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, Literal, TypeAlias

from ohmwright.working import grouped

_SIGN = {"mm2": "mm²", "degC": "°C"}
_LONG = re.compile(r"[^\s\u200b-]{30,}")
_SPACES = str.maketrans("\n\r\t", "   ")
#: A sign before a number, where no name, number or dash goes before it.
MINUS = re.compile(r"(?<![^\s(=:/·,])-(?=\d)")
_SIGNS = re.compile(r"(?<![\w-])(?:mm2|degC)(?![\w-])")

Cell: TypeAlias = str | int | float | Decimal | None
"""Text, a number, or None for what is not known."""

Style = Literal["sentence", "note", "lead", "small", "strong"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. `digits` -1 leaves numbers as they are; `part` is its share of the width, 0 as wide as its text."""

    title: str
    digits: int = -1
    part: int = 0
    unit: str = ""
    summed: bool = False
    unknown: str = "?"
    """What stands where a cell is None."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under titles. A row whose first cell alone is filled and whose length is one is a heading inside the table."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    title: str = ""
    size: Literal["normal", "small"] = "normal"
    total: str = ""
    """The word before the sums of the columns that are summed."""
    ruled: bool = False
    """True where hands write into it: every row has a line and room."""
    pairs: bool = False
    """True where every two rows are one thing: cells that are empty in the second row stand for both, and no page parts them."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 begins a section of the paper."""

    text: str
    level: int = 1


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    text: str
    style: Style = "sentence"


@dataclass(frozen=True, slots=True)
class Points:
    """A list: with dots, numbered in working order, or with boxes to tick."""

    items: tuple[str, ...]
    how: Literal["dots", "numbers", "boxes"] = "dots"
    large: bool = False


@dataclass(frozen=True, slots=True)
class Cautions:
    """What can hurt, in a box of its own."""

    items: tuple[str, ...]
    title: str


@dataclass(frozen=True, slots=True)
class Worked:
    """A line of a derivation: formula, numbers put in, value, and where each number is from."""

    symbol: str
    formula: str
    substituted: str
    value: str
    origins: str


@dataclass(frozen=True, slots=True)
class Said:
    """A finding: its tag, subject, sentences, and derivation."""

    word: str
    number: str
    subject: str
    message: str
    lines: tuple[tuple[str, str], ...] = ()
    worked: tuple[Worked, ...] = ()
    extra: str = ""
    sort: str = ""
    """Severity of what fails, else the verdict: it rules how the tag looks, in every language."""


@dataclass(frozen=True, slots=True)
class Fields:
    """Things to fill in by hand: what, and what is known already ("" leaves the line empty)."""

    items: tuple[tuple[str, str], ...]
    columns: int = 2


@dataclass(frozen=True, slots=True)
class Label:
    """A label at its true size."""

    lines: tuple[str, ...]
    width_mm: float
    height_mm: float
    letter_mm: float
    warning: bool = False


@dataclass(frozen=True, slots=True)
class Labels:
    """Labels side by side, to scale."""

    items: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Code:
    """A square code for a telephone, its quiet zone in `size_mm`, with what it says beside it."""

    text: str
    caption: str
    size_mm: float
    corner: bool = False
    """True where it stands in the upper corner, beside the title."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawn chart, one to one, under it its caption; `said` tells it to who cannot see."""

    svg: str
    said: str
    caption: str
    width_mm: float


@dataclass(frozen=True, slots=True)
class Bids:
    """A bid tabulation: questions down, options across. An answer is underlined where it differs from the first option's."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[tuple[str, bool], ...]], ...]


@dataclass(frozen=True, slots=True)
class Break:
    """What follows begins on a new page."""


Block: TypeAlias = (
    Heading | Text | Table | Points | Cautions | Said | Fields | Labels | Bids | Code | Chart | Break
)


@dataclass(frozen=True, slots=True)
class Head:
    """What the title block of every paper says. `dated` and `sha256` are left out of the fingerprint."""

    job: str
    title: str
    paper: str
    revision: str
    stage: str
    rules: str
    dated: str
    sha256: str
    program: str
    deference: str
    names: tuple[str, ...] = ()
    """The titles of the cells, in the paper's language."""


@dataclass(frozen=True, slots=True)
class Doc:
    """A paper of text and tables."""

    head: Head
    blocks: tuple[Block, ...]
    size: Literal["a4", "us-letter"] = "a4"
    lying: bool = False
    language: str = "en"
    card: bool = False
    """A card hangs on a wall: one side, its steps as large as the side allows."""


def tree(value: Any) -> Any:
    """Plain lists and maps for JSON: every block says what it `is`; money and numbers stay themselves as text where exact."""
    kind = type(value)
    if kind is str:
        return lettered(value)
    if kind is tuple or kind is list:
        return [tree(v) for v in value]
    if value is None or kind is int or kind is float or kind is bool:
        return value
    if kind is Decimal:
        return str(value)
    return {"is": kind.__name__} | {name: tree(getattr(value, name)) for name in _names(kind)}


_NAMES: dict[type, tuple[str, ...]] = {}


def _names(kind: type[Any]) -> tuple[str, ...]:
    """Names of a block's fields, looked up once."""
    known = _NAMES.get(kind)
    if known is None:
        known = _NAMES[kind] = tuple(f.name for f in fields(kind))
    return known


def lettered(text: str) -> str:
    """Text as it is printed: without characters that have no ink but move others, units by their signs.

    A word that is longer than a column may break where a space of no width stands.

    >>> lettered("a\u202eb"), lettered("70 mm2 at -25 degC, lug-70mm2-m8")
    ('ab', '70 mm² at −25 °C, lug-70mm2-m8')
    """
    told = text
    if not text.isprintable():
        spaced = text.translate(_SPACES)
        told = "".join(c for c in spaced if c.isprintable() or c in "\u00a0\u202f")
    if len(told) >= 30:
        told = _LONG.sub(lambda m: "\u200b".join(m[0][i : i + 12] for i in range(0, len(m[0]), 12)), told)
    if "-" in told:
        told = MINUS.sub("−", told)
    return _SIGNS.sub(lambda m: _SIGN[m[0]], told) if "mm2" in told or "degC" in told else told


def shown(cell: Cell, column: Column) -> str:
    """A cell as it is printed."""
    if cell is None:
        return column.unknown
    if isinstance(cell, str):
        return lettered(cell)
    if column.digits < 0:
        return str(cell) if isinstance(cell, int | Decimal) else f"{cell:.4g}"
    return grouped(cell, column.digits)


def total_of(table: Table, index: int) -> Cell:
    """The sum of a column; None as soon as one of its cells is not known."""
    total: Decimal | float = Decimal(0)
    for row in table.rows:
        if len(row) != len(table.columns):
            continue
        cell = row[index]
        if cell is None:
            return None
        if isinstance(cell, Decimal) and isinstance(total, Decimal):
            total += cell
        elif isinstance(cell, int | float | Decimal):
            total = float(total) + float(cell)
    return total
