"""Sums, parts and shares that rules print."""

import math

from ohmwright.working import formula


@formula("a + b", symbol="U", unit="V", rises=("first_V", "second_V"), first_V="a", second_V="b")
def sum_V(first_V: float, second_V: float) -> float:
    """Volts of two things in series."""
    return first_V + second_V


@formula("a + b", symbol="I", unit="A", rises=("first_A", "second_A"), first_A="a", second_A="b")
def sum_A(first_A: float, second_A: float) -> float:
    """Currents that meet."""
    return first_A + second_A


@formula("Ta + dT", symbol="T", unit="degC", rises=("air_degC", "rise_K"), air_degC="Ta", rise_K="dT")
def sum_degC(air_degC: float, rise_K: float) -> float:
    """Temperature of something warmer than the air."""
    return air_degC + rise_K


@formula("a + b", symbol="P", unit="W", rises=("first_W", "second_W"), first_W="a", second_W="b")
def sum_W(first_W: float, second_W: float) -> float:
    """Power of two things that run at once."""
    return first_W + second_W


@formula("k * a", symbol="I_most", unit="A", rises=("part_ratio", "rated_A"), part_ratio="k", rated_A="a")
def part_A(part_ratio: float, rated_A: float) -> float:
    """A part of a rated current."""
    return part_ratio * rated_A


@formula("s * I", symbol="I_one", unit="A", rises=("share_ratio", "total_A"), share_ratio="s", total_A="I")
def share_A(share_ratio: float, total_A: float) -> float:
    """One battery's part of a bank's current; the share is found by nodal analysis of the bank."""
    return share_ratio * total_A


@formula("n * a", symbol="U", unit="V", rises=("poles_count", "pole_V"), poles_count="n", pole_V="a")
def poles_V(poles_count: float, pole_V: float) -> float:
    """Direct volts that poles in series may break together."""
    return poles_count * pole_V


@formula("n * a", symbol="I_all", unit="A", rises=("many_count", "one_A"), many_count="n", one_A="a")
def many_A(many_count: float, one_A: float) -> float:
    """Current of equal things beside each other."""
    return many_count * one_A


@formula(
    "n * C * U * u / E", symbol="d", unit="day", rises=("many_count", "capacity_Ah", "nominal_V", "usable_ratio"), falls=("daily_Wh_per_day",),
    many_count="n", capacity_Ah="C", nominal_V="U", usable_ratio="u", daily_Wh_per_day="E",
)  # fmt: skip
def autonomy_days(
    many_count: float, capacity_Ah: float, nominal_V: float, usable_ratio: float, daily_Wh_per_day: float
) -> float:
    """Days that a full bank lasts with nothing coming in.

    d  day     returned
    n  1       batteries                        many_count
    C  Ah      capacity of one                  capacity_Ah
    U  V       nominal volts of one             nominal_V
    u  1       usable part                      usable_ratio
    E  Wh/day  what the loads take at the bank  daily_Wh_per_day
    """
    return many_count * capacity_Ah * nominal_V * usable_ratio / daily_Wh_per_day


@formula(
    "I * U / (eta * Uac * pf)", symbol="I_ac", unit="A", rises=("charge_A", "charge_V"), falls=("efficiency_ratio", "supply_V", "power_ratio"),
    charge_A="I", charge_V="U", efficiency_ratio="eta", supply_V="Uac", power_ratio="pf",
)  # fmt: skip
def charger_input_A(
    charge_A: float, charge_V: float, efficiency_ratio: float, supply_V: float, power_ratio: float
) -> float:
    """Alternating current that a charger takes from its supply.

        I_ac  A  returned
        I     A  charging current                   charge_A
        U     V  charging voltage                   charge_V
        eta   1  efficiency                         efficiency_ratio
        Uac   V  supply voltage                     supply_V
        pf    1  power factor                       power_ratio

    >>> round(charger_input_A(120, 14.2, 0.88, 120, 1.0), 1)
    16.1
    """
    return charge_A * charge_V / (efficiency_ratio * supply_V * power_ratio)


@formula("P / U", symbol="I", unit="A", rises=("power_W",), falls=("supply_V",), power_W="P", supply_V="U")
def load_A(power_W: float, supply_V: float) -> float:
    """Current of a load of unity power factor."""
    return power_W / supply_V


@formula("I / 1000", symbol="I_kA", unit="kA", rises=("current_A",), current_A="I")
def in_kA(current_A: float) -> float:
    """A fault current in kiloamperes, as fuses are printed."""
    return current_A / 1000


@formula("1000 * L", symbol="L_mm", unit="mm", rises=("length_m",), length_m="L")
def in_mm(length_m: float) -> float:
    """A length in millimetres, as rules print it."""
    return 1000 * length_m


@formula(
    "a - b", symbol="U_drop", unit="V", rises=("first_V",), falls=("second_V",), first_V="a", second_V="b"
)
def difference_V(first_V: float, second_V: float) -> float:
    """Volts lost between two places."""
    return first_V - second_V


@formula(
    "I / In", symbol="m", unit="1", rises=("current_A",), falls=("rated_A",), current_A="I", rated_A="In"
)
def multiple_ratio(current_A: float, rated_A: float) -> float:
    """A fault current as a multiple of a device's rating."""
    return current_A / rated_A


@formula("100 * x", symbol="p", unit="%", rises=("part_ratio",), part_ratio="x")
def in_percent(part_ratio: float) -> float:
    """A part in per cent, as rules print it."""
    return 100 * part_ratio


@formula("a + b", symbol="L", unit="m", rises=("first_m", "second_m"), first_m="a", second_m="b")
def sum_m(first_m: float, second_m: float) -> float:
    """Lengths one behind the other."""
    return first_m + second_m


@formula("n * a", symbol="U", unit="V", rises=("many_count", "one_V"), many_count="n", one_V="a")
def many_V(many_count: float, one_V: float) -> float:
    """Volts of equal things in series, or a limit told per 12 V."""
    return many_count * one_V


@formula(
    "s * n", symbol="s_mean", unit="1", rises=("share_ratio", "many_count"), share_ratio="s", many_count="n"
)
def over_mean_ratio(share_ratio: float, many_count: float) -> float:
    """One battery's current over the mean of all that are in parallel."""
    return share_ratio * many_count


@formula(
    "t * P / E",
    symbol="p",
    unit="1",
    rises=("hours_h", "power_W"),
    falls=("daily_Wh_per_day",),
    hours_h="t",
    power_W="P",
    daily_Wh_per_day="E",
)
def of_day_ratio(hours_h: float, power_W: float, daily_Wh_per_day: float) -> float:
    """What something takes in its hours of a day, as part of the day's energy."""
    return hours_h * power_W / daily_Wh_per_day


@formula("P / Pn", symbol="p", unit="1", rises=("load_W",), falls=("rated_W",), load_W="P", rated_W="Pn")
def of_rated_ratio(load_W: float, rated_W: float) -> float:
    """A load as part of what may be drawn."""
    return load_W / rated_W


@formula("S / Sn", symbol="s", unit="1", rises=("load_VA",), falls=("rated_VA",), load_VA="S", rated_VA="Sn")
def of_rated_apparent_ratio(load_VA: float, rated_VA: float) -> float:
    """An apparent load as part of what may be drawn."""
    return load_VA / rated_VA


@formula(
    "loss * max(h - h0, 0) / 100", symbol="part", unit="1", rises=("loss_ratio", "altitude_m"), falls=("free_m",), loss_ratio="loss", altitude_m="h", free_m="h0",
)  # fmt: skip
def thin_air_ratio(loss_ratio: float, altitude_m: float, free_m: float) -> float:
    """Part of an engine's power lost to height above `free_m`, so much for each 100 m."""
    return loss_ratio * max(altitude_m - free_m, 0.0) / 100


@formula(
    "(1 - p) * P",
    symbol="P_left",
    unit="W",
    rises=("rated_W",),
    falls=("lost_ratio",),
    rated_W="P",
    lost_ratio="p",
)
def left_W(rated_W: float, lost_ratio: float) -> float:
    """Power that is left of a rating."""
    return (1 - lost_ratio) * rated_W


@formula(
    "sqrt(a ** 2 + b ** 2)", symbol="u", unit="A", rises=("first_A", "second_A"), first_A="a", second_A="b"
)
def together_A(first_A: float, second_A: float) -> float:
    """Uncertainty of the difference of two readings that err independently."""
    return math.sqrt(first_A**2 + second_A**2)


@formula(
    "E / P",
    symbol="d",
    unit="day",
    rises=("stored_Wh",),
    falls=("drain_Wh_per_day",),
    stored_Wh="E",
    drain_Wh_per_day="P",
)
def until_empty_days(stored_Wh: float, drain_Wh_per_day: float) -> float:
    """Days until something that drains steadily is empty."""
    return stored_Wh / drain_Wh_per_day


@formula(
    "U * C * (s0 - s1)",
    symbol="E",
    unit="Wh",
    rises=("from_ratio",),
    falls=("to_ratio",),
    nominal_V="U",
    capacity_Ah="C",
    from_ratio="s0",
    to_ratio="s1",
)
def between_Wh(nominal_V: float, capacity_Ah: float, from_ratio: float, to_ratio: float) -> float:
    """Energy of a battery between two states of charge."""
    return nominal_V * capacity_Ah * (from_ratio - to_ratio)


@formula("n * t", symbol="t_want", unit="s", rises=("many_count", "seconds_s"), many_count="n", seconds_s="t")
def times_s(many_count: float, seconds_s: float) -> float:
    """So many times a duration."""
    return many_count * seconds_s


@formula("k * U", symbol="U_want", unit="V", rises=("part_ratio", "whole_V"), part_ratio="k", whole_V="U")
def part_V(part_ratio: float, whole_V: float) -> float:
    """A part of a nominal voltage."""
    return part_ratio * whole_V


@formula("a + b", symbol="R", unit="ohm", rises=("first_ohm", "second_ohm"), first_ohm="a", second_ohm="b")
def sum_ohm(first_ohm: float, second_ohm: float) -> float:
    """Resistances in series."""
    return first_ohm + second_ohm


@formula(
    "I * U / eta",
    symbol="P",
    unit="W",
    rises=("charge_A", "charge_V"),
    charge_A="I",
    charge_V="U",
    efficiency_ratio="eta",
    falls=("efficiency_ratio",),
)
def charger_input_W(charge_A: float, charge_V: float, efficiency_ratio: float) -> float:
    """Power that a charger takes from its supply."""
    return charge_A * charge_V / efficiency_ratio


@formula(
    "P / pf", symbol="S", unit="VA", rises=("power_W",), falls=("power_ratio",), power_W="P", power_ratio="pf"
)
def apparent_VA(power_W: float, power_ratio: float) -> float:
    """Apparent power of a load."""
    return power_W / power_ratio


@formula("a + b", symbol="S", unit="VA", rises=("first_VA", "second_VA"), first_VA="a", second_VA="b")
def sum_VA(first_VA: float, second_VA: float) -> float:
    """Apparent powers of loads that run at once, as if in phase."""
    return first_VA + second_VA


@formula(
    "(1 - p) * S",
    symbol="S_left",
    unit="VA",
    rises=("rated_VA",),
    falls=("lost_ratio",),
    rated_VA="S",
    lost_ratio="p",
)
def left_VA(rated_VA: float, lost_ratio: float) -> float:
    """Apparent power that is left of a rating."""
    return (1 - lost_ratio) * rated_VA


@formula("a - b", symbol="dU", unit="V", rises=("noble_V",), falls=("base_V",), noble_V="a", base_V="b")
def apart_V(noble_V: float, base_V: float) -> float:
    """Difference of potential of two metals in the same water."""
    return noble_V - base_V


@formula(
    "a + b",
    symbol="E_day",
    unit="Wh/day",
    rises=("first_Wh_per_day", "second_Wh_per_day"),
    first_Wh_per_day="a",
    second_Wh_per_day="b",
)
def sum_Wh_per_day(first_Wh_per_day: float, second_Wh_per_day: float) -> float:
    """What two things take in a day."""
    return first_Wh_per_day + second_Wh_per_day


@formula(
    "E / eta + 24 * P0", symbol="E_dc", unit="Wh/day", rises=("loads_Wh_per_day", "idle_W"), falls=("efficiency_ratio",),
    loads_Wh_per_day="E", efficiency_ratio="eta", idle_W="P0",
)  # fmt: skip
def through_inverter_Wh_per_day(loads_Wh_per_day: float, efficiency_ratio: float, idle_W: float) -> float:
    """What a bank gives in a day for loads behind an inverter that is left on.

        E_dc  Wh/day  returned
        E     Wh/day  of the loads themselves        loads_Wh_per_day
        eta   1       of the inverter                efficiency_ratio
        P0    W       what it takes while it idles   idle_W

    >>> round(through_inverter_Wh_per_day(1910, 0.91, 20))
    2579
    """
    return loads_Wh_per_day / efficiency_ratio + 24 * idle_W


@formula(
    "C * (1 - k / 100 * max(25 - T, 0))", symbol="C_cold", unit="Ah", rises=("capacity_Ah", "bank_degC"), falls=("loss_percent_per_K",),
    ranges={"loss_percent_per_K": (0.0, 1.0), "bank_degC": (-40.0, 60.0)}, capacity_Ah="C", loss_percent_per_K="k", bank_degC="T",
)  # fmt: skip
def cold_capacity_Ah(capacity_Ah: float, loss_percent_per_K: float, bank_degC: float) -> float:
    """Capacity of a battery in the cold, taken as a straight line below 25 degC.

        C_cold  Ah    returned
        C       Ah    printed, at 25 degC         capacity_Ah
        k       %/K   lost for each kelvin below  loss_percent_per_K
        T       degC  of the battery              bank_degC

    From -40 degC up, for losses of at most 1 %/K.

    >>> cold_capacity_Ah(200, 0.6, 0)
    170.0
    """
    return capacity_Ah * (1 - loss_percent_per_K / 100 * max(25 - bank_degC, 0))


@formula(
    "I / C",
    symbol="r",
    unit="1/h",
    rises=("current_A",),
    falls=("capacity_Ah",),
    current_A="I",
    capacity_Ah="C",
)
def rate_per_h(current_A: float, capacity_Ah: float) -> float:
    """A current as part of a capacity."""
    return current_A / capacity_Ah


@formula(
    "100 * (a - b) / a", symbol="p", unit="%", rises=("high_V",), falls=("low_V",), high_V="a", low_V="b"
)
def apart_percent(high_V: float, low_V: float) -> float:
    """How far two voltages lie apart, in per cent of the higher."""
    return 100 * (high_V - low_V) / high_V


@formula(
    "k * max(T - 25, 0)",
    symbol="hot",
    unit="1",
    rises=("loss_per_K", "air_degC"),
    loss_per_K="k",
    air_degC="T",
)
def hot_air_ratio(loss_per_K: float, air_degC: float) -> float:
    """Part of its power that an engine loses in air above 25 degC."""
    return loss_per_K * max(air_degC - 25, 0)


@formula(
    "a + b", symbol="lost", unit="1", rises=("first_ratio", "second_ratio"), first_ratio="a", second_ratio="b"
)
def lost_together_ratio(first_ratio: float, second_ratio: float) -> float:
    """Two losses of one whole, added: a little more than one after the other."""
    return first_ratio + second_ratio


@formula(
    "a - b", symbol="I_rest", unit="A", rises=("first_A",), falls=("second_A",), first_A="a", second_A="b"
)
def difference_A(first_A: float, second_A: float) -> float:
    """What is left of a current."""
    return first_A - second_A


@formula(
    "100 * abs(a - b) / b", symbol="off", unit="%", told_Ah="a", has_Ah="b",
)  # fmt: skip
def off_percent(told_Ah: float, has_Ah: float) -> float:
    """How far a capacity that somebody set lies beside the one that there is, in per cent of that.

    off  %   returned
    a    Ah  what was set, 0 or more   told_Ah
    b    Ah  what there is, above 0    has_Ah

    >>> off_percent(800.0, 600.0) - 100 / 3 < 1e-9
    True
    """
    return 100 * abs(told_Ah - has_Ah) / has_Ah


@formula(
    "100 * P * 24 * t / (U * C)", symbol="missed", unit="%", rises=("drain_W", "stored_days"), falls=("bank_V", "capacity_Ah"),
    drain_W="P", stored_days="t", bank_V="U", capacity_Ah="C",
)  # fmt: skip
def missed_percent(drain_W: float, stored_days: float, bank_V: float, capacity_Ah: float) -> float:
    """What draws ahead of a counter for so many days, in per cent of the bank.

    missed  %    returned
    P       W    what it never sees        drain_W
    t       day  how long it stands        stored_days
    U       V    nominal, above 0          bank_V
    C       Ah   of the bank, above 0      capacity_Ah

    >>> round(missed_percent(1.6, 181.0, 12.8, 800.0), 1)  # four managements of 0.4 W: 6,950 Wh of 10,240 Wh
    67.9
    """
    return 100 * drain_W * 24 * stored_days / (bank_V * capacity_Ah)
