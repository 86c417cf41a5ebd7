"""Lead-acid: voltages under current, gassing, capacity and temperature compensation, freezing of the acid.

Copetti, Lorenzo and Chenlo, Prog. Photovolt. 1 (1993) 283-292, a class of cells, not one battery (coefficients read
second-hand).  Its voltages go astray on an empty or a cold cell: `lead_in_range` says where they may be used.
"""

import math

from ohmwright.working import formula

LEAST_CHARGE_ratio, MOST_CHARGE_ratio = 0.30, 0.98
COLDEST_degC, HOTTEST_degC = 10.0, 45.0
#: In parts of the ten-hour current.
MOST_CURRENT_ratio = 1.0


def lead_in_range(soc_ratio: float, ten_hour_ratio: float, cell_degC: float) -> bool:
    """Whether the voltages hold: charge 30 to 98 %, up to the ten-hour current, 10 to 45 degC.

    >>> lead_in_range(0.5, 1.0, 25.0), lead_in_range(0.2, 1.0, 25.0), lead_in_range(0.5, 1.0, 0.0)
    (True, False, False)
    """
    return (
        LEAST_CHARGE_ratio <= soc_ratio <= MOST_CHARGE_ratio
        and 0.0 <= ten_hour_ratio <= MOST_CURRENT_ratio
        and COLDEST_degC <= cell_degC <= HOTTEST_degC
    )


@formula(
    "2.085 - 0.12 * (1 - s) - I / C_10 * (4 / (1 + I**1.3) + 0.27 / s**1.5 + 0.02) * (1 - 0.007 * (T - 25))",
    symbol="U_dis", unit="V", soc_ratio="s", current_A="I", ten_hour_Ah="C_10", cell_degC="T",
)  # fmt: skip
def lead_discharge_V(soc_ratio: float, current_A: float, ten_hour_Ah: float, cell_degC: float) -> float:
    """Voltage of a cell that gives a current (positive)."""
    drop = 4.0 / (1.0 + math.pow(current_A, 1.3)) + 0.27 / math.pow(soc_ratio, 1.5) + 0.02
    return (
        2.085 - 0.12 * (1.0 - soc_ratio) - current_A / ten_hour_Ah * drop * (1.0 - 0.007 * (cell_degC - 25.0))
    )


@formula(
    "2 + 0.16 * s + I / C_10 * (6 / (1 + I**0.86) + 0.48 / (1 - s)**1.2 + 0.036) * (1 - 0.025 * (T - 25))",
    symbol="U_chg", unit="V", soc_ratio="s", current_A="I", ten_hour_Ah="C_10", cell_degC="T",
)  # fmt: skip
def lead_charge_V(soc_ratio: float, current_A: float, ten_hour_Ah: float, cell_degC: float) -> float:
    """Voltage of a cell that takes a current."""
    rise = 6.0 / (1.0 + math.pow(current_A, 0.86)) + 0.48 / math.pow(1.0 - soc_ratio, 1.2) + 0.036
    return 2.0 + 0.16 * soc_ratio + current_A / ten_hour_Ah * rise * (1.0 - 0.025 * (cell_degC - 25.0))


@formula(
    "(2.24 + 1.97 * ln(1 + I / C_10)) * (1 - 0.002 * (T - 25))",
    symbol="U_gas", unit="V", rises=("current_A",), current_A="I", ten_hour_Ah="C_10", cell_degC="T",
)  # fmt: skip
def gassing_V(current_A: float, ten_hour_Ah: float, cell_degC: float) -> float:
    """Voltage of a cell from which charging makes more gas than charge."""
    return (2.24 + 1.97 * math.log(1.0 + current_A / ten_hour_Ah)) * (1.0 - 0.002 * (cell_degC - 25.0))


@formula(
    "1.67 / (1 + 0.67 * m**0.9) * (1 + 0.005 * (T - 25))",
    symbol="C_ratio", unit="1", falls=("ten_hour_ratio",), rises=("cell_degC",), ten_hour_ratio="m", cell_degC="T",
)  # fmt: skip
def lead_capacity_ratio(ten_hour_ratio: float, cell_degC: float) -> float:
    """Capacity over that at the ten-hour current, at m times that current."""
    return 1.67 / (1.0 + 0.67 * math.pow(ten_hour_ratio, 0.9)) * (1.0 + 0.005 * (cell_degC - 25.0))


@formula(
    "n * c * (T - 25)",
    symbol="dU_T", unit="V", cells_count="n", per_cell_V_per_K="c", cell_degC="T",
)  # fmt: skip
def compensation_V(cells_count: float, per_cell_V_per_K: float, cell_degC: float) -> float:
    """What charging voltages move with temperature; -3 to -5 mV for a cell and kelvin (common practice, no source)."""
    return cells_count * per_cell_V_per_K * (cell_degC - 25.0)


#: Freezing of the acid of a flooded cell by charge: about -8 degC flat, -60 full (battery handbooks, from memory; unverified).
ACID_FREEZES = ((0.0, -8.0), (0.25, -13.0), (0.50, -25.0), (0.75, -40.0), (1.0, -60.0))


def acid_freezes_degC(soc_ratio: float) -> float:
    """Temperature at which the acid of a flooded cell begins to freeze, straight between the points of ACID_FREEZES.

    >>> acid_freezes_degC(0.0), acid_freezes_degC(1.0), acid_freezes_degC(0.625)
    (-8.0, -60.0, -32.5)
    """
    low = ACID_FREEZES[0]
    for high in ACID_FREEZES[1:]:
        if soc_ratio <= high[0]:
            return low[1] + (high[1] - low[1]) * (soc_ratio - low[0]) / (high[0] - low[0])
        low = high
    return low[1]
