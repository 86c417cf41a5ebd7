"""Temperature of a compartment: one heat store, one loss, an exact exponential step."""

import math

from ohmwright.working import formula


@formula(
    "T_env + Q / UA + (T - T_env - Q / UA) * exp(-UA * t / C)",
    symbol="T_next",
    unit="degC",
    rises=("start_degC", "around_degC", "heat_W"),
    start_degC="T",
    around_degC="T_env",
    heat_W="Q",
    conductance_W_per_K="UA",
    capacity_J_per_K="C",
    time_s="t",
)
def compartment_degC(
    start_degC: float,
    around_degC: float,
    heat_W: float,
    conductance_W_per_K: float,
    capacity_J_per_K: float,
    time_s: float,
) -> float:
    """Temperature after time t of C dT/dt = UA (T_env - T) + Q with everything else held: exact for any step."""
    rest_degC = around_degC + heat_W / conductance_W_per_K
    return rest_degC + (start_degC - rest_degC) * math.exp(-conductance_W_per_K * time_s / capacity_J_per_K)


@formula(
    "UA * (T - T_env)",
    symbol="Q_hold",
    unit="W",
    conductance_W_per_K="UA",
    inside_degC="T",
    around_degC="T_env",
)
def holding_heat_W(conductance_W_per_K: float, inside_degC: float, around_degC: float) -> float:
    """Heat that holds a compartment at T in surroundings at T_env."""
    return conductance_W_per_K * (inside_degC - around_degC)


@formula(
    "UA * ((T_keep - T * exp(-UA * t / C)) / (1 - exp(-UA * t / C)) - T_env)",
    symbol="Q_step",
    unit="W",
    rises=("keep_degC",),
    falls=("start_degC", "around_degC"),
    keep_degC="T_keep",
    start_degC="T",
    around_degC="T_env",
    conductance_W_per_K="UA",
    capacity_J_per_K="C",
    time_s="t",
)
def step_heat_W(
    keep_degC: float,
    start_degC: float,
    around_degC: float,
    conductance_W_per_K: float,
    capacity_J_per_K: float,
    time_s: float,
) -> float:
    """Heat over a time t that brings a compartment from T to just T_keep; negative where it gets there by itself."""
    left = math.exp(-conductance_W_per_K * time_s / capacity_J_per_K)
    return conductance_W_per_K * ((keep_degC - start_degC * left) / (1.0 - left) - around_degC)


@formula(
    "P_loss / (UA + 1.2 * 1000 / 3600 * q)",
    symbol="dT_bay",
    unit="K",
    rises=("loss_W",),
    falls=("conductance_W_per_K", "flow_m3_per_h"),
    loss_W="P_loss",
    conductance_W_per_K="UA",
    flow_m3_per_h="q",
)
def bay_rise_K(loss_W: float, conductance_W_per_K: float, flow_m3_per_h: float) -> float:
    """Rise of an equipment bay over the air that enters it.  Air carries 1.2 kJ/(m3 K) near 20 degC."""
    return loss_W / (conductance_W_per_K + 1.2 * 1000.0 / 3600.0 * flow_m3_per_h)


@formula(
    "min(2 * max(1 - d / 100 * (T + r_0 - T0), 0) / (1 + d / 100 * r_1 + sqrt((1 + d / 100 * r_1)**2 + 4 * d / 100 * r_2 * max(1 - d / 100 * (T + r_0 - T0), 0))), 1)",
    symbol="f_hot",
    unit="1",
    falls=("air_degC", "idle_rise_K"),
    air_degC="T",
    rated_at_degC="T0",
    loss_percent_per_K="d",
    idle_rise_K="r_0",
    linear_rise_K="r_1",
    square_rise_K="r_2",
    ranges={"loss_percent_per_K": (0, 20)},
)
def hot_output_ratio(
    air_degC: float,
    rated_at_degC: float,
    loss_percent_per_K: float,
    idle_rise_K: float,
    linear_rise_K: float,
    square_rise_K: float,
) -> float:
    """Part f of its rating at which a device comes to rest in the air that it warms itself; 1 where that stays cool enough.

    The root of f = 1 - d / 100 * (T + r_0 + r_1 f + r_2 f^2 - T0): the air of its bay without it, and by how much its idle loss and, at
    full output, its proportional and its square loss warm it.

    >>> round(hot_output_ratio(40, 40, 2.5, 1.0, 5.0, 4.0), 4)      # 0.975 = 1.125 f + 0.1 f^2
    0.8086
    """
    loss_per_K = loss_percent_per_K / 100.0
    cool = 1.0 - loss_per_K * (air_degC + idle_rise_K - rated_at_degC)
    cool = max(0.0, cool)
    slope = 1.0 + loss_per_K * linear_rise_K
    ratio = 2.0 * cool / (slope + math.sqrt(slope * slope + 4.0 * loss_per_K * square_rise_K * cool))
    return min(1.0, ratio)


@formula(
    "min(max(UA * (T - T_env) / P_heat, 0), 1)",
    symbol="d_heat",
    unit="1",
    conductance_W_per_K="UA",
    inside_degC="T",
    around_degC="T_env",
    heat_W="P_heat",
)
def heater_duty_ratio(
    conductance_W_per_K: float, inside_degC: float, around_degC: float, heat_W: float
) -> float:
    """Part of the time in which a heater runs that holds a place at T: what the place loses over what the heater gives.

    No gain from sun, people or cooking.  A place that loses more than the heater gives grows cold with the heater always on.
    """
    return min(max(conductance_W_per_K * (inside_degC - around_degC) / heat_W, 0.0), 1.0)
