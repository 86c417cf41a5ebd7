"""Resistance of conductors, from both sides: the least for the greatest fault, the most for drop and the least fault."""

from functools import lru_cache
from typing import Literal

from ohmwright.standards.constants import (
    CCA_OVER_COPPER_ratio,
    CLASS_5_OVER_SOLID_ratio,
    COPPER_COEFFICIENT_per_K,
    COPPER_RESISTIVITY_ohm_mm2_per_m,
    STRAND_LAY_ratio,
    TABLE_8_COEFFICIENT_per_K,
)
from ohmwright.standards.published import table
from ohmwright.working import formula
from ohmwright.working.units import convert


@formula(
    f"{COPPER_RESISTIVITY_ohm_mm2_per_m} / A * (1 + {COPPER_COEFFICIENT_per_K} * (T - 20))",
    symbol="R'", unit="ohm/m", rises=("conductor_degC",), falls=("area_mm2",), area_mm2="A", conductor_degC="T",
)  # fmt: skip
def copper_ohm_per_m(area_mm2: float, conductor_degC: float) -> float:
    """Resistance of one metre of solid annealed copper.

        R'  ohm/m  resistance of one metre          returned
        A   mm2    area of metal, above 0           area_mm2
        T   degC   temperature of the metal         conductor_degC

    Good from -40 to 120 degC.  Cable has 2 % (AWG strand) to 16 % (class 5) more: this is the low bound, for
    the greatest fault current.

    Source: IEC 60028:1925, standard annealed copper.

    >>> round(1000 * copper_ohm_per_m(10.0, 20.0), 4)
    1.7241
    """
    return (
        COPPER_RESISTIVITY_ohm_mm2_per_m / area_mm2 * (1 + COPPER_COEFFICIENT_per_K * (conductor_degC - 20))
    )


@formula(
    f"R20 * (1 + {COPPER_COEFFICIENT_per_K} * (T - 20))",
    symbol="R'", unit="ohm/m", rises=("at_20_ohm_per_m", "conductor_degC"), at_20_ohm_per_m="R20", conductor_degC="T",
)  # fmt: skip
def warmed_from_20_ohm_per_m(at_20_ohm_per_m: float, conductor_degC: float) -> float:
    """Resistance of one metre at T from a printed 20 degC value, such as the class 5 maximum of IEC 60228.

        R'   ohm/m  returned
        R20  ohm/m  printed at 20 degC              at_20_ohm_per_m
        T    degC   temperature of the metal        conductor_degC

    Source: IEC 60028:1925 for the coefficient.

    >>> round(1000 * warmed_from_20_ohm_per_m(0.00191, 75.0), 2)
    2.32
    """
    return at_20_ohm_per_m * (1 + COPPER_COEFFICIENT_per_K * (conductor_degC - 20))


@formula(
    f"R75 * (1 + {TABLE_8_COEFFICIENT_per_K} * (T - 75))",
    symbol="R'", unit="ohm/m", rises=("at_75_ohm_per_m", "conductor_degC"), at_75_ohm_per_m="R75", conductor_degC="T",
)  # fmt: skip
def cooled_from_75_ohm_per_m(at_75_ohm_per_m: float, conductor_degC: float) -> float:
    """Resistance of one metre at T from a value printed at 75 degC, such as NFPA 70 Chapter 9 Table 8.

        R'   ohm/m  returned
        R75  ohm/m  printed at 75 degC              at_75_ohm_per_m
        T    degC   temperature of the metal        conductor_degC

    Source: NFPA 70 (2023), Chapter 9, Table 8, note 2.
    """
    return at_75_ohm_per_m * (1 + TABLE_8_COEFFICIENT_per_K * (conductor_degC - 75))


@lru_cache(maxsize=256)
def printed_ohm_per_m(size: str, system: str, tinned: bool) -> tuple[float, float] | None:
    """The printed resistance of a size and the temperature it is printed for; None when no page has it.

    AWG is Table 8 (75 degC, stranded), mm2 the maximum of IEC 60228 class 5 (20 degC).

    >>> round(1000 * printed_ohm_per_m("4/0", "AWG", False)[0], 4)
    0.1995
    """
    if system == "AWG":
        value = table("nec-ch9-t8").value(size, "coated" if tinned else "uncoated")
        return None if value is None else (convert(value, "ohm/kft", "ohm/m"), 75.0)
    if system == "mm2":
        value = table("iec60228-class5").value(f"{float(size):g}", "tinned" if tinned else "plain")
        return None if value is None else (value / 1000, 20.0)
    return None


def cable_ohm_per_m(
    area_mm2: float,
    size: str,
    system: str,
    conductor_degC: float,
    bound: Literal["low", "high"],
    material: str = "copper",
) -> float:
    """Resistance of one metre of cable at `conductor_degC`, from the side that is asked for.

    `low` is solid copper of that area without lay: for the greatest fault.  `high` is the printed table where
    one has the size (class 5 maximum, Table 8), else solid copper with the greatest factor found in those
    tables: for drop, sag and the least fault.  Copper-clad aluminium takes 1.6 times copper on the high side
    (common practice, no source) and plain copper on the low side.
    """
    if bound == "low":
        return copper_ohm_per_m(area_mm2, conductor_degC)
    factor = CCA_OVER_COPPER_ratio if material == "cca" else 1.0
    printed = printed_ohm_per_m(size, system, material == "tinned") if size else None
    if printed is not None:
        value, at_degC = printed
        warmed = (
            warmed_from_20_ohm_per_m(value, conductor_degC)
            if at_degC == 20.0
            else cooled_from_75_ohm_per_m(value, conductor_degC)
        )
        return factor * warmed
    spread = CLASS_5_OVER_SOLID_ratio if system in ("mm2", "") else STRAND_LAY_ratio
    return factor * spread * copper_ohm_per_m(area_mm2, conductor_degC)
