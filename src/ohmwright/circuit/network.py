"""Numbers only: branches between nodes become one inverse; what hangs on it is answered from there.

Direct and alternating current are the same code, in real and in complex numbers.  A branch with 0 ohm joins
its two nodes; its current is found afterwards from what flows into each of its ends.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[Any]


@dataclass(frozen=True, slots=True)
class Branch:
    """V_a - V_b = volts + ohm * I, with I from a to b through the branch: a battery has a = plus and I = charging."""

    id: str
    a: str
    b: str
    ohm: complex
    volts: complex = 0.0


class Network:
    """Branches assembled and inverted, island by island.

    `references` are node names in order of preference: the first of an island is its zero.  `node[name]` is
    the row of a terminal, `island[row]` its island's number; the reference rows hold zeros in `z`.
    """

    def __init__(
        self, branches: Sequence[Branch], references: Iterable[str] = (), dtype: type = float
    ) -> None:
        self.branches = branches
        self.dtype = dtype
        self._name_nodes(branches)
        self._find_islands(references)
        self._invert()

    def _name_nodes(self, branches: Sequence[Branch]) -> None:
        parent: dict[str, str] = {}

        def root(x: str) -> str:
            while (up := parent[x]) != x:
                parent[x] = x = parent[up]
            return x

        for e in branches:
            parent.setdefault(e.a, e.a)
            parent.setdefault(e.b, e.b)
            if e.ohm == 0:
                if e.volts != 0:
                    raise ValueError(f"{e.id}: a source without resistance")
                parent[root(e.a)] = root(e.b)
        rows: dict[str, int] = {}
        self.node: dict[str, int] = {name: rows.setdefault(root(name), len(rows)) for name in parent}
        self.size = len(rows)
        # A branch whose two ends are one node drops out of the matrix and still carries what its own source drives.
        self.live = [e for e in branches if e.ohm != 0]
        self.joins = [e for e in branches if e.ohm == 0]
        names = dict.fromkeys(n for e in self.joins for n in (e.a, e.b))
        self.joined_at: dict[str, int] = {n: i for i, n in enumerate(names)}
        self._maps: tuple[Array, Array] | None = None

    def _find_islands(self, references: Iterable[str]) -> None:
        up = list(range(self.size))

        def root(x: int) -> int:
            while up[x] != x:
                up[x] = x = up[up[x]]
            return x

        for e in self.live:
            up[root(self.node[e.a])] = root(self.node[e.b])
        numbers: dict[int, int] = {}
        self.island = [numbers.setdefault(root(x), len(numbers)) for x in range(self.size)]
        self.reference: dict[int, int] = {}
        for name in references:
            if name in self.node:
                self.reference.setdefault(self.island[self.node[name]], self.node[name])
        for row, number in enumerate(self.island):
            self.reference.setdefault(number, row)

    def _invert(self) -> None:
        n = self.size
        a = np.array([self.node[e.a] for e in self.live], dtype=np.intp)
        b = np.array([self.node[e.b] for e in self.live], dtype=np.intp)
        g = 1 / np.array(
            [e.ohm if self.dtype is complex else e.ohm.real for e in self.live], dtype=self.dtype
        )
        volts: Array = np.array(
            [e.volts if self.dtype is complex else e.volts.real for e in self.live], dtype=self.dtype
        )
        matrix: Array = np.zeros((n, n), dtype=self.dtype)
        np.add.at(matrix, (a, a), g)
        np.add.at(matrix, (b, b), g)
        np.add.at(matrix, (a, b), -g)
        np.add.at(matrix, (b, a), -g)
        self._a, self._b, self._g, self._volts = a, b, g, volts
        self.matrix = matrix
        driven: Array = np.zeros(n, dtype=self.dtype)
        np.add.at(driven, a, g * volts)
        np.add.at(driven, b, -g * volts)
        self.driven = driven
        z: Array = np.zeros((n, n), dtype=self.dtype)
        members: dict[int, list[int]] = {}
        for row, number in enumerate(self.island):
            if row != self.reference[number]:
                members.setdefault(number, []).append(row)
        for rows in members.values():
            block = np.ix_(rows, rows)
            z[block] = np.linalg.inv(matrix[block])
        self.z = z

    def volts(self, injected: Array | None = None) -> Array:
        """Node volts for currents injected into the nodes, with one step of refinement."""
        drive = self.driven if injected is None else self.driven + injected
        v = self.z @ drive
        left = drive - self.matrix @ v
        left[list(self.reference.values())] = 0
        refined: Array = v + self.z @ left
        return refined

    def across(self, pairs: Sequence[tuple[int, int]]) -> Array:
        """Z seen at ports: volts across port j per ampere driven out of its b into its a, at each port k."""
        a = [p[0] for p in pairs]
        b = [p[1] for p in pairs]
        z = self.z
        seen: Array = z[np.ix_(a, a)] - z[np.ix_(a, b)] - z[np.ix_(b, a)] + z[np.ix_(b, b)]
        return seen

    def inject(self, pairs: Sequence[tuple[int, int]], drawn: Array) -> Array:
        """Node injections of currents that ports draw from their a to their b."""
        into: Array = np.zeros(self.size, dtype=self.dtype)
        np.add.at(into, [p[0] for p in pairs], -drawn)
        np.add.at(into, [p[1] for p in pairs], drawn)
        return into

    def flows(self, v: Array) -> Array:
        """Currents of the branches that have resistance, in the order of `live`; `v` may hold many columns."""
        if v.ndim == 1:
            return np.asarray(self._g * (v[self._a] - v[self._b] - self._volts))
        return np.asarray(self._g[:, None] * (v[self._a] - v[self._b] - self._volts[:, None]))

    def currents(self, v: Array, drawn: Mapping[str, complex] | None = None) -> dict[str, complex]:
        """Current of every branch from a to b. `drawn` is what ports take out of each *named* terminal."""
        flow = self.flows(v)
        out: dict[str, complex] = dict(zip([e.id for e in self.live], flow.tolist(), strict=True))
        if self.joins:
            taken: Array = np.zeros(len(self.joined_at), dtype=self.dtype)
            for name, i in (drawn or {}).items():
                if name in self.joined_at:
                    taken[self.joined_at[name]] += i
            out.update(zip([e.id for e in self.joins], self.join_flows(flow, taken).tolist(), strict=True))
        return out

    def join_flows(self, flow: Array, taken: Array) -> Array:
        """Currents of the branches without resistance: what each terminal needs must come through them.

        `flow` are the currents of `live`, `taken` what ports take from each terminal of `joined_at`.  In a ring of
        joins the split cannot be known; every join of it counts with the same resistance.
        """
        away, through = self._join_maps()
        return np.asarray(through @ (away @ flow + taken))

    def _join_maps(self) -> tuple[Array, Array]:
        if self._maps is None:
            at = self.joined_at
            away = np.zeros((len(at), len(self.live)))
            for k, e in enumerate(self.live):
                if e.a in at:
                    away[at[e.a], k] += 1
                if e.b in at:
                    away[at[e.b], k] -= 1
            ends = np.zeros((len(at), len(self.joins)))
            for k, e in enumerate(self.joins):
                if e.a != e.b:
                    ends[at[e.a], k] += 1
                    ends[at[e.b], k] -= 1
            level = np.zeros((len(at), len(at)))
            groups: dict[int, list[int]] = {}
            for name, row in at.items():
                groups.setdefault(self.node[name], []).append(row)
            for rows in groups.values():
                inner = rows[1:]
                if inner:
                    block = ends[inner] @ ends[inner].T
                    level[np.ix_(inner, inner)] = np.linalg.inv(block)
            self._maps = away, -ends.T @ level
        return self._maps
