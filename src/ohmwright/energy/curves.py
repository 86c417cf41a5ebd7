"""Tables of a class of battery, and the numbers that stand for them in the hour's arithmetic.

The tables are the reference.  What the loop and the kernel use are lines with bends and constants of two wells;
how far these lie from the table is told by `rest_error_V` and printed with the year.
"""

from itertools import pairwise

from ohmwright.physics.bank import (
    rest_V,
    two_well_capacity_Ah,
    well_draw_h,
    well_keep_ratio,
    well_refill_ratio,
)
from ohmwright.physics.rest import LFP_CELL_V, table_V

# Rest voltage of a lead-acid cell as the hour takes it: its half gap and resistance are fitted beside it (see `habits`).
LEAD_CELL: tuple[tuple[float, float], ...] = ((0.0, 1.96), (0.5, 2.045), (1.0, 2.13))

KNEES: dict[str, tuple[float, ...]] = {
    "lfp": (0.05, 0.10, 0.20, 0.30, 0.95, 0.99),
    "lead": (0.5,),
}
TABLES = {"lfp": LFP_CELL_V, "lead": LEAD_CELL}

# Half the gap between charging and discharging voltage of a cell at next to no current.  Lithium iron phosphate: half
# cells published with doi 10.1016/j.jpowsour.2025.236290, about 67 mV between the two at C/50.  Lead-acid: Copetti,
# Lorenzo and Chenlo (1993), their two voltages at half charge: 28 mV without current, 40 from next to none on (coefficients read second-hand).
HALF_GAP_V = {"lfp": 0.034, "lead": 0.040}

# Two wells of a lead-acid battery: share at hand and rate, fitted to capacities of 100, 93, 85 and 60 % at the
# 20, 10, 5 and 1 hour rates (a common data sheet shape; no single source), and the whole charge over the 20 h one.
LEAD_WELLS = (0.46, 0.95, 1.055)


def rest_numbers(chemistry: str, cells: float) -> tuple[float, ...]:
    """The fourteen numbers of `rest_V` for `cells` in series: exact at both ends and at every knee."""
    table, knees = TABLES[chemistry], KNEES[chemistry]
    points = [(s, table_V(table, s) * cells) for s in (0.0, *knees, 1.0)]
    slopes = [(v1 - v0) / (s1 - s0) for (s0, v0), (s1, v1) in pairwise(points)]
    bends = [b - a for a, b in pairwise(slopes)]
    pairs = [*zip(bends, knees, strict=True)] + [(0.0, 0.5)] * (6 - len(knees))
    base = points[0][1] - sum(b * k for b, k in pairs)
    return (base, slopes[0], *(x for pair in pairs for x in pair))


def rest_error_V(chemistry: str) -> float:
    """The largest distance of a cell's lines from its table."""
    numbers = rest_numbers(chemistry, 1.0)
    return max(abs(rest_V(i / 1000, *numbers) - table_V(TABLES[chemistry], i / 1000)) for i in range(1001))


def well_numbers(share_ratio: float, rate_per_h: float | None, parts: int = 1) -> tuple[float, float, float]:
    """keep, refill and draw for steps of one of `parts` of an hour, the draw in such steps; one plain well when there is no rate."""
    if rate_per_h is None:
        return 0.0, 1.0, 1.0
    rate = rate_per_h / parts
    keep = well_keep_ratio(rate, 1.0)
    return keep, well_refill_ratio(share_ratio, keep), well_draw_h(rate, 1.0, share_ratio, keep)


def ten_hour_current_A(whole_Ah: float, share_ratio: float, rate_per_h: float | None) -> float:
    """The steady current that empties a full bank in ten hours."""
    if rate_per_h is None:
        return whole_Ah / 10.0
    return two_well_capacity_Ah(whole_Ah, share_ratio, rate_per_h, 10.0) / 10.0


def capacity_at_Ah(whole_Ah: float, hours: float) -> float:
    """What a lead-acid bank of the class gives at the rate that empties it in `hours`."""
    share, rate, _ = LEAD_WELLS
    return two_well_capacity_Ah(whole_Ah, share, rate, hours)
