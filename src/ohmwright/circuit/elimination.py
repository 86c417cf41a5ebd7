"""Elimination of a network of conductances, node by node, the one with the fewest neighbours first.

A rig's network is nearly a tree: hardly anything fills in, so plain lists are faster than any dense inverse, and
no threads are woken for it.  Works in real and in complex numbers.
"""

import heapq
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[Any]


class Elimination:
    """L D L^T of the node equations, with the reference nodes held at zero.

    Nodes to `keep` are not eliminated: what is left between them is small and is inverted whole, which gives the
    network as seen from them at once.
    """

    def __init__(
        self,
        size: int,
        edges: Iterable[tuple[int, int, complex]],
        held: Iterable[int],
        keep: Iterable[int] = (),
    ) -> None:
        self.size = size
        near: list[dict[int, Any]] = [{} for _ in range(size)]
        total: list[Any] = [0.0] * size
        for a, b, g in edges:
            if a == b:
                continue
            total[a] += g
            total[b] += g
            near[a][b] = near[a].get(b, 0.0) + g
            near[b][a] = near[b].get(a, 0.0) + g
        self.held = frozenset(held)
        for h in self.held:
            for j in near[h]:
                near[j].pop(h, None)
            near[h] = {}
        self.kept = [k for k in dict.fromkeys(keep) if k not in self.held]
        self.place = {k: i for i, k in enumerate(self.kept)}
        self.steps: list[tuple[int, Any, tuple[tuple[int, Any], ...]]] = []
        done = [False] * size
        for k in self.kept:
            done[k] = True
        queue = [(len(near[i]), i) for i in range(size) if i not in self.held and not done[i]]
        heapq.heapify(queue)
        while queue:
            degree, i = heapq.heappop(queue)
            if done[i] or degree != len(near[i]):
                continue
            done[i] = True
            mine = near[i]
            d = total[i]
            weights = tuple((j, g / d) for j, g in mine.items())
            self.steps.append((i, d, weights))
            for j, w in weights:
                others = near[j]
                del others[i]
                total[j] -= w * mine[j]
                for k, g in mine.items():
                    if k != j:
                        others[k] = others.get(k, 0.0) + w * g
                if not done[j]:
                    heapq.heappush(queue, (len(others), j))
        self.core = self._inverse(near, total)

    def _inverse(self, near: Sequence[Mapping[int, Any]], total: Sequence[Any]) -> Array:
        """The inverse between the nodes that were kept."""
        n = len(self.kept)
        values = [0.0, *(total[k] for k in self.kept)]
        matrix: Array = np.zeros(
            (n, n), dtype=complex if any(isinstance(x, complex) for x in values) else float
        )
        for i, k in enumerate(self.kept):
            matrix[i, i] = total[k]
            for j, g in near[k].items():
                matrix[i, self.place[j]] -= g
        inverse: Array = np.linalg.inv(matrix) if n else matrix
        return inverse

    def solve(self, drive: Sequence[Any]) -> list[Any]:
        """Node volts for currents driven into the nodes."""
        j_of = list(drive)
        for i, _, weights in self.steps:
            here = j_of[i]
            if here:
                for j, w in weights:
                    j_of[j] += w * here
        v: list[Any] = [0.0] * self.size
        if self.kept:
            for k, x in zip(
                self.kept, (self.core @ np.array([j_of[k] for k in self.kept])).tolist(), strict=True
            ):
                v[k] = x
        for i, d, weights in reversed(self.steps):
            here = j_of[i] / d
            for j, w in weights:
                here += w * v[j]
            v[i] = here
        return v

    def solve_many(self, drive: Array) -> Array:
        """The same for many columns at once; `drive` is used up."""
        rows = list(drive)
        for i, _, weights in self.steps:
            here = rows[i]
            for j, w in weights:
                rows[j] += w * here
        v: Array = np.zeros_like(drive)
        if self.kept:
            v[self.kept] = self.core @ np.array([rows[k] for k in self.kept])
        out = list(v)
        for i, d, weights in reversed(self.steps):
            here = out[i]
            np.divide(rows[i], d, out=here)
            for j, w in weights:
                here += w * out[j]
        return v
