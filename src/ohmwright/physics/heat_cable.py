"""How warm a cable gets in still air: steady, and after a time.

The model comes out above the published free-air currents for many sizes, so a temperature that is shown is reckoned with the
current over `MODEL_share`: the cable then never looks better than the table.  It is for time constants, ripple and
loads that come and go; what a conductor may carry for ever is the table's word.
"""

import math

from ohmwright.standards.constants import (
    COPPER_ZERO_RESISTANCE_K,
    COPPER_COEFFICIENT_per_K,
    COPPER_WITHSTAND_factor,
)
from ohmwright.working import formula

#: Share of its own ampacity that the model may show: against NFPA 70 Table 310.17 it stood -1 to +16 % off.  Computed.
MODEL_share = 0.86
STEFAN_W_per_m2K4 = 5.670374e-8
#: Emissivity of a plastic jacket. Common practice, no source.
JACKET_emissivity_ratio = 0.9
#: Heat of copper and of insulation by volume, J/(cm3 K). IEC 60364-5-54 Annex A for copper; the other common practice.
COPPER_J_per_cm3K, JACKET_J_per_cm3K = 3.45, 2.0
#: Heat conduction of insulation, W/(m K). IEC 60287-2-1 class of values, from memory.
JACKET_W_per_mK = 0.25
#: What a strand takes over solid copper in diameter. Common practice, no source.
STRAND_ratio = 1.15
#: Hotter than this the model has nothing to say.
HOTTEST_degC = 400.0


@formula(
    "(0.60 + 0.387 * Ra ** (1/6) / (1 + (0.559 / Pr) ** (9/16)) ** (8/27)) ** 2",
    symbol="Nu", unit="1", rises=("rayleigh_count",), rayleigh_count="Ra", prandtl_ratio="Pr",
)  # fmt: skip
def cylinder_nusselt_ratio(rayleigh_count: float, prandtl_ratio: float) -> float:
    """Free convection around a horizontal cylinder.

        Nu  1  returned
        Ra  1  Rayleigh number on the diameter, up to 1e12 rayleigh_count
        Pr  1  Prandtl number of air, 0.71          prandtl_ratio

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049, equation 10 (from memory).

    >>> round(cylinder_nusselt_ratio(0.0, 0.71), 2)
    0.36
    """
    return float(0.60 + 0.387 * rayleigh_count ** (1 / 6) / (1 + (0.559 / prandtl_ratio) ** (9 / 16)) ** (8 / 27)) ** 2  # fmt: skip


def given_off_W(outer_mm: float, surface_degC: float, air_degC: float) -> float:
    """Watts that a metre of cable gives to still air by convection and radiation; nothing when it is not warmer.

    Air by linear fits near 300 to 400 K (conductivity, viscosity): within 2 %.  Source: handbook values, from memory.
    """
    warmer_K = surface_degC - air_degC
    if warmer_K <= 0:
        return 0.0
    film_K = 273.15 + 0.5 * (surface_degC + air_degC)
    across_m = outer_mm / 1000
    conductivity = 0.0263 + 7.4e-5 * (film_K - 300)
    viscosity = 1.589e-5 + 1.01e-7 * (film_K - 300)
    rayleigh = 9.80665 * warmer_K * across_m**3 / (film_K * viscosity * viscosity) * 0.71
    convected = cylinder_nusselt_ratio(rayleigh, 0.71) * conductivity / across_m * warmer_K
    radiated = (
        JACKET_emissivity_ratio
        * STEFAN_W_per_m2K4
        * ((surface_degC + 273.15) ** 4 - (air_degC + 273.15) ** 4)
    )
    return math.pi * across_m * (convected + radiated)


def copper_mm(area_mm2: float) -> float:
    """Diameter of a stranded conductor."""
    return STRAND_ratio * math.sqrt(4 * area_mm2 / math.pi)


def jacket_mm(area_mm2: float) -> float:
    """Thickness of insulation of a single core by its size: 0.8 mm at 2.5 mm2, 1.2 at 25, 1.6 at 70, 2 at 120.

    Class of values of single-core cable (from memory).
    """
    return 0.6 + 0.12 * math.sqrt(area_mm2)


def conductor_degC(current_A: float, at_20_ohm_per_m: float, area_mm2: float, air_degC: float) -> float:
    """Temperature of the metal that carries a current for ever in free air; HOTTEST_degC when it finds no rest below it.

    I^2 R(T) = pi D (h (Ts - Ta) + eps sigma (Ts^4 - Ta^4)), with the fall through the insulation T - Ts = P' ln(D/d) / (2 pi k).
    """
    inner, outer = copper_mm(area_mm2), copper_mm(area_mm2) + 2 * jacket_mm(area_mm2)
    through = math.log(outer / inner) / (2 * math.pi * JACKET_W_per_mK)
    low, high = air_degC, HOTTEST_degC
    for _ in range(60):
        middle = 0.5 * (low + high)
        heat = current_A * current_A * at_20_ohm_per_m * (1 + COPPER_COEFFICIENT_per_K * (middle - 20))
        if given_off_W(outer, middle - heat * through, air_degC) > heat:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def warming_s(area_mm2: float, air_degC: float, at_degC: float) -> float:
    """Time in which a cable near `at_degC` goes 63 % of its way: heat of its metal and insulation over its loss per kelvin.

    The growth of resistance with temperature stretches it; it is not counted.
    """
    inner, outer = copper_mm(area_mm2), copper_mm(area_mm2) + 2 * jacket_mm(area_mm2)
    jacket_mm2 = math.pi / 4 * (outer * outer - inner * inner)
    capacity = COPPER_J_per_cm3K * area_mm2 + JACKET_J_per_cm3K * jacket_mm2
    through = math.log(outer / inner) / (2 * math.pi * JACKET_W_per_mK)
    surface = max(at_degC, air_degC + 1.0)
    loss = given_off_W(outer, surface, air_degC) / (surface - air_degC)
    return capacity * (1 / loss + through)


@formula(
    "T_end + (T - T_end) * exp(-t / tau)",
    symbol="T_after", unit="degC", rises=("end_degC", "start_degC"),
    start_degC="T", end_degC="T_end", time_s="t", constant_s="tau",
)  # fmt: skip
def after_degC(start_degC: float, end_degC: float, time_s: float, constant_s: float) -> float:
    """Temperature some time after a current changed.

    T_after  degC  returned
    T        degC  before                       start_degC
    T_end    degC  where it would end           end_degC
    t        s     since                        time_s
    tau      s     time constant                constant_s
    """
    return end_degC + (start_degC - end_degC) * math.exp(-time_s / constant_s)


@formula(
    f"({COPPER_ZERO_RESISTANCE_K} + T) * exp((I / ({COPPER_WITHSTAND_factor:g} * S)) ** 2 * t) - {COPPER_ZERO_RESISTANCE_K}",
    symbol="T_after", unit="degC", rises=("start_degC", "current_A", "time_s"), falls=("area_mm2",),
    start_degC="T", current_A="I", time_s="t", area_mm2="S",
)  # fmt: skip
def unshed_degC(start_degC: float, current_A: float, time_s: float, area_mm2: float) -> float:
    """Temperature of copper after a current that lasts seconds, no heat given away: never too low.

        T_after  degC  returned
        T        degC  before                       start_degC
        I        A     current                      current_A
        t        s     how long                     time_s
        S        mm2   area                         area_mm2

    Source: IEC 60364-5-54 Annex A (from memory), solved for the temperature.

    >>> round(unshed_degC(90, 143 * 10, 1, 10))
    250
    """
    return (COPPER_ZERO_RESISTANCE_K + start_degC) * math.exp(
        (current_A / (COPPER_WITHSTAND_factor * area_mm2)) ** 2 * time_s
    ) - COPPER_ZERO_RESISTANCE_K


@formula(
    "I * sqrt(1 + r ** 2)", symbol="I_heat", unit="A", rises=("mean_A", "ripple_ratio"), mean_A="I", ripple_ratio="r",
)  # fmt: skip
def rippled_A(mean_A: float, ripple_ratio: float) -> float:
    """Current that heats as much as a direct current with ripple on it.

        I_heat  A  returned
        I       A  mean                                        mean_A
        r       1  rms of the ripple over the mean; 0.71 is all of it ripple_ratio

    Source: definition of the rms value.

    >>> round(rippled_A(100, 0.5), 1)
    111.8
    """
    return mean_A * math.sqrt(1 + ripple_ratio**2)
