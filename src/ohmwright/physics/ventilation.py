"""Ventilation of lead-acid batteries, and how far a spark has to stay away."""

import math

from ohmwright.standards.constants import GAS_FACTOR_ratio, GAS_OPENING_factor, SPARK_DISTANCE_factor
from ohmwright.working import formula


@formula(
    f"{GAS_FACTOR_ratio:g} * n * Ig * C / 1000", symbol="Q", unit="m3/h", rises=("cells_count", "gas_mAh_per_Ah", "capacity_Ah"),
    cells_count="n", gas_mAh_per_Ah="Ig", capacity_Ah="C",
)  # fmt: skip
def air_m3_per_h(cells_count: float, gas_mAh_per_Ah: float, capacity_Ah: float) -> float:
    """Air that lead-acid batteries need while charged by a voltage-limited charger.

        Q   m3/h   returned
        n   1      cells in series, every string counted cells_count
        Ig  mA/Ah  20 vented boost, 5 float; 8 and 1 sealed gas_mAh_per_Ah
        C   Ah     ten-hour capacity                capacity_Ah

    Not for chargers that are not voltage-limited: there the charger's rated current rules.

    Source: IEC 62485-2 (from memory).

    >>> round(air_m3_per_h(6, 20, 200), 2)
    1.2
    """
    return GAS_FACTOR_ratio * cells_count * gas_mAh_per_Ah * capacity_Ah / 1000


@formula(
    f"{GAS_OPENING_factor:g} * Q", symbol="A_vent", unit="cm2", rises=("air_m3_per_h",), air_m3_per_h="Q"
)
def opening_cm2(air_m3_per_h: float) -> float:
    """Free opening of each of the two vents, low and high.

        A_vent  cm2   returned
        Q       m3/h  air needed                    air_m3_per_h

    Source: IEC 62485-2 (from memory).

    >>> round(opening_cm2(5.76), 2)
    161.28
    """
    return GAS_OPENING_factor * air_m3_per_h


@formula(
    f"{SPARK_DISTANCE_factor:g} * cbrt(Ig) * cbrt(C)",
    symbol="d",
    unit="mm",
    rises=("gas_mAh_per_Ah", "capacity_Ah"),
    gas_mAh_per_Ah="Ig",
    capacity_Ah="C",
)
def spark_distance_mm(gas_mAh_per_Ah: float, capacity_Ah: float) -> float:
    """Distance of sparking parts from the vent of a lead-acid cell.

        d   mm     returned
        Ig  mA/Ah  gas current                      gas_mAh_per_Ah
        C   Ah     capacity                         capacity_Ah

    Source: IEC 62485-2 (formula from memory, not opened).

    >>> round(spark_distance_mm(20, 480)), round(spark_distance_mm(5, 480))
    (612, 386)
    """
    return SPARK_DISTANCE_factor * math.cbrt(gas_mAh_per_Ah) * math.cbrt(capacity_Ah)


@formula(
    "0.3600 * Cd * A * sqrt(2 * 9.81 * h * dT / (T + 273.15))",
    symbol="q",
    unit="m3/h",
    rises=("discharge_factor", "area_cm2", "height_m", "rise_K"),
    discharge_factor="Cd",
    area_cm2="A",
    height_m="h",
    rise_K="dT",
    air_degC="T",
)
def draught_m3_per_h(
    discharge_factor: float, area_cm2: float, height_m: float, rise_K: float, air_degC: float
) -> float:
    """Air that warm air draws through two equal vents, one low and one high.

        q   m3/h  returned
        Cd  1     discharge of both vents in series, 0.6/sqrt(2) discharge_factor
        A   cm2   free area of one                  area_cm2
        h   m     height between them               height_m
        dT  K     warmer than outside               rise_K
        T   degC  air outside                       air_degC

    Source: stack flow through two openings, ASHRAE Fundamentals, ventilation (from memory).
    """
    return (
        0.3600 * discharge_factor * area_cm2 * math.sqrt(2 * 9.81 * height_m * rise_K / (air_degC + 273.15))
    )


@formula("sqrt(2) * A1 * A2 / sqrt(A1 ** 2 + A2 ** 2)", symbol="A_e", unit="cm2", rises=("low_cm2", "high_cm2"), low_cm2="A1", high_cm2="A2")  # fmt: skip
def equal_vents_cm2(low_cm2: float, high_cm2: float) -> float:
    """Free area of each of two equal vents that let through what two unlike ones do, one behind the other.

        A_e  cm2  returned
        A1   cm2  free area of the lower one   low_cm2
        A2   cm2  free area of the upper one   high_cm2

    The flow through openings in series goes by 1/A^2 = 1/A1^2 + 1/A2^2; two equal ones of A_e have 2/A_e^2. Both above 0.

    Source: openings in series, ASHRAE Fundamentals, ventilation; CIBSE AM10 (both from memory).

    >>> round(equal_vents_cm2(100, 100), 6), round(equal_vents_cm2(30, 40), 2)
    (100.0, 33.94)
    """
    return math.sqrt(2) * low_cm2 * high_cm2 / math.sqrt(low_cm2**2 + high_cm2**2)


@formula(
    "0.3600 * Cd / 3 * A * sqrt(9.81 * h * dT / (T + 273.15))",
    symbol="q",
    unit="m3/h",
    rises=("discharge_factor", "area_cm2", "height_m", "rise_K"),
    discharge_factor="Cd",
    area_cm2="A",
    height_m="h",
    rise_K="dT",
    air_degC="T",
)
def through_one_m3_per_h(
    discharge_factor: float, area_cm2: float, height_m: float, rise_K: float, air_degC: float
) -> float:
    """Air that goes in below and out above through one single vent.

        q   m3/h  returned
        Cd  1     discharge of one opening, 0.6     discharge_factor
        A   cm2   its free area                     area_cm2
        h   m     its own height                    height_m
        dT  K     warmer than outside               rise_K
        T   degC  air outside                       air_degC

    Of a plain upright opening; one that lies flat, or a duct, lets less through.

    Source: single-sided ventilation by warmth alone, CIBSE AM10 (from memory).

    >>> round(through_one_m3_per_h(0.6, 240, 0.155, 15, 30), 2)
    4.74
    """
    return (
        0.3600 * discharge_factor / 3 * area_cm2 * math.sqrt(9.81 * height_m * rise_K / (air_degC + 273.15))
    )
