"""What an hour of weather does to controller and bank: leaves for the plain year and the compiled years alike."""
# ruff: noqa: FURB136 - a comparison takes a quarter of the time of a call to min, and these run 8760 times a year

from ohmwright.physics.converter import converter_out_W
from ohmwright.physics.heat import compartment_degC, hot_output_ratio, step_heat_W
from ohmwright.physics.pv import (
    light_ratio,
    module_power_W,
    mounted_cell_degC,
    string_power_point_V,
    switched_power_W,
)

#: Stands for "kept at no temperature": nothing heats a bank to this.
NEVER_KEPT_degC = -273.0
#: Stands for a heater that is always strong enough.
AMPLE_W = 1e9


def plane_power_W_V(
    falls_W_m2: float,
    through_W_m2: float,
    air_degC: float,
    wind_m_per_s: float,
    light: tuple[float, ...],
    rated_W: float,
    coefficient_percent_per_K: float,
    still_exponent: float,
    wind_exponent: float,
    lift_K: float,
    string_V: float,
    voltage_percent_per_K: float,
) -> tuple[float, float]:
    """Power of an array that all lies in one plane, before its losses, and its string voltage; `light` are the numbers of `light_ratio`."""
    cell = mounted_cell_degC(falls_W_m2, air_degC, wind_m_per_s, still_exponent, wind_exponent, lift_K)
    dim = light_ratio(through_W_m2, cell, *light)
    power = module_power_W(rated_W, through_W_m2, coefficient_percent_per_K, cell, dim)
    return power, string_power_point_V(1.0, string_V, voltage_percent_per_K, cell)


def tracker_W(
    power_W: float,
    string_V: float,
    limit_A: float,
    idle_W: float,
    proportional_ratio: float,
    square_per_W: float,
    run_margin_V: float,
    switched_ratio: float,
    set_V: float,
) -> float:
    """What a controller gives at the battery for what its arrays offer.

    Its current limit is applied at the absorption voltage here, and once more at the hour's own voltage in the step.
    `switched_ratio` 1 is a controller that only switches.
    """
    if switched_ratio > 0.5:
        return switched_power_W(power_W, set_V, string_V)
    if string_V <= set_V + run_margin_V:
        return 0.0
    given_W = converter_out_W(power_W, idle_W, proportional_ratio, square_per_W)
    limit_W = limit_A * set_V
    return given_W if given_W < limit_W else limit_W


def left_in_heat_W(
    given_W: float,
    light_ratio: float,
    air_degC: float,
    sun_W_m2: float,
    rated_W: float,
    rated_at_degC: float,
    loss_percent_per_K: float,
    sun_rise_K: float,
    idle_rise_K: float,
    linear_rise_K: float,
    square_rise_K: float,
) -> float:
    """What of that is left in a hot bay.  The most that its own heat lets it give does not depend on what its arrays offer.

    `light_ratio` is what the pitch's shade lets through, of the sun on the bay too; what is given is told before that shade.
    """
    if given_W * light_ratio <= 0.0 or rated_W <= 0.0:
        return given_W
    part = hot_output_ratio(
        air_degC + sun_rise_K * (sun_W_m2 * light_ratio / 1000.0),
        rated_at_degC,
        loss_percent_per_K,
        idle_rise_K,
        linear_rise_K,
        square_rise_K,
    )
    if part >= 1.0:
        return given_W
    most_W = part * rated_W / light_ratio
    return given_W if given_W < most_W else most_W


def bank_hour_degC_W(
    now_degC: float,
    around_degC: float,
    conductance_W_per_K: float,
    capacity_J_per_K: float,
    keep_degC: float,
    heater_W: float,
) -> tuple[float, float]:
    """Temperature of the bank an hour on, and the heat that its heater gave."""
    heat = step_heat_W(keep_degC, now_degC, around_degC, conductance_W_per_K, capacity_J_per_K, 3600.0)
    heat = heat if heat > 0.0 else 0.0
    heat = heat if heat < heater_W else heater_W
    return compartment_degC(now_degC, around_degC, heat, conductance_W_per_K, capacity_J_per_K, 3600.0), heat


def surplus_W(heater_W: float, array_W: float, asked_W: float) -> float:
    """What a heater gets that runs only on what the array brings beyond the loads."""
    over_W = array_W - asked_W
    over_W = over_W if over_W > 0.0 else 0.0
    return over_W if over_W < heater_W else heater_W


def charge_allowed_ratio(
    now_degC: float, before_ratio: float, charge_min_degC: float, charge_max_degC: float, resume_K: float
) -> float:
    """1 while the bank may be charged; once too cold or hot, not until it is `resume_K` inside the limit again."""
    slack = 0.0 if before_ratio > 0.5 else resume_K
    return 0.0 if now_degC < charge_min_degC + slack or now_degC > charge_max_degC - slack else 1.0


LEAVES = (
    module_power_W, mounted_cell_degC, light_ratio, string_power_point_V, switched_power_W, converter_out_W, compartment_degC,
    step_heat_W, plane_power_W_V, tracker_W, hot_output_ratio, left_in_heat_W, bank_hour_degC_W, charge_allowed_ratio, surplus_W,
)  # fmt: skip
