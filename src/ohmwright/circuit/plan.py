"""In which order the nodes of a network are eliminated, and what each step touches: structure only, no numbers.

A rig that is edited keeps its structure, so plans are kept by it and the numbers run through them again.  The node
with the fewest neighbours goes first: a rig's network is nearly a tree and hardly anything fills in.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Whole: TypeAlias = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Step:
    """One node eliminated: its neighbours with the slots of what joins them, and (slot, m, n) of every pair of them."""

    node: int
    near: tuple[int, ...]
    slots: tuple[int, ...]
    pairs: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True)
class Plan:
    """The whole order. A slot holds the conductance between two nodes; an edge to a held node has slot -1."""

    size: int
    ends: tuple[tuple[int, int], ...]
    held: tuple[int, ...]
    kept: tuple[int, ...]
    edge_slots: tuple[int, ...]
    slot_count: int
    steps: tuple[Step, ...]
    core_slots: tuple[tuple[int, int, int], ...]
    """(row, column, slot) of what joins kept nodes."""

    @cached_property
    def place(self) -> dict[int, int]:
        """The row of a kept node in the core."""
        return {k: i for i, k in enumerate(self.kept)}

    @cached_property
    def rows(self) -> Whole:
        """The kept nodes, for a compiled pass."""
        return _whole(self.kept)

    @cached_property
    def arrays(self) -> tuple[Whole, ...]:
        """The same as whole-number arrays, for a compiled pass: nodes, first, near, slots, first pair, pairs, ends, edge slots."""
        first, first_pair = [0], [0]
        near: list[int] = []
        slots: list[int] = []
        pairs: list[tuple[int, int, int]] = []
        for s in self.steps:
            base = len(near)
            near += s.near
            slots += s.slots
            pairs += [(slot, base + m, base + n) for slot, m, n in s.pairs]
            first.append(len(near))
            first_pair.append(len(pairs))
        return (
            _whole([s.node for s in self.steps]), _whole(first), _whole(near), _whole(slots), _whole(first_pair), _whole(pairs).reshape(-1, 3),
            _whole(self.ends).reshape(-1, 2), _whole(self.edge_slots),
        )  # fmt: skip


def _whole(values: Sequence[object]) -> Whole:
    return np.array(values, dtype=np.int64)


@lru_cache(maxsize=128)
def plan_of(
    size: int, ends: tuple[tuple[int, int], ...], held: tuple[int, ...], keep: tuple[int, ...]
) -> Plan:
    """The plan of a structure: nodes 0..size-1, edges by their ends, nodes held at zero, nodes not to eliminate."""
    zero = frozenset(held)
    near: list[dict[int, int]] = [{} for _ in range(size)]
    count = 0
    edge_slots: list[int] = []
    for a, b in ends:
        if a == b or a in zero or b in zero:
            edge_slots.append(-1)
            continue
        slot = near[a].get(b)
        if slot is None:
            slot = near[a][b] = near[b][a] = count
            count += 1
        edge_slots.append(slot)
    kept = tuple(k for k in dict.fromkeys(keep) if k not in zero)
    done = [False] * size
    for k in (*kept, *zero):
        done[k] = True
    queue = [(len(near[i]), i) for i in range(size) if not done[i]]
    heapq.heapify(queue)
    steps: list[Step] = []
    while queue:
        degree, i = heapq.heappop(queue)
        if done[i] or degree != len(near[i]):
            continue
        done[i] = True
        mine = tuple(near[i])
        slots = tuple(near[i].values())
        pairs: list[tuple[int, int, int]] = []
        for m, j in enumerate(mine):
            others = near[j]
            del others[i]
            for n in range(m):
                k = mine[n]
                slot = others.get(k)
                if slot is None:
                    slot = others[k] = near[k][j] = count
                    count += 1
                pairs.append((slot, m, n))
        for j in mine:
            if not done[j]:
                heapq.heappush(queue, (len(near[j]), j))
        steps.append(Step(i, mine, slots, tuple(pairs)))
    place = {k: i for i, k in enumerate(kept)}
    core = tuple((i, place[j], slot) for i, k in enumerate(kept) for j, slot in near[k].items())
    return Plan(size, ends, tuple(zero), kept, tuple(edge_slots), count, tuple(steps), core)
