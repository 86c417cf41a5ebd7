"""What a bolted fault is shorted to: the return or the metal nearest to each terminal, and the loop that it closes."""

from collections.abc import Iterable, Sequence
from itertools import chain
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
        near, counts = self._rows_of([near for _, near in asked])
        ends = np.cumsum(counts)
        rows = np.array([row for row, _ in asked])
        best, least = np.empty(len(rows), dtype=np.intp), np.empty(len(rows))
        for some, volts in net.columns(rows):
            column = np.repeat(np.arange(volts.shape[1]), counts[some])
            here = near[ends[some.start] - counts[some.start] : ends[some.stop - 1]]
            loop = net.z_own[rows[some]][column] + net.z_own[here] - 2 * volts[here, column]
            least[some] = np.minimum.reduceat(loop, np.searchsorted(column, np.arange(volts.shape[1])))
            hits = np.flatnonzero(loop == least[some][column])
            best[some] = here[hits[np.searchsorted(column[hits], np.arange(volts.shape[1]))]]
        return best[alike], least[alike]

    def _rows_of(self, choices: Sequence[Sequence[Alike]]) -> tuple[Array, Array]:
        """The rows of all choices one after the other, and how many each has."""
        numbers = {at: n for n, at in enumerate(dict.fromkeys(at for near in choices for at in near))}
        each = [self._rows[at] for at in numbers]
        sizes = np.array([len(rows) for rows in each])
        rows = np.fromiter(chain.from_iterable(each), dtype=np.intp)
        chosen = np.array([numbers[at] for near in choices for at in near])
        size = sizes[chosen]
        before = np.cumsum(size) - size
        first = (np.cumsum(sizes) - sizes)[chosen]
        kinds = np.array([len(near) for near in choices])
        return (
            rows[np.repeat(first - before, size) + np.arange(size.sum())],
            np.add.reduceat(size, np.cumsum(kinds) - kinds),
        )

    def _there(self, *alike: Alike) -> tuple[Alike, ...]:
        return tuple([at for at in alike if at in self._rows])

    def _zero(self, t: Terminal) -> tuple[Alike, ...]:
        return ((self._island(t), "zero", ""),)

    def _island(self, t: Terminal) -> int:
        return self.network.island[self.network.node[t.id]]
