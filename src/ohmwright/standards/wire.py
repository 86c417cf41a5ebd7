"""Sizes of conductors: AWG by its geometry, SAE gauges by their table, and which row of a table a size may use."""

import math
import re
from functools import lru_cache

from ohmwright.standards.constants import AWG_36_DIAMETER_mm, AWG_BASE_ratio, AWG_STEPS_count
from ohmwright.standards.published import Table, table

MM2_PER_KCMIL = math.pi / 4 * 25.4**2 / 1000

#: Sizes from thin to thick, as tables print them.
AWG_SIZES = (
    *(str(n) for n in range(24, 0, -1)),
    "1/0", "2/0", "3/0", "4/0",
)  # fmt: skip

_KCMIL = re.compile(r"^\d{3}$")


def awg_number(size: str) -> int | None:
    """The number of a size in the series: 4/0 is -3.

    >>> awg_number("4/0"), awg_number("10"), awg_number("250")
    (-3, 10, None)
    """
    if size.endswith("/0") and size[:-2].isdigit():
        return 1 - int(size[:-2])
    return int(size) if size.isdigit() and int(size) <= 40 else None


@lru_cache(maxsize=128)
def awg_area_mm2(size: str) -> float | None:
    """Area of a solid conductor of that size after ASTM B258; three-digit sizes are kcmil. None: no such size.

    >>> round(awg_area_mm2("10"), 2), round(awg_area_mm2("4/0"), 1)
    (5.26, 107.2)
    """
    if _KCMIL.match(size):
        return int(size) * MM2_PER_KCMIL
    n = awg_number(size)
    if n is None:
        return None
    diameter_mm = AWG_36_DIAMETER_mm * math.pow(AWG_BASE_ratio, (36 - n) / AWG_STEPS_count)
    return math.pi / 4 * diameter_mm**2


def sae_area_mm2(size: str) -> float | None:
    """Smallest area of cable sold by an SAE gauge (J1127, J1128); 5 to 12 % below the AWG of that number.

    >>> round(sae_area_mm2("10"), 2)
    4.73
    """
    kcmil = table("sae-area").value(size, "area")
    return None if kcmil is None else kcmil * MM2_PER_KCMIL


def wire_area_mm2(size: str, system: str) -> float | None:
    """Area of metal of a size as written, in its system: "AWG", "SAE" or "mm2". None: no such size."""
    if system == "AWG":
        return awg_area_mm2(size)
    if system == "SAE":
        return sae_area_mm2(size)
    if system == "mm2":
        try:
            return float(size)
        except ValueError:
            return None
    return None


def awg_row(area_mm2: float, rows: Table) -> str | None:
    """The largest size of the table whose metal this conductor has at least: SAE 10 (4.73 mm2) takes row 12.

    >>> awg_row(4.73, table("cfr33-183.425-t5")), awg_row(35.0, table("cfr33-183.425-t5"))
    ('12', '2')
    """
    best: tuple[float, str] | None = None
    for row in rows.rows:
        area = awg_area_mm2(row)
        if area is not None and area <= area_mm2 * (1 + 1e-3) and (best is None or area > best[0]):
            best = (area, row)
    return best[1] if best else None
