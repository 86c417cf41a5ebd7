"""Converters in energy: inverter, solar controller, charger, DC-DC, alternator, generator.

A converter's input is P0 + (1 + k1) P + k2 P^2: idle, proportional and resistive loss (Schmidt and Sauer,
"Wechselrichter-Wirkungsgrade", Sonnenenergie 4/1996).  The three numbers follow exactly from idle power, peak
efficiency and full-load efficiency.
"""

import math

from ohmwright.working import formula


@formula(
    "P0 + P + k1 * P + k2 * P**2",
    symbol="P_in",
    unit="W",
    rises=("out_W", "idle_W", "proportional_ratio", "square_per_W"),
    out_W="P",
    idle_W="P0",
    proportional_ratio="k1",
    square_per_W="k2",
)
def converter_in_W(out_W: float, idle_W: float, proportional_ratio: float, square_per_W: float) -> float:
    """Power taken for `out_W` given, from 0 to the rating."""
    return idle_W + out_W + proportional_ratio * out_W + square_per_W * out_W * out_W


@formula(
    "2 * max(P_in - P0, 0) / (1 + k1 + sqrt((1 + k1)**2 + 4 * k2 * max(P_in - P0, 0)))",
    symbol="P_out",
    unit="W",
    rises=("in_W",),
    falls=("idle_W", "proportional_ratio", "square_per_W"),
    in_W="P_in",
    idle_W="P0",
    proportional_ratio="k1",
    square_per_W="k2",
)
def converter_out_W(in_W: float, idle_W: float, proportional_ratio: float, square_per_W: float) -> float:
    """Power given for `in_W` taken: the other way round, never below nothing."""
    over_W = in_W - idle_W if in_W > idle_W else 0.0
    slope = 1.0 + proportional_ratio
    return 2.0 * over_W / (slope + math.sqrt(slope * slope + 4.0 * square_per_W * over_W))


@formula(
    "((sqrt(P0 / P_full) + sqrt(1 / e_full - 1 / e_peak))**2) / P_full",
    symbol="k2",
    unit="",
    idle_W="P0",
    full_W="P_full",
    full_ratio="e_full",
    peak_ratio="e_peak",
)
def square_loss_per_W(idle_W: float, full_W: float, full_ratio: float, peak_ratio: float) -> float:
    """k2 in 1/W from idle power, rating, full-load and peak efficiency (full <= peak).

    From 1/e = P0/P + 1 + k1 + k2 P, whose least value 1 + k1 + 2 sqrt(P0 k2) is 1/e_peak: the difference at full
    load is (sqrt(k2 P_full) - sqrt(P0 / P_full))^2, and the peak lies below full load.
    """
    root = math.sqrt(idle_W / full_W) + math.sqrt(1.0 / full_ratio - 1.0 / peak_ratio)
    return root * root / full_W


@formula(
    "1 / e_peak - 1 - 2 * sqrt(P0 * k2)",
    symbol="k1",
    unit="1",
    idle_W="P0",
    square_per_W="k2",
    peak_ratio="e_peak",
)
def proportional_loss_ratio(idle_W: float, square_per_W: float, peak_ratio: float) -> float:
    """k1 from idle power, k2 and peak efficiency."""
    return 1.0 / peak_ratio - 1.0 - 2.0 * math.sqrt(idle_W * square_per_W)


@formula(
    "2 * P / (E + sqrt(E**2 + 4 * R * P))",
    symbol="I",
    unit="A",
    rises=("power_W",),
    power_W="P",
    emf_V="E",
    resistance_ohm="R",
)
def bank_current_A(power_W: float, emf_V: float, resistance_ohm: float) -> float:
    """Current into a bank that takes `power_W` at its terminals (negative: gives it).

    The root of P = I (E + R I) that tends to P/E.  Valid while P >= -E^2 / (4 R); below that the voltage collapses
    and no current can give the power.
    """
    twice_W = power_W + power_W
    return twice_W / (emf_V + math.sqrt(emf_V * emf_V + twice_W * (resistance_ohm + resistance_ohm)))


@formula(
    "E**2 / (4 * R)",
    symbol="P_max",
    unit="W",
    rises=("emf_V",),
    falls=("resistance_ohm",),
    emf_V="E",
    resistance_ohm="R",
)
def collapse_power_W(emf_V: float, resistance_ohm: float) -> float:
    """The most power that open-circuit volts E behind R can give to anything."""
    return emf_V * emf_V / (4.0 * resistance_ohm)


@formula(
    "min(P * (v / v_1)**3, P_max)",
    symbol="P_stream",
    unit="W",
    rises=("power_W", "speed_m_per_s", "most_W"),
    falls=("at_m_per_s",),
    power_W="P",
    at_m_per_s="v_1",
    speed_m_per_s="v",
    most_W="P_max",
)
def stream_power_W(power_W: float, at_m_per_s: float, speed_m_per_s: float, most_W: float) -> float:
    """What a turbine in a free stream gives at another speed than its page's: by the cube of the speed (Betz, 1920), up to its most.

    >>> stream_power_W(80.0, 6.0, 3.0, 300.0), stream_power_W(80.0, 6.0, 9.0, 300.0), stream_power_W(80.0, 6.0, 12.0, 300.0)
    (10.0, 270.0, 300.0)
    """
    by_speed_W = power_W * (speed_m_per_s / at_m_per_s) ** 3
    return min(by_speed_W, most_W)


@formula(
    "min(I_max * V_out, e * I_in * V_in)",
    symbol="P_dcdc",
    unit="W",
    rises=("limit_A", "out_V", "efficiency_ratio", "in_limit_A", "in_V"),
    limit_A="I_max",
    out_V="V_out",
    efficiency_ratio="e",
    in_limit_A="I_in",
    in_V="V_in",
)
def dcdc_out_W(
    limit_A: float, out_V: float, efficiency_ratio: float, in_limit_A: float, in_V: float
) -> float:
    """What a DC-DC charger gives: its own output limit, or what its input may take."""
    by_output_W = limit_A * out_V
    by_input_W = efficiency_ratio * in_limit_A * in_V
    return min(by_input_W, by_output_W)


@formula(
    "a * P / 1000 + b * P_rated / 1000",
    symbol="F",
    unit="L/h",
    rises=("power_W", "rated_W", "slope_factor", "idle_factor"),
    power_W="P",
    rated_W="P_rated",
    slope_factor="a",
    idle_factor="b",
)
def generator_fuel_L_per_h(power_W: float, rated_W: float, slope_factor: float, idle_factor: float) -> float:
    """Fuel of a generator, a and b in L/kWh.

    Diesel a 0.246, b 0.08145: Skarstein and Uhlen, Wind Engineering 13 (1989) 72-87 (figures from memory,
    unverified).  Small petrol sets: a 0.35-0.45, b 0.10, common practice, no source.
    """
    return slope_factor * power_W / 1000.0 + idle_factor * rated_W / 1000.0
