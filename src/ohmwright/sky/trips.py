"""How the weather of the places of one trip hangs together: near places are dull at once, far ones each for itself.

Days at two places have the correlation exp(-d / L) of their distance.  Such correlations are always possible on a globe, so
each place is a sum of independent drivers, worked out by Cholesky: the first place has all of the first driver, which
makes it the same to the last bit as a rig that never leaves it.
"""

import math
from collections.abc import Sequence

from ohmwright.sky.types import Spot

#: Distance over which the tie between the days of two places falls to 1/e (from memory, 400 to 600 km; unverified).
TIE_km = 500.0
EARTH_km = 6371.0


def distance_km(a: Spot, b: Spot) -> float:
    """Great-circle distance of two spots."""
    p, q = math.radians(a.latitude_deg), math.radians(b.latitude_deg)
    across = math.radians(b.longitude_deg - a.longitude_deg)
    half = math.sin((q - p) / 2) ** 2 + math.cos(p) * math.cos(q) * math.sin(across / 2) ** 2
    return 2 * EARTH_km * math.asin(min(1.0, math.sqrt(half)))


def tie_ratio(a: Spot, b: Spot) -> float:
    """Correlation of the days of two spots."""
    return math.exp(-distance_km(a, b) / TIE_km)


def weights_of(spots: Sequence[Spot]) -> tuple[tuple[float, ...], ...]:
    """For each spot the weights of the drivers, the first spot being the first driver alone; their squares sum to 1."""
    rows: list[list[float]] = []
    for i, spot in enumerate(spots):
        row: list[float] = []
        for j in range(i):
            shared = sum(x * y for x, y in zip(row, rows[j], strict=False))
            own = rows[j][j]
            row.append((tie_ratio(spot, spots[j]) - shared) / own if own > 1e-6 else 0.0)
        left = 1.0 - sum(x * x for x in row)
        row.append(math.sqrt(left) if left > 1e-12 else 0.0)
        rows.append(row)
    return tuple(tuple(row) for row in rows)
