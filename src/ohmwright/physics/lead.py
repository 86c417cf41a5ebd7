"""What a lead-acid battery gives at another current than its label's."""

import math

from ohmwright.working import formula


@formula(
    "C * (C / (I * t)) ** (k - 1)", symbol="C_I", unit="Ah", capacity_Ah="C", rated_hours_h="t", current_A="I", peukert_exponent="k",
    ranges={"peukert_exponent": (1.05, 1.3), "current_A": (1, 50), "capacity_Ah": (50, 500), "rated_hours_h": (5, 20)},
)  # fmt: skip
def capacity_at_rate_Ah(
    capacity_Ah: float, rated_hours_h: float, current_A: float, peukert_exponent: float
) -> float:
    """Capacity at a current, from the capacity printed for some hours.

        C_I  Ah  returned
        C    Ah  printed capacity                   capacity_Ah
        t    h   discharge time it is printed for   rated_hours_h
        I    A   current                            current_A
        k    1   Peukert exponent, 1.1 to 1.3       peukert_exponent

    Source: Peukert (1897) in the form of Doerffel and Sharkh, J. Power Sources 155 (2006) 395.

    >>> round(capacity_at_rate_Ah(250, 20, 20, 1.3), 1)
    217.1
    """
    return capacity_Ah * math.pow(capacity_Ah / (current_A * rated_hours_h), peukert_exponent - 1)


@formula(
    "E / (U * u)", symbol="C_want", unit="Ah", rises=("daily_Wh_per_day",), falls=("system_V", "usable_ratio"),
    daily_Wh_per_day="E", system_V="U", usable_ratio="u",
)  # fmt: skip
def needed_Ah(daily_Wh_per_day: float, system_V: float, usable_ratio: float) -> float:
    """Capacity that a day's loads ask for.

    C_want  Ah      returned
    E       Wh/day  loads of a day              daily_Wh_per_day
    U       V       nominal volts of the bank   system_V
    u       1       usable part                 usable_ratio
    """
    return daily_Wh_per_day / (system_V * usable_ratio)


@formula("(E - U) / R", symbol="I", unit="A", source_V="E", bank_V="U", loop_ohm="R")
def cord_A(source_V: float, bank_V: float, loop_ohm: float) -> float:
    """Current that a higher voltage pushes into a battery through a cable, nothing between.

    I  A    returned
    E  V    alternator                          source_V
    U  V    battery                             bank_V
    R  ohm  the whole loop                      loop_ohm

    >>> round(cord_A(14.0, 12.8, 0.13), 1)
    9.2
    """
    return (source_V - bank_V) / loop_ohm


@formula(
    "U * C * p / 100 / 30.4", symbol="E_self", unit="Wh/day", nominal_V="U", capacity_Ah="C", loss_percent_per_month="p",
)  # fmt: skip
def self_drain_Wh_per_day(nominal_V: float, capacity_Ah: float, loss_percent_per_month: float) -> float:
    """What a battery loses by itself in a day, of its full charge.

    E_self  Wh/day  returned
    U       V       nominal volts               nominal_V
    C       Ah      capacity                    capacity_Ah
    p       %/month self-discharge              loss_percent_per_month
    """
    return nominal_V * capacity_Ah * loss_percent_per_month / 100 / 30.4
