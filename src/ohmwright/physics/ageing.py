"""Ageing of lithium iron phosphate cells after two published laboratory studies: a range to compare, not a warranty.

Naumann and others: calendar, J. Energy Storage 17 (2018) 153-169; cycles, J. Power Sources 451 (2020) 227666.  Wang and others,
J. Power Sources 196 (2011) 3942-3948.  All coefficients were read second-hand or are from memory; none of the pages was seen.
Each study fits one cell of one maker.
"""

import math

from ohmwright.working import formula

YEAR_s = 31_557_600.0


@formula(
    "1.2571e-5 * exp(-17126 / 8.314462618 * (1 / (T + 273.15) - 1 / 298.15)) * (2.8575 * (s - 0.5)**3 + 0.60225) * sqrt(31557600)",
    symbol="q_1", unit="1", rises=("cell_degC", "soc_ratio"), cell_degC="T", soc_ratio="s",
)  # fmt: skip
def first_year_lost_ratio(cell_degC: float, soc_ratio: float) -> float:
    """Share of capacity lost by standing through a first year at that temperature and charge (Naumann 2018)."""
    heat = math.exp(-17126.0 / 8.314462618 * (1.0 / (cell_degC + 273.15) - 1.0 / 298.15))
    return 1.2571e-5 * heat * (2.8575 * (soc_ratio - 0.5) ** 3 + 0.60225) * math.sqrt(YEAR_s)


@formula("q_1 * sqrt(t / 31557600)", symbol="q_cal", unit="1", rises=("first_year_ratio", "time_s"), first_year_ratio="q_1", time_s="t")  # fmt: skip
def calendar_lost_ratio(first_year_ratio: float, time_s: float) -> float:
    """Share of capacity lost by standing for a time, from what the first year takes: a root law."""
    return first_year_ratio * math.sqrt(time_s / YEAR_s)


@formula(
    "(0.0630 * C + 0.0971) * (4.0253 * (d - 0.6)**3 + 1.0923) / 100",
    symbol="k_cyc", unit="1", rises=("rate_per_h", "depth_ratio"), rate_per_h="C", depth_ratio="d",
)  # fmt: skip
def first_cycle_lost_ratio(rate_per_h: float, depth_ratio: float) -> float:
    """Share of capacity lost by a first full equivalent cycle of that depth and rate (Naumann 2020; no temperature in it)."""
    return (0.0630 * rate_per_h + 0.0971) * (4.0253 * (depth_ratio - 0.6) ** 3 + 1.0923) / 100.0


@formula(
    "k_cyc * sqrt(n)", symbol="q_cyc", unit="1", rises=("first_cycle_ratio", "full_cycles_count"),
    first_cycle_ratio="k_cyc", full_cycles_count="n",
)  # fmt: skip
def cycle_lost_ratio(first_cycle_ratio: float, full_cycles_count: float) -> float:
    """Share of capacity lost by full equivalent cycles, from what the first takes: a root law."""
    return first_cycle_ratio * math.sqrt(full_cycles_count)


@formula(
    "31630 * exp((-31700 + 370.3 * C) / (8.314462618 * (T + 273.15))) * Q**0.55 / 100",
    symbol="q_wang", unit="1", rises=("cell_degC", "rate_per_h", "through_Ah"), rate_per_h="C", cell_degC="T", through_Ah="Q",
)  # fmt: skip
def wang_lost_ratio(rate_per_h: float, cell_degC: float, through_Ah: float) -> float:
    """Share of capacity lost by cycling, for the charge that went through a cell of 2.2 Ah (Wang 2011, B for half the capacity an hour)."""
    energy = (-31700.0 + 370.3 * rate_per_h) / (8.314462618 * (cell_degC + 273.15))
    return 31630.0 * math.exp(energy) * math.pow(through_Ah, 0.55) / 100.0


@formula(
    "3.4194e-10 * exp(-71827 / 8.314462618 * (1 / (T + 273.15) - 1 / 298.15)) * t",
    symbol="r_cal", unit="1", rises=("cell_degC", "time_s"), cell_degC="T", time_s="t",
)  # fmt: skip
def resistance_grown_ratio(cell_degC: float, time_s: float) -> float:
    """Growth of resistance by standing (Naumann 2018), without its dependence on charge, whose form was not seen."""
    heat = math.exp(-71827.0 / 8.314462618 * (1.0 / (cell_degC + 273.15) - 1.0 / 298.15))
    return 3.4194e-10 * heat * time_s


@formula(
    "(q / k)**2",
    symbol="x",
    unit="1",
    rises=("lost_ratio",),
    falls=("first_ratio",),
    lost_ratio="q",
    first_ratio="k",
)
def virtual_age_ratio(lost_ratio: float, first_ratio: float) -> float:
    """After how many first years or cycles of the present stress a root law would have lost what is lost: from there it goes on."""
    return (lost_ratio / first_ratio) ** 2
