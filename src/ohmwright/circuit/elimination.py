"""Elimination of a network of conductances along a plan, in real and in complex numbers.

Plain lists are faster than any dense inverse here, and no threads are woken for them.  Once `fast.prepare` has been
called, networks run through the same plan compiled.
"""

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

from ohmwright.circuit import fast
from ohmwright.circuit.plan import Plan

Array: TypeAlias = npt.NDArray[Any]


class Elimination:
    """L D L^T of the node equations, with the reference nodes held at zero.

    Nodes that the plan keeps are not eliminated: what is left between them is small and is inverted whole, which
    gives the network as seen from them at once.
    """

    def __init__(self, plan: Plan, conductances: Array) -> None:
        self.plan = plan
        self.size = plan.size
        self.kept, self.place = plan.kept, plan.place
        self._kernels = fast.kernels()
        if self._kernels is not None:
            self.total, self.off, self.d, self.w = self._kernels.factor(
                *plan.arrays, plan.size, plan.slot_count, conductances
            )
            total, off = self.total, self.off
        else:
            total, off = self._factor(conductances.tolist())
        n = len(plan.kept)
        matrix: Array = np.zeros((n, n), dtype=conductances.dtype)
        if n:
            for i, k in enumerate(plan.kept):
                matrix[i, i] = total[k]
            for i, j, slot in plan.core_slots:
                matrix[i, j] -= off[slot]
            matrix = np.linalg.inv(matrix)
        self.core = matrix

    def _factor(self, conductances: Sequence[Any]) -> tuple[list[Any], list[Any]]:
        plan = self.plan
        total: list[Any] = [0.0] * plan.size
        off: list[Any] = [0.0] * plan.slot_count
        for (a, b), slot, g in zip(plan.ends, plan.edge_slots, conductances, strict=True):
            if a != b:
                total[a] += g
                total[b] += g
                if slot >= 0:
                    off[slot] += g
        self.steps: list[tuple[int, Any, list[tuple[int, Any]]]] = []
        for s in plan.steps:
            d = total[s.node]
            mine = [off[slot] for slot in s.slots]
            weights = [g / d for g in mine]
            for j, w, g in zip(s.near, weights, mine, strict=True):
                total[j] -= w * g
            for slot, m, n in s.pairs:
                off[slot] += weights[m] * mine[n]
            self.steps.append((s.node, d, list(zip(s.near, weights, strict=True))))
        return total, off

    def solve(self, drive: Array) -> Array:
        """Node volts for currents driven into the nodes."""
        if self._kernels is not None:
            v: Array = self._kernels.solve(
                *self.plan.arrays[:3], self.d, self.w, self.plan.rows, self.core, drive
            )
            return v
        j_of = drive.tolist()
        for i, _, weights in self.steps:
            here = j_of[i]
            if here:
                for j, w in weights:
                    j_of[j] += w * here
        found: list[Any] = [0.0] * self.size
        if self.kept:
            for k, x in zip(
                self.kept, (self.core @ np.array([j_of[k] for k in self.kept])).tolist(), strict=True
            ):
                found[k] = x
        for i, d, weights in reversed(self.steps):
            here = j_of[i] / d
            for j, w in weights:
                here += w * found[j]
            found[i] = here
        return np.array(found, dtype=drive.dtype)

    def solve_many(self, drive: Array) -> Array:
        """The same for many columns at once, where no node is kept; `drive` becomes the volts."""
        if self.kept:
            raise ValueError("many columns are asked of a network that is eliminated whole")
        drive[list(self.plan.held)] = 0
        if self._kernels is not None:
            columns: Array = self._kernels.solve_many(*self.plan.arrays[:3], self.d, self.w, drive)
            return columns
        rows = list(drive)
        for i, _, weights in self.steps:
            here = rows[i]
            for j, w in weights:
                rows[j] += w * here
        for i, d, weights in reversed(self.steps):
            here = rows[i]
            here /= d
            for j, w in weights:
                here += w * rows[j]
        return drive

    def diagonal(self) -> Array:
        """Volts of every node per ampere into itself, where no node is kept: the diagonal of the inverse without the rest.

        Back from the last step, a node's own volts follow from those of the nodes it was eliminated onto, and so do the
        volts it shares with them, which is all that the steps before it ask (Takahashi, Fagan and Chin 1973, from memory).
        """
        if self.kept:
            raise ValueError("the diagonal is asked of a network that is eliminated whole")
        plan = self.plan
        if self._kernels is not None:
            own: Array = self._kernels.diagonal(*plan.arrays[:6], self.d, self.w, self.size, plan.slot_count)
            return own
        found: list[Any] = [0.0] * self.size
        mutual: list[Any] = [0.0] * plan.slot_count
        for s, (i, d, weights) in zip(reversed(plan.steps), reversed(self.steps), strict=True):
            seen = [w * found[j] for j, w in weights]
            for slot, m, n in s.pairs:
                seen[m] += weights[n][1] * mutual[slot]
                seen[n] += weights[m][1] * mutual[slot]
            for slot, z in zip(s.slots, seen, strict=True):
                mutual[slot] = z
            found[i] = 1 / d + sum([w * z for (_, w), z in zip(weights, seen, strict=True)])
        return np.array(found)
