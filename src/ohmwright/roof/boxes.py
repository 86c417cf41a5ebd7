"""Rays from points toward the sun against boxes: slab tests, many at a time."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.roof.frame import Vector

Bools: TypeAlias = NDArray[np.bool_]
Singles: TypeAlias = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Box:
    """A box along the axes of a surface's frame, metres from the outline's first corner."""

    id: str
    low: Vector
    high: Vector


def hidden(
    right: Singles,
    up: Singles,
    out: Singles,
    directions: tuple[Singles, Singles, Singles],
    boxes: tuple[Box, ...],
) -> Bools:
    """Whether the ray from each point toward each direction meets a box.

    The three coordinates of points and directions broadcast against each other: points of a flat grid may be given
    as a row, a column and one height, directions stand in the last axis.  A ray counts from its point on (Kay and
    Kajiya 1986, slab method); a point that only touches a face is not hidden by it.
    """
    shape = np.broadcast_shapes(right.shape, up.shape, out.shape, directions[0].shape)
    found = np.zeros(shape, dtype=bool)
    for box in boxes:
        enters: NDArray[np.float32] = np.zeros((1,) * len(shape), dtype=np.float32)
        leaves: NDArray[np.float32] = np.full((1,) * len(shape), np.inf, dtype=np.float32)
        for p, d, low, high in zip((right, up, out), directions, box.low, box.high, strict=True):
            steep = np.where(np.abs(d) < 1e-9, np.float32(1e-9), d)
            one, two = (np.float32(low) - p) / steep, (np.float32(high) - p) / steep
            enters = np.maximum(enters, np.minimum(one, two))
            leaves = np.minimum(leaves, np.maximum(one, two))
        found |= leaves > enters + np.float32(1e-6)
    return found
