"""Figures, origins, the quantity grammar, and worked steps: text <-> float."""

from ohmwright.working.errors import NOWHERE, FileError, OhmwrightError, Position, nearest
from ohmwright.working.figure import (
    CLASS,
    COMPUTED,
    INVENTED,
    TYPED,
    Absent,
    Figure,
    Given,
    NotThere,
    Origin,
    Unknown,
    figure,
    known,
)
from ohmwright.working.packaged import packaged, packaged_names
from ohmwright.working.quantity import (
    QuantityError,
    grouped,
    number,
    parse,
    parse_by_label,
    parse_lengths,
    parse_origin,
    tell,
)
from ohmwright.working.step import (
    FORMULAS,
    Formula,
    Input,
    Step,
    Workable,
    evaluate,
    formula,
    formula_of,
    work,
)
from ohmwright.working.units import DIMENSIONS, UNITS, Unit, base_of, convert, suffix_unit, unit

__all__ = [
    "CLASS", "COMPUTED", "DIMENSIONS", "FORMULAS", "INVENTED", "NOWHERE", "TYPED", "UNITS", "Absent", "Figure", "FileError", "Formula",
    "Given", "Input", "NotThere", "OhmwrightError", "Origin", "Position", "QuantityError", "Step", "Unit", "Unknown", "Workable", "base_of",
    "convert", "evaluate", "figure", "formula", "formula_of", "grouped", "known", "nearest", "number", "packaged", "packaged_names", "parse", "parse_by_label",
    "parse_lengths", "parse_origin", "suffix_unit", "tell", "unit", "work",
]  # fmt: skip
