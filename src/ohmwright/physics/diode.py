"""A PV module as one diode: five parameters, moved to any light and temperature, solved for any point of its curve.

Symbols: I_L photocurrent, I_o saturation current, a modified ideality voltage (ideality x cells in series x thermal
voltage), R_s and R_sh series and shunt resistance.  The junction voltage x = V + I R_s makes both V and I plain
functions of one number; everything here is solved in it.  De Soto, Klein and Beckman, Solar Energy 80 (2006) 78-88.
"""

import math
from dataclasses import dataclass

from ohmwright.working import formula

#: Boltzmann constant over elementary charge (both exact since the SI of 2019): volts per kelvin.
BOLTZMANN_V_per_K = 8.617333262e-5
STANDARD_degC = 25.0
STANDARD_W_m2 = 1000.0
#: Band gap of silicon at 25 degC and its relative fall: De Soto et al. (2006), section 2.
BAND_GAP_eV = 1.121
BAND_GAP_per_K = -0.0002677
ZERO_degC_K = 273.15


@dataclass(frozen=True, slots=True)
class Diode:
    """The five parameters at one light and temperature, for the whole module or for one cell."""

    photo_A: float
    saturation_A: float
    series_ohm: float
    shunt_ohm: float
    ideality_V: float


@dataclass(frozen=True, slots=True)
class ModuleDiode:
    """The five parameters at standard test conditions, and how the short-circuit current moves with temperature."""

    at_standard: Diode
    alpha_A_per_K: float


@dataclass(frozen=True, slots=True)
class Point:
    """A point of the curve."""

    voltage_V: float
    current_A: float

    @property
    def power_W(self) -> float:
        """Volts times amperes."""
        return self.voltage_V * self.current_A


@formula(
    "I_L - I_o * (exp(x / a) - 1) - x / R_sh",
    symbol="I",
    unit="A",
    rises=("photo_A",),
    falls=("junction_V",),
    ranges={
        "junction_V": (-5, 40),
        "saturation_A": (1e-12, 1e-7),
        "shunt_ohm": (50, 5000),
        "ideality_V": (1, 3),
    },
    junction_V="x",
    photo_A="I_L",
    saturation_A="I_o",
    shunt_ohm="R_sh",
    ideality_V="a",
)
def junction_current_A(
    junction_V: float, photo_A: float, saturation_A: float, shunt_ohm: float, ideality_V: float
) -> float:
    """Current delivered at the junction voltage x = V + I R_s.

    Valid for forward voltages and for reverse ones well short of breakdown (`physics.shade` has the reverse
    branch).  De Soto et al. (2006), equation 1 with the series drop taken out.
    """
    return photo_A - saturation_A * (math.exp(junction_V / ideality_V) - 1.0) - junction_V / shunt_ohm


@formula(
    "E / 1000 * (I_Lr + α * (T - 25))",
    symbol="I_L",
    unit="A",
    rises=("reference_A",),
    ranges={"alpha_A_per_K": (0.0, 0.01)},
    irradiance_W_m2="E",
    cell_degC="T",
    reference_A="I_Lr",
    alpha_A_per_K="α",
)
def photo_current_A(
    irradiance_W_m2: float, cell_degC: float, reference_A: float, alpha_A_per_K: float
) -> float:
    """Photocurrent at irradiance E and cell temperature T.  De Soto et al. (2006), equation 6 without air mass."""
    return irradiance_W_m2 / 1000.0 * (reference_A + alpha_A_per_K * (cell_degC - 25.0))


@formula(
    "I_or * ((T + 273.15) / 298.15)**3 * exp(1.121 / (8.617333262e-5 * 298.15) - 1.121 * (1 - 0.0002677 * (T - 25)) / (8.617333262e-5 * (T + 273.15)))",
    symbol="I_o",
    unit="A",
    rises=("cell_degC", "reference_A"),
    ranges={"reference_A": (1e-12, 1e-7)},
    cell_degC="T",
    reference_A="I_or",
)
def saturation_current_A(cell_degC: float, reference_A: float) -> float:
    """Saturation current at cell temperature T, -60 to 120 degC, for silicon.

    De Soto et al. (2006), equations 8 and 9.
    """
    kelvin = cell_degC + ZERO_degC_K
    standard = STANDARD_degC + ZERO_degC_K
    gap = BAND_GAP_eV * (1.0 + BAND_GAP_per_K * (cell_degC - STANDARD_degC))
    return (
        reference_A
        * (kelvin / standard) ** 3
        * math.exp(BAND_GAP_eV / (BOLTZMANN_V_per_K * standard) - gap / (BOLTZMANN_V_per_K * kelvin))
    )


@formula(
    "a_r * (T + 273.15) / 298.15",
    symbol="a",
    unit="V",
    rises=("cell_degC", "reference_V"),
    cell_degC="T",
    reference_V="a_r",
)
def ideality_V(cell_degC: float, reference_V: float) -> float:
    """Modified ideality voltage at cell temperature T.  De Soto et al. (2006), equation 5."""
    return reference_V * (cell_degC + 273.15) / 298.15


@formula(
    "R_shr * 1000 / E",
    symbol="R_sh",
    unit="ohm",
    rises=("reference_ohm",),
    falls=("irradiance_W_m2",),
    irradiance_W_m2="E",
    reference_ohm="R_shr",
)
def shunt_ohm(irradiance_W_m2: float, reference_ohm: float) -> float:
    """Shunt resistance at irradiance E.  De Soto et al. (2006), equation 10."""
    return reference_ohm * 1000.0 / irradiance_W_m2


def diode_at(module: ModuleDiode, irradiance_W_m2: float, cell_degC: float) -> Diode:
    """The five parameters at irradiance above 0 and up to 1500 W/m2, -60 to 120 degC."""
    if not irradiance_W_m2 > 0.0:
        raise ValueError("irradiance must be above 0 W/m2")
    s = module.at_standard
    return Diode(
        photo_current_A(irradiance_W_m2, cell_degC, s.photo_A, module.alpha_A_per_K),
        saturation_current_A(cell_degC, s.saturation_A),
        s.series_ohm,
        shunt_ohm(irradiance_W_m2, s.shunt_ohm),
        ideality_V(cell_degC, s.ideality_V),
    )


def cell_of(diode: Diode, in_series_count: float) -> Diode:
    """One of so many equal cells in series."""
    n = in_series_count
    return Diode(
        diode.photo_A, diode.saturation_A, diode.series_ohm / n, diode.shunt_ohm / n, diode.ideality_V / n
    )


def _slope(diode: Diode, x: float) -> float:
    """Change of the delivered current with the junction voltage."""
    return -diode.saturation_A / diode.ideality_V * math.exp(x / diode.ideality_V) - 1.0 / diode.shunt_ohm


def point_at(diode: Diode, junction_V: float) -> Point:
    """The terminal voltage and current at a junction voltage."""
    d = diode
    current = junction_current_A(junction_V, d.photo_A, d.saturation_A, d.shunt_ohm, d.ideality_V)
    return Point(junction_V - current * d.series_ohm, current)


def _ceiling(diode: Diode, current_A: float) -> float:
    """A junction voltage at which the diode alone would take I_L - I: at or above the true one for forward bias."""
    spare = max(diode.photo_A - current_A, 0.0)
    return diode.ideality_V * math.log1p(spare / diode.saturation_A)


def _junction_at_current(diode: Diode, current_A: float) -> float:
    """Junction voltage at a delivered current: Newton from the right, where the curve is concave."""
    x = _ceiling(diode, current_A)
    for _ in range(100):
        d = diode
        gap = junction_current_A(x, d.photo_A, d.saturation_A, d.shunt_ohm, d.ideality_V) - current_A
        step = gap / _slope(d, x)
        x -= step
        if abs(step) <= 1e-15 * max(1.0, abs(x)):
            break
    return x


def open_circuit_V(diode: Diode) -> float:
    """Voltage without load."""
    return _junction_at_current(diode, 0.0)


def voltage_V(diode: Diode, current_A: float) -> float:
    """Terminal voltage at a current; below zero when more is forced through than the light gives."""
    return _junction_at_current(diode, current_A) - current_A * diode.series_ohm


def current_A(diode: Diode, voltage_V: float) -> float:
    """Current at a terminal voltage of 0 or more."""
    d = diode
    x = max(_ceiling(d, 0.0), voltage_V)
    for _ in range(200):
        now = point_at(d, x)
        step = (now.voltage_V - voltage_V) / (1.0 - d.series_ohm * _slope(d, x))
        x -= step
        if abs(step) <= 1e-15 * max(1.0, abs(x)):
            break
    return point_at(d, x).current_A


def max_power_point(diode: Diode) -> Point:
    """The point of largest power, by Newton in the junction voltage within a bracket that always closes.

    Power has one maximum between short circuit and open circuit: dP/dx falls throughout where V and I are positive.
    """
    d = diode
    low, high = 0.0, open_circuit_V(d)
    x = high * 0.85
    for _ in range(100):
        now = point_at(d, x)
        slope = _slope(d, x)
        bend = -d.saturation_A / d.ideality_V**2 * math.exp(x / d.ideality_V)
        rise_V = 1.0 - d.series_ohm * slope
        first = slope * now.voltage_V + now.current_A * rise_V
        second = bend * now.voltage_V + 2.0 * slope * rise_V - now.current_A * d.series_ohm * bend
        if first > 0.0:
            low = x
        else:
            high = x
        step = first / second if second < 0.0 else 0.0
        after = x - step
        if not low < after < high:
            after = (low + high) / 2.0
        if abs(after - x) <= 1e-14 * high:
            break
        x = after
    return point_at(d, x)


def short_circuit_A(diode: Diode) -> float:
    """Current at no voltage."""
    return current_A(diode, 0.0)
