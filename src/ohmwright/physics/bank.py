# ruff: noqa: FURB136 - a comparison takes a quarter of the time of a call to max, and these run 8760 times a year
"""Banks: rest voltage, resistance, charge acceptance, and the two wells of a battery.

One model serves both chemistries.  A lead-acid bank has two wells (Manwell and McGowan, Solar Energy 50 (1993)
399-405): charge that is at hand and charge that must first flow to it.  A lithium bank is the same model with one
well.  The well leaves take constants of the time step that are worked out once (`well_*`).
"""

import math

from ohmwright.working import formula


@formula(
    "V0 + a * s + b1 * max(s, k1) + b2 * max(s, k2) + b3 * max(s, k3) + b4 * max(s, k4) + b5 * max(s, k5) + b6 * max(s, k6)",
    symbol="E_cell",
    unit="V",
    soc_ratio="s",
    base_V="V0",
    slope_V="a",
    bend1_V="b1",
    knee1_ratio="k1",
    bend2_V="b2",
    knee2_ratio="k2",
    bend3_V="b3",
    knee3_ratio="k3",
    bend4_V="b4",
    knee4_ratio="k4",
    bend5_V="b5",
    knee5_ratio="k5",
    bend6_V="b6",
    knee6_ratio="k6",
)
def rest_V(
    soc_ratio: float,
    base_V: float,
    slope_V: float,
    bend1_V: float,
    knee1_ratio: float,
    bend2_V: float,
    knee2_ratio: float,
    bend3_V: float,
    knee3_ratio: float,
    bend4_V: float,
    knee4_ratio: float,
    bend5_V: float,
    knee5_ratio: float,
    bend6_V: float,
    knee6_ratio: float,
) -> float:
    """Voltage at rest: a line in the state of charge with up to six bends, for a cell or a whole bank.

    Slopes and bends are in volts for the whole range of charge.  A bend b at knee k changes the slope by b.
    """
    return (
        base_V
        + slope_V * soc_ratio
        + bend1_V * (soc_ratio if soc_ratio > knee1_ratio else knee1_ratio)
        + bend2_V * (soc_ratio if soc_ratio > knee2_ratio else knee2_ratio)
        + bend3_V * (soc_ratio if soc_ratio > knee3_ratio else knee3_ratio)
        + bend4_V * (soc_ratio if soc_ratio > knee4_ratio else knee4_ratio)
        + bend5_V * (soc_ratio if soc_ratio > knee5_ratio else knee5_ratio)
        + bend6_V * (soc_ratio if soc_ratio > knee6_ratio else knee6_ratio)
    )


@formula(
    "exp(E_a * 1000 / 8.314462618 * (1 / (T + 273.15) - 1 / 298.15))",
    symbol="f_R",
    unit="1",
    falls=("bank_degC",),
    bank_degC="T",
    activation_kJ_per_mol="E_a",
)
def cold_resistance_factor(bank_degC: float, activation_kJ_per_mol: float) -> float:
    """Resistance at T over that at 25 degC after Arrhenius; E_a 20-35 kJ/mol for lithium iron phosphate (from memory)."""
    return math.exp(
        activation_kJ_per_mol * 1000.0 / 8.314462618 * (1.0 / (bank_degC + 273.15) - 1.0 / 298.15)
    )


@formula(
    "1 + (f_5 - 1) * max(0.2 - s, 0) / 0.15",
    symbol="f_s",
    unit="1",
    falls=("soc_ratio",),
    soc_ratio="s",
    at_5_factor="f_5",
)
def low_charge_resistance_factor(soc_ratio: float, at_5_factor: float) -> float:
    """Resistance at state of charge s over that of a half-full cell: 1 down to 20 %, then a line through f_5 at 5 %."""
    under = 0.2 - soc_ratio if soc_ratio < 0.2 else 0.0
    return 1.0 + (at_5_factor - 1.0) * under / 0.15


@formula(
    "2 * max(V_set - E, 0) / (R + sqrt(R**2 + 4 * r * max(V_set - E, 0)))",
    symbol="I_taper",
    unit="A",
    rises=("set_V",),
    falls=("rest_V", "resistance_ohm"),
    set_V="V_set",
    rest_V="E",
    resistance_ohm="R",
    grows_ohm_per_A="r",
)
def stiffening_taper_A(set_V: float, rest_V: float, resistance_ohm: float, grows_ohm_per_A: float) -> float:
    """The most current that a charger holding V_set at the terminals can push in: the root of I (R + r I) = V_set - E.

    A lead-acid bank resists by r more for each ampere that goes in over the step; with r 0 it is (V_set - E) / R.
    """
    over_V = set_V - rest_V if set_V > rest_V else rest_V - rest_V
    twice_V = over_V + over_V
    return twice_V / (
        resistance_ohm
        + math.sqrt(resistance_ohm * resistance_ohm + twice_V * (grows_ohm_per_A + grows_ohm_per_A))
    )


@formula("exp(-k * t)", symbol="keep", unit="1", rate_per_h="k", time_h="t")
def well_keep_ratio(rate_per_h: float, time_h: float) -> float:
    """How much of a difference between the wells is left after time t."""
    return math.exp(-rate_per_h * time_h)


@formula("c * (1 - keep)", symbol="refill", unit="1", share_ratio="c", keep_ratio="keep")
def well_refill_ratio(share_ratio: float, keep_ratio: float) -> float:
    """The part of the total charge that stands in the first well after resting, beyond what was kept."""
    return share_ratio * (1.0 - keep_ratio)


@formula(
    "(1 - keep) / k + c * (t - (1 - keep) / k)",
    symbol="draw",
    unit="",
    rate_per_h="k",
    time_h="t",
    share_ratio="c",
    keep_ratio="keep",
)
def well_draw_h(rate_per_h: float, time_h: float, share_ratio: float, keep_ratio: float) -> float:
    """Hours that turn a steady current into the charge the first well loses to it."""
    settled_h = (1.0 - keep_ratio) / rate_per_h
    return settled_h + share_ratio * (time_h - settled_h)


@formula(
    "q1 * keep + q * refill + I * draw",
    symbol="q1_next",
    unit="Ah",
    rises=("at_hand_Ah", "total_Ah", "current_A"),
    at_hand_Ah="q1",
    total_Ah="q",
    current_A="I",
    keep_ratio="keep",
    refill_ratio="refill",
    draw_h="draw",
)
def at_hand_after_Ah(
    at_hand_Ah: float,
    total_Ah: float,
    current_A: float,
    keep_ratio: float,
    refill_ratio: float,
    draw_h: float,
) -> float:
    """Charge at hand after a step with steady current I (positive: charging).

    The closed form of dq1/dt = I + k' (h2 - h1) of Manwell and McGowan (1993); with keep 0, refill 1 and draw equal
    to the step it is one plain well.
    """
    return at_hand_Ah * keep_ratio + total_Ah * refill_ratio + current_A * draw_h


@formula(
    "(q1 * keep + q * refill) / draw",
    symbol="I_dis",
    unit="A",
    rises=("at_hand_Ah", "total_Ah"),
    at_hand_Ah="q1",
    total_Ah="q",
    keep_ratio="keep",
    refill_ratio="refill",
    draw_h="draw",
)
def wells_give_A(
    at_hand_Ah: float, total_Ah: float, keep_ratio: float, refill_ratio: float, draw_h: float
) -> float:
    """The steady current that empties the first well just at the end of the step."""
    return (at_hand_Ah * keep_ratio + total_Ah * refill_ratio) / draw_h


@formula(
    "(q1_full - q1 * keep - q * refill) / draw",
    symbol="I_acc",
    unit="A",
    falls=("at_hand_Ah", "total_Ah"),
    full_at_hand_Ah="q1_full",
    at_hand_Ah="q1",
    total_Ah="q",
    keep_ratio="keep",
    refill_ratio="refill",
    draw_h="draw",
)
def wells_take_A(
    full_at_hand_Ah: float,
    at_hand_Ah: float,
    total_Ah: float,
    keep_ratio: float,
    refill_ratio: float,
    draw_h: float,
) -> float:
    """The steady current that fills the first well just at the end of the step: why the last of a charge takes hours."""
    return (full_at_hand_Ah - at_hand_Ah * keep_ratio - total_Ah * refill_ratio) / draw_h


@formula(
    "q_max * k * c * t / (1 - exp(-k * t) + c * (k * t - 1 + exp(-k * t)))",
    symbol="C_t",
    unit="Ah",
    rises=("capacity_Ah", "time_h"),
    capacity_Ah="q_max",
    share_ratio="c",
    rate_per_h="k",
    time_h="t",
)
def two_well_capacity_Ah(capacity_Ah: float, share_ratio: float, rate_per_h: float, time_h: float) -> float:
    """Charge that a full two-well bank gives at the steady current that empties it in time t."""
    keep = math.exp(-rate_per_h * time_h)
    return (
        capacity_Ah
        * rate_per_h
        * share_ratio
        * time_h
        / (1.0 - keep + share_ratio * (rate_per_h * time_h - 1.0 + keep))
    )


@formula(
    "1 - exp(20.73 / (I / I_10 + 0.55) * (s - 1))",
    symbol="e_c",
    unit="1",
    falls=("soc_ratio",),
    soc_ratio="s",
    current_A="I",
    ten_hour_A="I_10",
)
def lead_charge_ratio(soc_ratio: float, current_A: float, ten_hour_A: float) -> float:
    """Share of a charging current that a lead-acid bank keeps; the rest makes gas.

    Copetti, Lorenzo and Chenlo, Prog. Photovolt. 1 (1993) 283-292 (coefficients read second-hand).
    """
    return 1.0 - math.exp(20.73 / (current_A / ten_hour_A + 0.55) * (soc_ratio - 1.0))


@formula(
    "t_H * (C / (I * t_H))**n",
    symbol="t_dis",
    unit="",
    rises=("capacity_Ah",),
    falls=("current_A",),
    capacity_Ah="C",
    rated_h="t_H",
    current_A="I",
    peukert_exponent="n",
)
def peukert_h(capacity_Ah: float, rated_h: float, current_A: float, peukert_exponent: float) -> float:
    """Hours by Peukert, for a capacity C given at the t_H-hour rate: a hand check for lead-acid, not the model."""
    return rated_h * math.pow(capacity_Ah / (current_A * rated_h), peukert_exponent)


@formula(
    "ln(t_2 / t_1) / ln(I_1 / I_2)",
    symbol="n",
    unit="1",
    first_A="I_1",
    first_h="t_1",
    second_A="I_2",
    second_h="t_2",
)
def peukert_exponent_ratio(first_A: float, first_h: float, second_A: float, second_h: float) -> float:
    """Peukert's exponent from two discharges."""
    return math.log(second_h / first_h) / math.log(first_A / second_A)
