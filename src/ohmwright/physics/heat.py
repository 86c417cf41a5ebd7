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
