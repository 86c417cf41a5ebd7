"""What a module gives: power from irradiance and cell temperature, cell temperature, glass and dirt.

Leaves: plain numbers, `math` only, so that a loop, a document and a compiled kernel use the same ones.
"""

import math

from ohmwright.working import formula


@formula(
    "P_stc * E / 1000 * (1 + g / 100 * (T - 25)) * f",
    symbol="P_mp",
    unit="W",
    rises=("rated_W", "irradiance_W_m2", "low_light_factor"),
    rated_W="P_stc",
    irradiance_W_m2="E",
    coefficient_percent_per_K="g",
    cell_degC="T",
    low_light_factor="f",
)
def module_power_W(
    rated_W: float,
    irradiance_W_m2: float,
    coefficient_percent_per_K: float,
    cell_degC: float,
    low_light_factor: float,
) -> float:
    """Maximum power of a module or array.

    E in W/m2 on the plane after glass and dirt, T the cell temperature in degC, g the maker's power coefficient
    in %/K (negative).  Meant for 50..1200 W/m2 and -40..90 degC; within 1.6 % of a single-diode model between
    200 and 1000 W/m2 when f is the data sheet's.  The linear form of the public calculator method of Dobos,
    "PVWatts Version 5 Manual", NREL/TP-6A20-62641 (2014), eq. 8, times a low-light factor.
    """
    return (
        rated_W
        * irradiance_W_m2
        / 1000.0
        * (1.0 + coefficient_percent_per_K / 100.0 * (cell_degC - 25.0))
        * low_light_factor
    )


@formula(
    "1 + ln(max(E, 5) / 1000) * (a_0 + (a_1 + a_2 * (T - 25) / 50) * (T - 25) / 50 + ln(max(E, 5) / 1000) * (b_0 + (b_1 + b_2 * (T - 25) / 50) * (T - 25) / 50 + ln(max(E, 5) / 1000) * (c_0 + (c_1 + c_2 * (T - 25) / 50) * (T - 25) / 50 + ln(max(E, 5) / 1000) * (d_0 + (d_1 + d_2 * (T - 25) / 50) * (T - 25) / 50))))",
    symbol="f", unit="1", irradiance_W_m2="E", cell_degC="T", a_0_ratio="a_0", a_1_ratio="a_1", a_2_ratio="a_2", b_0_ratio="b_0", b_1_ratio="b_1",
    b_2_ratio="b_2", c_0_ratio="c_0", c_1_ratio="c_1", c_2_ratio="c_2", d_0_ratio="d_0", d_1_ratio="d_1", d_2_ratio="d_2",
    ranges={"irradiance_W_m2": (1, 1300)},
)  # fmt: skip
def light_ratio(
    irradiance_W_m2: float,
    cell_degC: float,
    a_0_ratio: float,
    a_1_ratio: float,
    a_2_ratio: float,
    b_0_ratio: float,
    b_1_ratio: float,
    b_2_ratio: float,
    c_0_ratio: float,
    c_1_ratio: float,
    c_2_ratio: float,
    d_0_ratio: float,
    d_1_ratio: float,
    d_2_ratio: float,
) -> float:
    """Efficiency at irradiance E and cell temperature T over that at 1000 W/m2 and the same temperature: a polynomial in ln E and T.

    Its numbers come from a single diode (`energy.module_light`, which tells how far it lies from it); 1 at 1000 W/m2.  Below 5 W/m2
    the value at 5 holds.
    """
    x = math.log(max(5.0, irradiance_W_m2) / 1000.0)
    t = (cell_degC - 25.0) / 50.0
    third = c_0_ratio + (c_1_ratio + c_2_ratio * t) * t + x * (d_0_ratio + (d_1_ratio + d_2_ratio * t) * t)
    second = b_0_ratio + (b_1_ratio + b_2_ratio * t) * t + x * third
    return 1.0 + x * (a_0_ratio + (a_1_ratio + a_2_ratio * t) * t + x * second)


@formula(
    "E * exp(a + b * w) + T_air + E / 1000 * dT",
    symbol="T_cell",
    unit="degC",
    rises=("irradiance_W_m2", "air_degC", "lift_K"),
    falls=("wind_m_per_s",),
    irradiance_W_m2="E",
    air_degC="T_air",
    wind_m_per_s="w",
    still_exponent="a",
    wind_exponent="b",
    lift_K="dT",
)
def mounted_cell_degC(
    irradiance_W_m2: float,
    air_degC: float,
    wind_m_per_s: float,
    still_exponent: float,
    wind_exponent: float,
    lift_K: float,
) -> float:
    """Cell temperature by mounting.

    a, b (b negative, s/m) and dT belong to the mounting; w is wind at 10 m.  King, Boyson and Kratochvil,
    "Photovoltaic Array Performance Model", SAND2004-3535 (2004), eq. 11 and 12.  Steady state: a bonded sheet
    lags by minutes, which an hour does not see.
    """
    return (
        irradiance_W_m2 * math.exp(still_exponent + wind_exponent * wind_m_per_s)
        + air_degC
        + irradiance_W_m2 / 1000.0 * lift_K
    )


@formula(
    "T_air + E / (u0 + u1 * w)",
    symbol="T_module",
    unit="degC",
    rises=("irradiance_W_m2", "air_degC"),
    falls=("wind_m_per_s",),
    irradiance_W_m2="E",
    air_degC="T_air",
    wind_m_per_s="w",
    loss_W_per_m2_K="u0",
    wind_loss_factor="u1",
)
def faiman_module_degC(
    irradiance_W_m2: float,
    air_degC: float,
    wind_m_per_s: float,
    loss_W_per_m2_K: float,
    wind_loss_factor: float,
) -> float:
    """Module temperature of an open rack: u0 in W/(m2 K), u1 in W s/(m3 K).

    Faiman, Prog. Photovolt. 16 (2008) 307-315; the form of IEC 61853-2.
    """
    return air_degC + irradiance_W_m2 / (loss_W_per_m2_K + wind_loss_factor * wind_m_per_s)


@formula(
    "T_air + E / 800 * (NOCT - 20)",
    symbol="T_cell",
    unit="degC",
    rises=("irradiance_W_m2", "air_degC", "nominal_degC"),
    irradiance_W_m2="E",
    air_degC="T_air",
    nominal_degC="NOCT",
)
def ross_cell_degC(irradiance_W_m2: float, air_degC: float, nominal_degC: float) -> float:
    """Cell temperature by hand, from the nominal operating cell temperature (Ross, 1976): no wind in it."""
    return air_degC + irradiance_W_m2 / 800.0 * (nominal_degC - 20.0)


@formula(
    "n * V_mp * (1 + b / 100 * (T - 25))",
    symbol="V_hot",
    unit="V",
    rises=("in_series_count", "power_point_V"),
    in_series_count="n",
    power_point_V="V_mp",
    coefficient_percent_per_K="b",
    cell_degC="T",
)
def string_power_point_V(
    in_series_count: float, power_point_V: float, coefficient_percent_per_K: float, cell_degC: float
) -> float:
    """Voltage of a string at its maximum power point, b being the coefficient of that voltage in %/K."""
    return in_series_count * power_point_V * (1.0 + coefficient_percent_per_K / 100.0 * (cell_degC - 25.0))


@formula(
    "(P_a * V_bank) / V_mp if V_bank < V_mp else 0",
    symbol="P_pwm",
    unit="W",
    rises=("power_W",),
    power_W="P_a",
    bank_V="V_bank",
    power_point_V="V_mp",
)
def switched_power_W(power_W: float, bank_V: float, power_point_V: float) -> float:
    """What a plain switching (PWM) controller passes: the array's current at the bank's voltage.

    The current at the bank's voltage is taken as that at the power point, which is low by the few per cent
    between I_mp and I_sc.  Nothing when the array's voltage does not reach the bank's.
    """
    return power_W * bank_V / power_point_V if bank_V < power_point_V else 0.0
