"""Rest voltage of a lithium iron phosphate cell by its state of charge, as points."""

from itertools import pairwise

#: At 25 degC: common practice, no source.  The plateau's slope and the full end are held against published half-cell curves in the
#: tests: a cell charged to 3.55 to 3.65 V and left alone comes down to where its discharge at C/50 begins, 3.36 to 3.38 V.
LFP_CELL_V: tuple[tuple[float, float], ...] = (
    (0.0, 2.70), (0.05, 3.05), (0.10, 3.20), (0.20, 3.25), (0.30, 3.28), (0.40, 3.29), (0.50, 3.295), (0.60, 3.31), (0.70, 3.325),
    (0.80, 3.333), (0.90, 3.338), (0.95, 3.345), (0.99, 3.36), (1.0, 3.38),
)  # fmt: skip


def table_V(table: tuple[tuple[float, float], ...], soc_ratio: float) -> float:
    """A table's voltage between its points by straight lines; beyond its ends that of the end.

    >>> table_V(LFP_CELL_V, 0.15), table_V(LFP_CELL_V, 1.1)
    (3.225, 3.38)
    """
    if soc_ratio <= table[0][0]:
        return table[0][1]
    for (s0, v0), (s1, v1) in pairwise(table):
        if soc_ratio <= s1:
            return v0 + (v1 - v0) * (soc_ratio - s0) / (s1 - s0)
    return table[-1][1]
