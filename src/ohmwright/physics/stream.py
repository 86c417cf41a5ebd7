"""What a turbine in wind or water gives by the table of its page, at one speed and over the winds of a long time.

Hourly winds about their mean are taken as Rayleigh's distribution, as IEC 61400-12-1 takes them for a year's energy (from memory).
Under it the mean over a table of straight lines has a closed form: by parts, with the share of hours above a speed S(v),
    mean = P(v_1) S(v_1) + sum of (rise * integral of S) - P(v_out) S(v_out)
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from ohmwright.working import formula

#: Speed in m/s and power in W, by rising speed.
Points = Sequence[tuple[float, float]]


@formula(
    "exp(-atan(1) * (v / v_m)**2)",
    symbol="S",
    unit="1",
    rises=("mean_m_per_s",),
    falls=("speed_m_per_s",),
    speed_m_per_s="v",
    mean_m_per_s="v_m",
)
def hours_above_ratio(speed_m_per_s: float, mean_m_per_s: float) -> float:
    """The share of hours with more wind than a speed, after Rayleigh.

    >>> round(hours_above_ratio(6.0, 6.0), 4)
    0.4559
    """
    return math.exp(-math.pi / 4.0 * (speed_m_per_s / mean_m_per_s) ** 2)


@formula(
    "(P_b - P_a) / (b - a) * v_m * (erf(sqrt(atan(1)) * b / v_m) - erf(sqrt(atan(1)) * a / v_m))",
    symbol="P_rise",
    unit="W",
    low_W="P_a",
    high_W="P_b",
    low_m_per_s="a",
    high_m_per_s="b",
    mean_m_per_s="v_m",
)
def rise_W(
    low_W: float, high_W: float, low_m_per_s: float, high_m_per_s: float, mean_m_per_s: float
) -> float:
    """What the straight line between two points of a table adds to the mean over Rayleigh's winds."""
    scale = math.sqrt(math.pi) / 2.0 / mean_m_per_s
    between = math.erf(scale * high_m_per_s) - math.erf(scale * low_m_per_s)
    return (high_W - low_W) / (high_m_per_s - low_m_per_s) * mean_m_per_s * between


def power_at_W(points: Points, speed_m_per_s: float, cut_out_m_per_s: float = math.inf) -> float:
    """Straight between points; nothing below the first, the last one's above it, nothing beyond the cut-out.

    >>> table = ((3.0, 10.0), (5.0, 50.0))
    >>> [power_at_W(table, v, 12.0) for v in (2.9, 3.0, 4.0, 5.0, 12.0, 12.1)]
    [0.0, 10.0, 30.0, 50.0, 50.0, 0.0]
    """
    if speed_m_per_s < points[0][0] or speed_m_per_s > cut_out_m_per_s:
        return 0.0
    for (a, low_W), (b, high_W) in pairwise(points):
        if speed_m_per_s < b:
            return low_W + (high_W - low_W) * (speed_m_per_s - a) / (b - a)
    return points[-1][1]


def clipped(points: Points, most_W: float) -> tuple[tuple[float, float], ...]:
    """The same lines where no more than a most is taken of them.

    >>> clipped(((2.0, 0.0), (6.0, 100.0), (8.0, 120.0)), 50.0)
    ((2.0, 0.0), (4.0, 50.0), (6.0, 50.0), (8.0, 50.0))
    """
    out = [(points[0][0], min(points[0][1], most_W))]
    for (a, low_W), (b, high_W) in pairwise(points):
        if (low_W - most_W) * (high_W - most_W) < 0.0:
            crossing = a + (b - a) * (most_W - low_W) / (high_W - low_W)
            if a < crossing < b:
                out.append((crossing, most_W))
        out.append((b, min(high_W, most_W)))
    return tuple(out)


def mean_power_W(points: Points, mean_m_per_s: float, cut_out_m_per_s: float = math.inf) -> float:
    """The mean of a table over Rayleigh's winds about their mean: not what it gives at the mean wind.

    >>> table = ((2.0, 0.0), (6.0, 60.0), (12.0, 400.0))
    >>> round(mean_power_W(table, 6.0), 1), power_at_W(table, 6.0), mean_power_W(table, 0.0)
    (109.2, 60.0, 0.0)
    """
    if mean_m_per_s <= 0.0:
        return power_at_W(points, 0.0, cut_out_m_per_s)
    within = [p for p in points if p[0] < cut_out_m_per_s]
    if not within:
        return 0.0
    if cut_out_m_per_s < math.inf:
        within.append((cut_out_m_per_s, power_at_W(points, cut_out_m_per_s)))
    first, last = within[0], within[-1]
    mean_W = first[1] * hours_above_ratio(first[0], mean_m_per_s)
    for (a, low_W), (b, high_W) in pairwise(within):
        mean_W += rise_W(low_W, high_W, a, b, mean_m_per_s)
    if cut_out_m_per_s < math.inf:
        mean_W -= last[1] * hours_above_ratio(last[0], mean_m_per_s)
    return mean_W
