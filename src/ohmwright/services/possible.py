"""Which values a figure of a rig may have at all: a turning point outside them is none."""

import math
from collections.abc import Iterable
from functools import lru_cache

from ohmwright.rig.model import Rig
from ohmwright.shelf.load import Shelf
from ohmwright.working import known

#: Air on earth, degC: the records of the World Meteorological Organization, from memory.
AIR_degC = (-89.2, 56.7)
#: A closed bay in the sun, and the conditions that ratings state, degC. Common practice, no source.
BAY_degC, RATED_degC = (-89.2, 95.0), (-90.0, 200.0)
#: Temperature coefficients of crystalline modules on any page, %/K: voltage and power. Common practice, no source.
COEFFICIENT_percent_per_K = (-0.5, -0.1)
#: Figures that are whole numbers.
WHOLE = frozenset({"feet", "cells", "cell_count", "count", "studs", "strings", "bypass_diodes"})
#: Figures by which parts are sold in steps.
SOLD_BY = frozenset({"rated", "area"})


def turning_value(address: str, unit: str, now: float, to: float, rig: Rig | None) -> float | None:
    """A turning point as a value that the figure can have; None where it cannot have one.

    A count turns at the next whole number.  A rating lies between the smallest and the largest of its kind on the shelf.

    >>> turning_value("W1.length", "m", 2.0, -0.3, None), turning_value("MT1.feet", "1", 4.0, 3.48, None)
    (None, 3.0)
    """
    if not math.isfinite(to):
        return None
    name = address.replace(" ", ".").rpartition(".")[2]
    if name in WHOLE:
        to = math.ceil(to - 1e-9) if to > now else math.floor(to + 1e-9)
        to = float(to)
    low, high = _bounds(name, unit, now)
    if rig is not None:
        least, most = _sold(rig, address)
        low, high = max(low, min(least, now)), min(high, max(most, now))
    return to if low <= to <= high else None


def _bounds(name: str, unit: str, now: float) -> tuple[float, float]:
    """Between which values a quantity of this unit lies, whatever it belongs to."""
    if unit == "degC":
        return (
            AIR_degC if name == "coldest" else BAY_degC if name in ("hottest", "kept-above") else RATED_degC
        )
    if unit == "%/K":
        return COEFFICIENT_percent_per_K if now < 0 else (0.0, 1.0)
    if now < 0:
        return -math.inf, math.inf
    # Nothing that is counted, measured in metres or bought in square millimetres is less than nothing.
    least = 0.0 if now == 0 else math.ulp(0.0)
    return least, 1.0 if unit == "1" and now <= 1 else math.inf


def _sold(rig: Rig, address: str) -> tuple[float, float]:
    """Between which values the shelf has a part of this kind; no bounds where it has not two of them."""
    part_id, _, figure = address.rpartition(".")
    part = rig.parts.get(part_id)
    if part is None or figure not in SOLD_BY or part.words.get("own") == "no":
        return -math.inf, math.inf
    return _range(part.kind.name, figure)


@lru_cache(maxsize=256)
def _range(kind: str, figure: str) -> tuple[float, float]:
    values = sorted(_values(kind, figure))
    return (values[0], values[-1]) if len(values) > 1 else (-math.inf, math.inf)


def _values(kind: str, figure: str) -> Iterable[float]:
    for record in Shelf().of_kind(kind):
        if (given := record.figures.get(figure)) is not None and (found := known(given)) is not None:
            yield found.value
