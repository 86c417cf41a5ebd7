"""The single-diode module: one curve from five numbers, carried to other light and temperature after De Soto.

I = I_L - I_o (exp((V + I R_s) / a) - 1) - (V + I R_s) / R_sh.  The curve is walked along the diode's own voltage,
V_d = V + I R_s, in which both I and V are explicit (Bishop, Solar Cells 25 (1988) 73-89).
"""

import math

from ohmwright.working import formula

BOLTZMANN_eV_per_K = 8.617333262e-5
#: Band gap of silicon at 25 degC and its relative change, De Soto, Klein and Beckman, Solar Energy 80 (2006) 78.
BAND_GAP_eV = 1.121
BAND_GAP_per_K = -2.677e-4
STC_K = 298.15
_STEPS = 100
_CLOSE = 1e-14


@formula(
    "I_L - I_o * (exp(V_d / a) - 1) - V_d / R_sh",
    symbol="I",
    unit="A",
    diode_V="V_d",
    light_A="I_L",
    dark_A="I_o",
    shunt_ohm="R_sh",
    scale_V="a",
)
def diode_current_A(diode_V: float, light_A: float, dark_A: float, shunt_ohm: float, scale_V: float) -> float:
    """Current of the module while its diode stands at V_d."""
    return light_A - dark_A * math.expm1(diode_V / scale_V) - diode_V / shunt_ohm


@formula(
    "I_L / 1000 * E * (1 + alpha / 100 * (T - 25))",
    symbol="I_L",
    unit="A",
    light_A="I_L",
    irradiance_W_m2="E",
    coefficient_percent_per_K="alpha",
    cell_degC="T",
)
def light_current_A(
    light_A: float, irradiance_W_m2: float, coefficient_percent_per_K: float, cell_degC: float
) -> float:
    """Photocurrent at irradiance E and cell temperature T from that at standard conditions.

    De Soto, Klein and Beckman (2006), eq. 7, with the coefficient of the short-circuit current in %/K.
    """
    return light_A / 1000.0 * irradiance_W_m2 * (1.0 + coefficient_percent_per_K / 100.0 * (cell_degC - 25.0))


@formula(
    "I_o * ((T + 273.15) / 298.15)**3"
    " * exp(1.121 / (8.617333262e-05 * 298.15) - 1.121 * (1 - 0.0002677 * (T - 25)) / (8.617333262e-05 * (T + 273.15)))",
    symbol="I_o",
    unit="A",
    dark_A="I_o",
    cell_degC="T",
)
def dark_current_A(dark_A: float, cell_degC: float) -> float:
    """Diode's saturation current at cell temperature T from that at 25 degC; De Soto et al. (2006), eq. 10 and 11."""
    kelvin = cell_degC + 273.15
    gap_eV = BAND_GAP_eV * (1.0 + BAND_GAP_per_K * (cell_degC - 25.0))
    exponent = BAND_GAP_eV / (BOLTZMANN_eV_per_K * STC_K) - gap_eV / (BOLTZMANN_eV_per_K * kelvin)
    return dark_A * math.pow(kelvin / STC_K, 3.0) * math.exp(exponent)


@formula("a * (T + 273.15) / 298.15", symbol="a", unit="V", scale_V="a", cell_degC="T")
def scale_at_V(scale_V: float, cell_degC: float) -> float:
    """The modified ideality voltage n N_s k T / q at cell temperature T from that at 25 degC."""
    return scale_V * (cell_degC + 273.15) / STC_K


def open_circuit_V(light_A: float, dark_A: float, shunt_ohm: float, scale_V: float) -> float:
    """Voltage without current, to rounding: Newton from the value without shunt, which lies above."""
    volts = scale_V * math.log1p(light_A / dark_A)
    for _ in range(_STEPS):
        value = diode_current_A(volts, light_A, dark_A, shunt_ohm, scale_V)
        step = value / (dark_A / scale_V * math.exp(volts / scale_V) + 1.0 / shunt_ohm)
        volts += step
        if abs(step) <= _CLOSE * volts:
            break
    return volts


def current_at_V(
    volts_V: float, light_A: float, dark_A: float, series_ohm: float, shunt_ohm: float, scale_V: float
) -> float:
    """Current at a terminal voltage between 0 and open circuit, by Newton along the diode's voltage."""
    diode_V = volts_V + light_A * series_ohm
    top_V = open_circuit_V(light_A, dark_A, shunt_ohm, scale_V)
    diode_V = min(top_V, diode_V)
    for _ in range(_STEPS):
        amps = diode_current_A(diode_V, light_A, dark_A, shunt_ohm, scale_V)
        slope = dark_A / scale_V * math.exp(diode_V / scale_V) + 1.0 / shunt_ohm
        step = (diode_V - amps * series_ohm - volts_V) / (1.0 + series_ohm * slope)
        diode_V -= step
        if abs(step) <= _CLOSE * (abs(diode_V) + scale_V):
            break
    return diode_current_A(diode_V, light_A, dark_A, shunt_ohm, scale_V)


def power_point_V_A(
    light_A: float, dark_A: float, series_ohm: float, shunt_ohm: float, scale_V: float
) -> tuple[float, float]:
    """Voltage and current at maximum power: the one root of dP/dV_d between 0 and open circuit, Newton kept inside."""
    low_V, high_V = 0.0, open_circuit_V(light_A, dark_A, shunt_ohm, scale_V)
    diode_V = 0.85 * high_V
    for _ in range(_STEPS):
        growth = dark_A / scale_V * math.exp(diode_V / scale_V)
        amps = diode_current_A(diode_V, light_A, dark_A, shunt_ohm, scale_V)
        slope = -growth - 1.0 / shunt_ohm
        volts = diode_V - amps * series_ohm
        stretch = 1.0 - series_ohm * slope
        rise = slope * volts + amps * stretch
        bend = -growth / scale_V * (volts - amps * series_ohm) + 2.0 * slope * stretch
        if rise > 0.0:
            low_V = diode_V
        else:
            high_V = diode_V
        wanted_V = diode_V - rise / bend if bend < 0.0 else 0.5 * (low_V + high_V)
        if not low_V < wanted_V < high_V:
            wanted_V = 0.5 * (low_V + high_V)
        if abs(wanted_V - diode_V) <= _CLOSE * high_V:
            break
        diode_V = wanted_V
    amps = diode_current_A(diode_V, light_A, dark_A, shunt_ohm, scale_V)
    return diode_V - amps * series_ohm, amps
