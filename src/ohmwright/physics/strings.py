"""PV strings: cold voltage, hot voltage, the currents that conductors, fuses and modules must bear."""

import math

from ohmwright.standards.published import Published, table
from ohmwright.working import formula


@formula(
    "n * Voc * (1 + b / 100 * (T - 25))",
    symbol="Voc_cold", unit="V", rises=("in_series_count", "open_circuit_V"), falls=("coefficient_percent_per_K", "coldest_degC"),
    in_series_count="n", open_circuit_V="Voc", coefficient_percent_per_K="b", coldest_degC="T",
)  # fmt: skip
def cold_string_V(
    in_series_count: float, open_circuit_V: float, coefficient_percent_per_K: float, coldest_degC: float
) -> float:
    """Open-circuit volts of a string in the cold, by the maker's coefficient in per cent.

        Voc_cold  V     returned
        n         1     modules in series           in_series_count
        Voc       V     open circuit at 25 degC     open_circuit_V
        b         %/K   coefficient, below 0        coefficient_percent_per_K
        T         degC  lowest cell temperature     coldest_degC

    The directions hold below 25 degC with a coefficient below 0.

    Source: NFPA 70 (2023) 690.7(A)(1); IEC 62548-1.

    >>> round(cold_string_V(3, 37.1, -0.27, -34), 2)
    129.03
    """
    return in_series_count * open_circuit_V * (1 + coefficient_percent_per_K / 100 * (coldest_degC - 25))


@formula(
    "n * (Voc + b * (T - 25))",
    symbol="Voc_cold", unit="V", rises=("in_series_count", "open_circuit_V"), falls=("coefficient_V_per_K", "coldest_degC"),
    in_series_count="n", open_circuit_V="Voc", coefficient_V_per_K="b", coldest_degC="T",
)  # fmt: skip
def cold_string_by_volts_V(
    in_series_count: float, open_circuit_V: float, coefficient_V_per_K: float, coldest_degC: float
) -> float:
    """As `cold_string_V`, by a coefficient in volts per kelvin and module.

        Voc_cold  V     returned
        n         1     modules in series           in_series_count
        Voc       V     open circuit at 25 degC     open_circuit_V
        b         V/K   coefficient, below 0        coefficient_V_per_K
        T         degC  lowest cell temperature     coldest_degC

    Source: NFPA 70 (2023) 690.7(A)(1).

    >>> round(cold_string_by_volts_V(1, 22.6, -0.075, -7), 1)
    25.0
    """
    return in_series_count * (open_circuit_V + coefficient_V_per_K * (coldest_degC - 25))


@formula(
    "n * Voc * k", symbol="Voc_table", unit="V", rises=("in_series_count", "open_circuit_V", "table_factor"),
    in_series_count="n", open_circuit_V="Voc", table_factor="k",
)  # fmt: skip
def cold_string_by_table_V(in_series_count: float, open_circuit_V: float, table_factor: float) -> float:
    """Open-circuit volts of a string of crystalline silicon in the cold, by table.

        Voc_table  V  returned
        n          1  modules in series             in_series_count
        Voc        V  open circuit at 25 degC       open_circuit_V
        k          1  factor of Table 690.7(A)      table_factor

    Source: NFPA 70 (2023) 690.7(A)(2).  Not always the larger: compare with the coefficient.

    >>> round(cold_string_by_table_V(3, 37.1, 1.23), 1)
    136.9
    """
    return in_series_count * open_circuit_V * table_factor


def cold_factor(coldest_degC: float) -> Published | None:
    """Factor of Table 690.7(A): 1 at 25 degC and above, None below the end of the table at -40 degC.

    >>> cold_factor(-34).value, cold_factor(-45)
    (1.23, None)
    """
    rows = table("nec-690.7")
    if coldest_degC >= 25:
        return Published("nec-690.7/25/factor", 1.0, "1", rows.clause, "no correction at 25 degC and above")
    row = next((r for r in rows.rows if coldest_degC >= float(r)), None)
    return None if row is None else rows.cell(row, "factor")


@formula(
    "n * Vmp * (1 + g / 100 * (T - 25))",
    symbol="Vmp_hot", unit="V", rises=("in_series_count", "power_point_V", "coefficient_percent_per_K"), falls=("hottest_degC",),
    in_series_count="n", power_point_V="Vmp", coefficient_percent_per_K="g", hottest_degC="T",
)  # fmt: skip
def hot_string_V(
    in_series_count: float, power_point_V: float, coefficient_percent_per_K: float, hottest_degC: float
) -> float:
    """Power-point volts of a string in the heat.

        Vmp_hot  V     returned
        n        1     modules in series            in_series_count
        Vmp      V     power point at 25 degC       power_point_V
        g        %/K   coefficient, below 0         coefficient_percent_per_K
        T        degC  highest cell temperature     hottest_degC

    The directions hold above 25 degC with a coefficient below 0.

    Source: physics, linear in temperature between 0 and 90 degC.
    """
    return in_series_count * power_point_V * (1 + coefficient_percent_per_K / 100 * (hottest_degC - 25))


@formula(
    "k * n * Isc", symbol="Imax", unit="A", rises=("margin_factor", "in_parallel_count", "short_circuit_A"),
    margin_factor="k", in_parallel_count="n", short_circuit_A="Isc",
)  # fmt: skip
def circuit_A(margin_factor: float, in_parallel_count: float, short_circuit_A: float) -> float:
    """Current that a PV circuit counts with.

        Imax  A  returned
        k     1  margin of the code, 1.25           margin_factor
        n     1  strings in parallel                in_parallel_count
        Isc   A  short-circuit current of one       short_circuit_A

    Source: NFPA 70 (2023) 690.8(A)(1); IEC 62548-1.

    >>> circuit_A(1.25, 1, 8.8)
    11.0
    """
    return margin_factor * in_parallel_count * short_circuit_A


@formula(
    "c * k * n * Isc", symbol="I_size", unit="A", rises=("continuous_factor", "margin_factor", "in_parallel_count", "short_circuit_A"),
    continuous_factor="c", margin_factor="k", in_parallel_count="n", short_circuit_A="Isc",
)  # fmt: skip
def sizing_A(
    continuous_factor: float, margin_factor: float, in_parallel_count: float, short_circuit_A: float
) -> float:
    """Current that the conductor (bare of other factors) and the device of a PV circuit are sized for.

        I_size  A  returned
        c       1  continuous duty, 1.25 (us), 1 (eu) continuous_factor
        k       1  margin on short circuit          margin_factor
        n       1  strings in parallel              in_parallel_count
        Isc     A  short-circuit current of one     short_circuit_A

    Source: NFPA 70 (2023) 690.8(B), 690.9(B): 1.25 twice, 1.5625 in all, never three times and never once.

    >>> round(sizing_A(1.25, 1.25, 1, 8.8), 3)
    13.75
    """
    return continuous_factor * margin_factor * in_parallel_count * short_circuit_A


@formula(
    "(n - 1) * k * Isc", symbol="I_rev", unit="A", rises=("in_parallel_count", "margin_factor", "short_circuit_A"),
    in_parallel_count="n", margin_factor="k", short_circuit_A="Isc",
)  # fmt: skip
def reverse_A(in_parallel_count: float, margin_factor: float, short_circuit_A: float) -> float:
    """Current that the sound strings push backward into a faulted one.

        I_rev  A  returned
        n      1  strings in parallel               in_parallel_count
        k      1  1.25 (us) or 1 (eu)               margin_factor
        Isc    A  short-circuit current of one      short_circuit_A

    Source: NFPA 70 (2023) 690.9(A); IEC 62548-1.
    """
    return (in_parallel_count - 1) * margin_factor * short_circuit_A


@formula("1 - P / P0", symbol="loss", unit="1", rises=("sum_W",), falls=("best_W",), best_W="P", sum_W="P0")
def series_loss_ratio(best_W: float, sum_W: float) -> float:
    """Power lost by unequal modules in series, bypass diodes working.

    loss  1  returned
    P     W  best that the string gives: for each current, the modules that carry it best_W
    P0    W  sum of the modules' own             sum_W
    """
    return 1 - best_W / sum_W


@formula(
    "U / Ub", symbol="r", unit="1", rises=("string_V",), falls=("battery_V",), string_V="U", battery_V="Ub"
)
def voltage_ratio(string_V: float, battery_V: float) -> float:
    """Power-point volts of a string over charging volts."""
    return string_V / battery_V


@formula("k * U", symbol="U_start", unit="V", rises=("part_ratio", "open_V"), part_ratio="k", open_V="U")
def starting_V(part_ratio: float, open_V: float) -> float:
    """Part of a string's hot open-circuit volts that a controller can count on when it starts."""
    return part_ratio * open_V


@formula(
    "k * P / U",
    symbol="I_quick",
    unit="A",
    rises=("part_ratio", "array_W"),
    falls=("charge_V",),
    part_ratio="k",
    array_W="P",
    charge_V="U",
)
def quick_output_A(part_ratio: float, array_W: float, charge_V: float) -> float:
    """Charging current that an array reaches on its good hours.

        I_quick  A  returned
        k        1  part of the rated power on a clear noon, 0.80 flat part_ratio
        P        W  rated power of the array        array_W
        U        V  charging volts                  charge_V

    >>> round(quick_output_A(0.80, 1230, 14.2), 1)
    69.3
    """
    return part_ratio * array_W / charge_V


@formula(
    "sqrt(1 - min(I / I_quick, 1) ** 2) - min(I / I_quick, 1) * acos(min(I / I_quick, 1))",
    symbol="clip", unit="1", rated_A="I", peak_A="I_quick", ranges={"rated_A": (10, 100), "peak_A": (10, 100)},
)  # fmt: skip
def clipped_ratio(rated_A: float, peak_A: float) -> float:
    """Part of a clear day's charge that a controller cuts off, the day taken as half a sine: more than any year has.

    clip     1  returned
    I        A  output current of the controller rated_A
    I_quick  A  charging current on a clear noon peak_A

    >>> round(clipped_ratio(90, 100), 3), clipped_ratio(100, 100)
    (0.03, 0.0)
    """
    x = min(rated_A / peak_A, 1.0)
    return math.sqrt(1 - x**2) - x * math.acos(x)


@formula(
    "n * Voc * (1 + b / 100 * (T - 25))", symbol="Voc_hot", unit="V", rises=("open_circuit_V",), in_series_count="n", open_circuit_V="Voc",
    coefficient_percent_per_K="b", hottest_degC="T", ranges={"coefficient_percent_per_K": (-0.5, 0.0), "hottest_degC": (25.0, 90.0)},
)  # fmt: skip
def hot_open_string_V(
    in_series_count: float, open_circuit_V: float, coefficient_percent_per_K: float, hottest_degC: float
) -> float:
    """Open-circuit voltage of a string with hot cells.

        Voc_hot  V     returned
        n        1     modules in series                in_series_count
        Voc      V     printed, at 25 degC              open_circuit_V
        b        %/K   printed coefficient, negative    coefficient_percent_per_K
        T        degC  of the cells                     hottest_degC

    From 25 to 90 degC.

    >>> round(hot_open_string_V(1, 24.6, -0.28, 67.3), 2)
    21.69
    """
    return in_series_count * open_circuit_V * (1 + coefficient_percent_per_K / 100 * (hottest_degC - 25))
