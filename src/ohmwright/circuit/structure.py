"""What a network is before any number: which terminals are one node, which nodes are one island, how joins share.

Kept by its branches, so that every case with the same wires, and the same rig after an edit of a figure, finds it again.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[Any]
Rows: TypeAlias = tuple[list[int], list[int]]
#: A branch before any number: its id, its two ends, and whether it is a join.
Told: TypeAlias = tuple[str, str, str, bool]
#: Lists whose branches are kept by a structure.
MOST_KEPT = 8


@dataclass(frozen=True, slots=True)
class Places:
    """Where some branches stand: their rows in the list that is asked for, and their places among the branches."""

    row: Array
    at: Array


@dataclass(frozen=True, slots=True)
class Found:
    """What of a list has resistance in a network, and what is solved as a join."""

    live: Places
    joins: Places


class Structure:
    """Nodes, islands and zeros of branches told as (id, a, b, whether it is a join)."""

    def __init__(self, branches: Sequence[Told], references: Sequence[str]) -> None:
        parent: dict[str, str] = {}

        def root(x: str) -> str:
            while (up := parent[x]) != x:
                parent[x] = x = parent[up]
            return x

        for _, a, b, join in branches:
            parent.setdefault(a, a)
            parent.setdefault(b, b)
            if join:
                parent[root(a)] = root(b)
        rows: dict[str, int] = {}
        self.node: dict[str, int] = {name: rows.setdefault(root(name), len(rows)) for name in parent}
        self.size = len(rows)
        # A branch whose two ends are one node drops out of the equations and still carries what its own source drives.
        self.live = [k for k, (_, _, _, join) in enumerate(branches) if not join]
        self.joins = [k for k, (_, _, _, join) in enumerate(branches) if join]
        self.branches = branches
        self._through: dict[tuple[int, ...], Through] = {}
        self._found: dict[int, tuple[Mapping[str, int], Found]] = {}
        self.ends = tuple((self.node[branches[k][1]], self.node[branches[k][2]]) for k in self.live)
        both = np.array(self.ends, dtype=np.intp).reshape(-1, 2)
        self.a: Array = both[:, 0].copy()
        self.b: Array = both[:, 1].copy()
        self._find_islands(references)

    def _find_islands(self, references: Sequence[str]) -> None:
        up = list(range(self.size))

        def root(x: int) -> int:
            while up[x] != x:
                up[x] = x = up[up[x]]
            return x

        for a, b in self.ends:
            up[root(a)] = root(b)
        numbers: dict[int, int] = {}
        self.island = [numbers.setdefault(root(x), len(numbers)) for x in range(self.size)]
        self.reference: dict[int, int] = {}
        for name in references:
            if name in self.node:
                self.reference.setdefault(self.island[self.node[name]], self.node[name])
        for row, number in enumerate(self.island):
            self.reference.setdefault(number, row)
        self.held = tuple(self.reference.values())

    @cached_property
    def place_of(self) -> dict[str, tuple[bool, int]]:
        """By id whether a branch is a join, and its place among its like."""
        return {
            self.branches[n][0]: (join, k)
            for join, some in ((False, self.live), (True, self.joins))
            for k, n in enumerate(some)
        }

    def found(self, row_of: Mapping[str, int]) -> Found:
        """The branches that a list names, by that very list."""
        kept = self._found.get(id(row_of))
        if kept is None or kept[0] is not row_of:
            if len(self._found) >= MOST_KEPT:
                self._found.clear()
            kept = self._found[id(row_of)] = row_of, self._find(row_of)
        return kept[1]

    def _find(self, row_of: Mapping[str, int]) -> Found:
        names = (self.branches[n][0] for some in (self.live, self.joins) for n in some)
        rows: Array = np.array([row_of.get(name, -1) for name in names], dtype=np.intp)
        parts = rows[: len(self.live)], rows[len(self.live) :]
        live, joins = (Places(some[some >= 0], np.flatnonzero(some >= 0)) for some in parts)
        return Found(live, joins)

    @cached_property
    def joined_at(self) -> dict[str, int]:
        """The terminals that joins touch, numbered."""
        names = dict.fromkeys(n for k in self.joins for n in self.branches[k][1:3])
        return {n: i for i, n in enumerate(names)}

    @cached_property
    def join_maps(self) -> tuple[Rows, Rows, Rows, list[tuple[list[int], list[int], Array]]]:
        """Which live branches leave and reach which joined terminal, and how each lump of joins carries its needs.

        A join that stands alone carries what its far end needs; those come as (join, far end), the rest lump by lump.
        """
        at = self.joined_at
        leaves: Rows = ([], [])
        arrives: Rows = ([], [])
        for k, n in enumerate(self.live):
            _, a, b, _ = self.branches[n]
            if a in at:
                leaves[0].append(at[a])
                leaves[1].append(k)
            if b in at:
                arrives[0].append(at[b])
                arrives[1].append(k)
        by_node: dict[int, Rows] = {}
        for name, row in at.items():
            by_node.setdefault(self.node[name], ([], []))[0].append(row)
        for k, n in enumerate(self.joins):
            by_node[self.node[self.branches[n][1]]][1].append(k)
        lumps = []
        alone: Rows = ([], [])
        for rows, joins in by_node.values():
            if len(rows) == 2 and len(joins) == 1:
                alone[0].append(joins[0])
                alone[1].append(at[self.branches[self.joins[joins[0]]][2]])
                continue
            place = {row: i for i, row in enumerate(rows)}
            ends = tuple(
                (place[at[a]], place[at[b]]) for _, a, b, _ in (self.branches[self.joins[j]] for j in joins)
            )
            lumps.append((rows, joins, _through(len(rows), ends)))
        return leaves, arrives, alone, lumps

    def through(self, joins: tuple[int, ...]) -> "Through":
        """How some of the joins share what live branches bring and what ports take."""
        if joins not in self._through:
            self._through[joins] = self._shares(joins)
        return self._through[joins]

    def _shares(self, joins: tuple[int, ...]) -> "Through":
        leaves, arrives, alone, lumps = self.join_maps
        share: dict[int, list[tuple[int, float]]] = {j: [(row, 1.0)] for j, row in zip(*alone, strict=True)}
        for rows, members, factors in lumps:
            share.update({j: list(zip(rows, f, strict=True)) for j, f in zip(members, factors.tolist(), strict=True)})  # fmt: skip
        brought: dict[int, list[tuple[int, float]]] = {}
        for sign, (rows, live) in ((1.0, leaves), (-1.0, arrives)):
            for row, k in zip(rows, live, strict=True):
                brought.setdefault(row, []).append((k, sign))
        flows: list[tuple[int, int, float]] = []
        taken: list[list[tuple[int, float]]] = [[] for _ in self.joined_at]
        for n, j in enumerate(joins):
            for row, factor in share[j]:
                flows += [(n, k, sign * factor) for k, sign in brought.get(row, ())]
                taken[row].append((n, factor))
        return Through(flows, tuple(map(tuple, taken)))


class Through:
    """Joins as sums: of the currents of live branches, and of what is taken at joined terminals (`taken`: join, factor)."""

    def __init__(
        self, flows: Sequence[tuple[int, int, float]], taken: tuple[tuple[tuple[int, float], ...], ...]
    ) -> None:
        self.taken = taken
        which = np.array([n for n, _, _ in flows], dtype=np.intp)
        self._live = np.array([k for _, k, _ in flows], dtype=np.intp)
        self._factor = np.array([f for _, _, f in flows])
        self._fed, self._first = np.unique(which, return_index=True)

    def sum(self, flows: Array, size: int) -> Array:
        """What the live branches' currents, a column a state, make of `size` joins."""
        out: Array = np.zeros((size, flows.shape[1]), dtype=flows.dtype)
        if len(self._fed):
            out[self._fed] = np.add.reduceat(flows[self._live] * self._factor[:, None], self._first)
        return out


@lru_cache(maxsize=128)
def structure_of(branches: tuple[Told, ...], references: tuple[str, ...]) -> Structure:
    """The structure of these branches; `references` are node names in order of preference."""
    return Structure(branches, references)


@lru_cache(maxsize=1024)
def _through(size: int, joins: tuple[tuple[int, int], ...]) -> Array:
    """Currents of joins, in a lump of terminals that they hold together, per ampere needed at each terminal."""
    ends = np.zeros((size, len(joins)))
    for k, (a, b) in enumerate(joins):
        if a != b:
            ends[a, k] += 1
            ends[b, k] -= 1
    level = np.zeros((size, size))
    if size > 1:
        level[1:, 1:] = np.linalg.inv(ends[1:] @ ends[1:].T)
    out: Array = -ends.T @ level
    return out
