"""What a conductor may carry, and the current that it has to."""

import math

from ohmwright.working import formula


@formula(
    "P / (eta * U)", symbol="I", unit="A", rises=("power_W",), falls=("efficiency_ratio", "input_V"), power_W="P", efficiency_ratio="eta", input_V="U",
)  # fmt: skip
def inverter_A(power_W: float, efficiency_ratio: float, input_V: float) -> float:
    """Direct current that an inverter or converter draws at its lowest input volts.

        I    A  returned
        P    W  output                              power_W
        eta  1  efficiency at that output           efficiency_ratio
        U    V  lowest input: the set cut-off       input_V

    Source: NFPA 70 (2023) 690.8(A), input of an inverter; the nominal voltage is always too kind.

    >>> round(inverter_A(2500, 0.85, 22), 1)
    133.7
    """
    return power_W / (efficiency_ratio * input_V)


@formula(
    "k * I",
    symbol="I_cont",
    unit="A",
    rises=("continuous_factor", "current_A"),
    continuous_factor="k",
    current_A="I",
)
def continuous_A(continuous_factor: float, current_A: float) -> float:
    """Current that a device and conductor are chosen for when the load runs for hours.

        I_cont  A  returned
        k       1  1.25                             continuous_factor
        I       A  running current                  current_A

    Source: NFPA 70 (2023) 210.19, 215.2 (from memory).
    """
    return continuous_factor * current_A


@formula(
    "sqrt((Tc - Ta) / (Tc - Tr))", symbol="k_T", unit="1", falls=("ambient_degC",),
    insulation_degC="Tc", ambient_degC="Ta", reference_degC="Tr",
)  # fmt: skip
def ambient_factor(insulation_degC: float, ambient_degC: float, reference_degC: float) -> float:
    """Part of its table ampacity that a conductor may carry in another ambient.

        k_T  1     returned
        Tc   degC  temperature class of the insulation insulation_degC
        Ta   degC  ambient, below Tc                ambient_degC
        Tr   degC  ambient of the table, 30         reference_degC

    Source: NFPA 70 (2023) 310.15(B), the equation behind Table 310.15(B)(1).

    >>> round(ambient_factor(75, 40, 30), 2)
    0.88
    """
    return math.sqrt((insulation_degC - ambient_degC) / (insulation_degC - reference_degC))


@formula(
    "I_t * k_T * k_n", symbol="I_z", unit="A", rises=("listed_A", "ambient_ratio", "count_ratio"), listed_A="I_t", ambient_ratio="k_T", count_ratio="k_n",
)  # fmt: skip
def ampacity_A(listed_A: float, ambient_ratio: float, count_ratio: float) -> float:
    """Ampacity of a conductor where it lies.

        I_z  A  returned
        I_t  A  of the table                        listed_A
        k_T  1  ambient or engine-space factor      ambient_ratio
        k_n  1  factor for loaded conductors beside it count_ratio

    Source: NFPA 70 (2023) 310.15; 33 CFR 183.425, 183.435(b).

    >>> ampacity_A(40, 1, 0.8)
    32.0
    """
    return listed_A * ambient_ratio * count_ratio


@formula(
    "f * I_z",
    symbol="I_most",
    unit="A",
    rises=("allowed_factor", "ampacity_A"),
    allowed_factor="f",
    ampacity_A="I_z",
)
def device_ceiling_A(allowed_factor: float, ampacity_A: float) -> float:
    """Largest device that the rule set allows over an ampacity.

        I_most  A  returned
        f       1  1, or 1.5 on boats below 50 V    allowed_factor
        I_z     A  ampacity                         ampacity_A

    Source: 33 CFR 183.455(c).

    >>> device_ceiling_A(1.5, 60)
    90.0
    """
    return allowed_factor * ampacity_A


@formula(
    "I * (1 - d / 100 * max(T - T0, 0))",
    symbol="I_hot",
    unit="A",
    rises=("rated_A",),
    falls=("loss_percent_per_K",),
    rated_A="I",
    loss_percent_per_K="d",
    ambient_degC="T",
    rated_at_degC="T0",
)
def derated_A(rated_A: float, loss_percent_per_K: float, ambient_degC: float, rated_at_degC: float) -> float:
    """Output current of a device in air warmer than it is rated for.

        I_hot  A     returned
        I      A     rated                           rated_A
        d      %/K   loss above the rated temperature loss_percent_per_K
        T      degC  air it stands in                ambient_degC
        T0     degC  temperature of its rating       rated_at_degC

    >>> derated_A(85, 2.5, 45, 40)
    74.375
    """
    return rated_A * (1 - loss_percent_per_K / 100 * max(ambient_degC - rated_at_degC, 0.0))


@formula(
    "P1 + (P2 - P1) * (T - T1) / (T2 - T1)", symbol="P_hot", unit="W", cool_W="P1", hot_W="P2", cool_degC="T1", hot_degC="T2", air_degC="T",
)  # fmt: skip
def between_W(cool_W: float, hot_W: float, cool_degC: float, hot_degC: float, air_degC: float) -> float:
    """Power of a device between two printed temperatures, taken as a straight line.

        P_hot  W     returned
        P1     W     printed at the lower temperature cool_W
        P2     W     printed at the higher temperature hot_W
        T1     degC  lower temperature               cool_degC
        T2     degC  higher temperature              hot_degC
        T      degC  air it stands in                air_degC

    Source: common practice, no source.

    >>> between_W(2400, 1700, 40, 60, 45)
    2225.0
    """
    return cool_W + (hot_W - cool_W) * (air_degC - cool_degC) / (hot_degC - cool_degC)
