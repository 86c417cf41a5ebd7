"""What a bolted fault is shorted to: the return or the metal nearest to each terminal, and the loop that it closes."""

from collections.abc import Iterable, Sequence
from typing import TypeAlias

import numpy as np

from ohmwright.circuit.network import Array, Network
from ohmwright.rig.graph import Graph, Terminal

#: Returns that a terminal may be shorted to, all alike: those of one island at one port, part or place, or its metal.
Alike: TypeAlias = tuple[int, str, str]


class Returns:
    """The returns of a network by what they are near to: `low` are terminals that stand at their island's zero."""

    def __init__(self, graph: Graph, network: Network, low: Iterable[str]) -> None:
        self.network = network
        #: By row the first of its terminals that stand at zero.
        self.name_of: dict[int, str] = {}
        self._ports: dict[tuple[int, str], list[str]] = {}
        self._rows: dict[Alike, dict[int, None]] = {
            (island, "zero", ""): {row: None} for island, row in network.reference.items()
        }
        for r in low:
            t, row = graph.terminals[r], network.node[r]
            island = network.island[row]
            self.name_of.setdefault(row, r)
            self._ports.setdefault((island, t.port), []).append(r)
            for kind, name in (("owner", t.owner), ("place", t.place), ("metal", "")):
                if kind != "metal" or t.is_metal:
                    self._rows.setdefault((island, kind, name), {})[row] = None

    def any_near(self, t: Terminal) -> tuple[Alike, ...]:
        """Every return or metal that a tool could touch from there."""
        island = self._island(t)
        places = [(island, "place", t.place)] if t.place else []
        return self._there((island, "owner", t.owner), *places, (island, "metal", "")) or self._zero(t)

    def own(self, t: Terminal, *, series: bool) -> tuple[Alike, ...]:
        """The other pole of its port, else of its part unless that stands in series, else what lies near."""
        island = self._island(t)
        if others := [r for r in self._ports.get((island, t.port), ()) if r != t.id]:
            pair: Alike = (island, "port", " ".join(others))
            self._rows.setdefault(pair, {self.network.node[r]: None for r in others})
            return (pair,)
        part = () if series else self._there((island, "owner", t.owner))
        place = self._there((island, "place", t.place)) if t.place else ()
        return part or place or self._zero(t)

    def nearest(self, terminals: Sequence[str], choices: Sequence[Sequence[Alike]]) -> tuple[Array, Array]:
        """For every terminal, of all that it may be shorted to, the row with the least loop, and the ohms of that loop.

        Where two are equally near the first counts.
        """
        net = self.network
        asked: dict[tuple[int, Sequence[Alike]], int] = {}
        alike = [
            asked.setdefault((net.node[t], near), len(asked))
            for t, near in zip(terminals, choices, strict=True)
        ]
        rows_at = {at: np.array(list(self._rows[at])) for _, near in asked for at in near}
        each = [[rows_at[at] for at in near] for _, near in asked]
        counts = [sum(map(len, rows)) for rows in each]
        first = np.cumsum([0, *counts[:-1]])
        near = np.concatenate([rows for some in each for rows in some])
        row = np.repeat([row for row, _ in asked], counts)
        loop = net.z_own[row] + net.z_own[near] - 2 * self._shared(row, near)
        least = np.minimum.reduceat(loop, first)
        hits = np.flatnonzero(loop == np.repeat(least, counts))
        best = near[hits[np.searchsorted(hits, first)]]
        return best[alike], least[alike]

    def _shared(self, row: Array, near: Array) -> Array:
        """What each row and the return beside it share of their ways to zero."""
        rows, row_at = _numbered(row, self.network.size)
        backs, back_at = _numbered(near, self.network.size)
        shared: Array = np.empty((len(backs), len(rows)))
        for some, volts in self.network.columns(backs):
            shared[some] = volts[rows].T
        return shared[back_at[near], row_at[row]]

    def _there(self, *alike: Alike) -> tuple[Alike, ...]:
        return tuple([at for at in alike if at in self._rows])

    def _zero(self, t: Terminal) -> tuple[Alike, ...]:
        return ((self._island(t), "zero", ""),)

    def _island(self, t: Terminal) -> int:
        return self.network.island[self.network.node[t.id]]


def _numbered(rows: Array, size: int) -> tuple[Array, Array]:
    """Every row once, in rising order, and by row its place among them."""
    found = np.flatnonzero(np.bincount(rows, minlength=size))
    place = np.zeros(size, dtype=np.intp)
    place[found] = np.arange(len(found))
    return found, place
