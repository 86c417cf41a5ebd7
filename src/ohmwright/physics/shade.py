"""A cell driven backwards, the diode that bypasses it, and what a bypass saves: leaves for curves of shaded strings.

A shaded cell in series must carry the current of the lit ones.  Its shunt breaks down in reverse (Bishop, Solar
Cells 25 (1988) 73-89); before that a bypass diode over its group conducts.  The breakdown figures are class values.
"""

import math

from ohmwright.physics.diode import Diode
from ohmwright.working import formula

#: Reverse breakdown of a silicon cell: class values, from memory of Bishop (1988); cells differ from -12 to -30 V.
BREAKDOWN_V = -18.0
BREAKDOWN_factor = 0.002
BREAKDOWN_exponent = 3.4
#: Bypass diode: threshold and slope, class values.
BYPASS_V = 0.5
BYPASS_ohm = 0.01


@formula(
    "I_L - I_o * (exp(x / a) - 1) - x / R_sh * (1 + f * (1 - x / V_br)**(-m))",
    symbol="I",
    unit="A",
    rises=("photo_A",),
    ranges={
        "junction_V": (-12, 0.7),
        "saturation_A": (1e-12, 1e-8),
        "shunt_ohm": (1, 100),
        "ideality_V": (0.02, 0.05),
        "breakdown_V": (-30, -14),
        "breakdown_factor": (0.001, 0.1),
        "breakdown_exponent": (2, 4),
    },
    junction_V="x",
    photo_A="I_L",
    saturation_A="I_o",
    shunt_ohm="R_sh",
    ideality_V="a",
    breakdown_V="V_br",
    breakdown_factor="f",
    breakdown_exponent="m",
)
def cell_current_A(
    junction_V: float,
    photo_A: float,
    saturation_A: float,
    shunt_ohm: float,
    ideality_V: float,
    breakdown_V: float,
    breakdown_factor: float,
    breakdown_exponent: float,
) -> float:
    """Current of one cell at its junction voltage, forward or reverse down to just above breakdown.

    Bishop (1988), equation 6, with the breakdown term on the shunt.
    """
    avalanche = breakdown_factor * math.pow(1.0 - junction_V / breakdown_V, -breakdown_exponent)
    return (
        photo_A
        - saturation_A * (math.exp(junction_V / ideality_V) - 1.0)
        - junction_V / shunt_ohm * (1.0 + avalanche)
    )


@formula(
    "-(V_d + R_d * I)",
    symbol="V_bypass",
    unit="V",
    falls=("current_A", "threshold_V", "slope_ohm"),
    current_A="I",
    threshold_V="V_d",
    slope_ohm="R_d",
)
def bypass_V(current_A: float, threshold_V: float, slope_ohm: float) -> float:
    """Voltage of a group whose bypass diode carries the current: straight-line diode, threshold and slope."""
    return -(threshold_V + slope_ohm * current_A)


@formula(
    "-V_r * I",
    symbol="P_hot",
    unit="W",
    rises=("current_A",),
    falls=("cell_V",),
    ranges={"cell_V": (-18, 0)},
    cell_V="V_r",
    current_A="I",
)
def hot_cell_W(cell_V: float, current_A: float) -> float:
    """Heat put into a cell that is driven to a reverse voltage V_r (negative) by the current of its string."""
    return -cell_V * current_A


def cell_voltage_V(cell: Diode, current_A: float) -> float:
    """Terminal voltage of one cell at a current, reverse branch included, to 1e-12 V; by halving, then for sure.

    Slow and plain: the check of the array form that strings use.
    """
    low, high = BREAKDOWN_V * (1.0 - 1e-12), cell.ideality_V * math.log1p(cell.photo_A / cell.saturation_A)
    for _ in range(200):
        x = (low + high) / 2.0
        here = cell_current_A(
            x, cell.photo_A, cell.saturation_A, cell.shunt_ohm, cell.ideality_V,
            BREAKDOWN_V, BREAKDOWN_factor, BREAKDOWN_exponent,
        )  # fmt: skip
        if here > current_A:
            low = x
        else:
            high = x
        if high - low < 1e-13:
            break
    return (low + high) / 2.0 - current_A * cell.series_ohm
