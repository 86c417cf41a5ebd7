"""What a bolted fault is shorted to: the return or the metal nearest to each terminal, and the loop that it closes."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import TypeAlias

import numpy as np

from ohmwright.circuit.network import Array, Network
from ohmwright.circuit.structure import Structure
from ohmwright.rig.graph import Graph, Terminal

#: Returns that a terminal may be shorted to, all alike: those of one island at one port, part or place, or its metal.
Alike: TypeAlias = tuple[int, str, str]


@dataclass(frozen=True, slots=True)
class Asked:
    """What some terminals may be shorted to: the unlike questions by row, and for each the rows that may answer it.

    `near` holds them one after the other, `counts` of each; `alike` is the question of every terminal.
    """

    rows: Array
    near: Array
    counts: Array
    alike: Array


class Returns:
    """The returns of a network's shape by what they are near to: `low` are terminals that stand at their island's zero."""

    def __init__(self, graph: Graph, shape: Structure, low: Iterable[str]) -> None:
        self.graph, self.shape = graph, shape
        self._asked: dict[tuple[Hashable, tuple[str, ...]], Asked] = {}
        #: By row the first of its terminals that stand at zero.
        self.name_of: dict[int, str] = {}
        self._ports: dict[tuple[int, str], list[str]] = {}
        self._rows: dict[Alike, dict[int, None]] = {
            (island, "zero", ""): {row: None} for island, row in shape.reference.items()
        }
        for r in low:
            t, row = graph.terminals[r], shape.node[r]
            island = shape.island[row]
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
            self._rows.setdefault(pair, {self.shape.node[r]: None for r in others})
            return (pair,)
        part = () if series else self._there((island, "owner", t.owner))
        place = self._there((island, "place", t.place)) if t.place else ()
        return part or place or self._zero(t)

    def asked(
        self, how: Hashable, terminals: tuple[str, ...], choice: Callable[[Terminal], tuple[Alike, ...]]
    ) -> Asked:
        """What these terminals may be shorted to by a choice, kept by the name of the choice."""
        if (how, terminals) not in self._asked:
            asked: dict[tuple[int, tuple[Alike, ...]], int] = {}
            node, named = self.shape.node, self.graph.terminals
            alike = [asked.setdefault((node[t], choice(named[t])), len(asked)) for t in terminals]
            near, counts = self._rows_of([near for _, near in asked])
            rows = np.array([row for row, _ in asked])
            self._asked[how, terminals] = Asked(rows, near, counts, np.array(alike, dtype=np.intp))
        return self._asked[how, terminals]

    @staticmethod
    def nearest(net: Network, asked: Asked) -> tuple[Array, Array]:
        """For every terminal, of all that it may be shorted to, the row with the least loop, and the ohms of that loop.

        Where two are equally near the first counts.
        """
        rows, near, counts = asked.rows, asked.near, asked.counts
        ends = np.cumsum(counts)
        best, least = np.empty(len(rows), dtype=np.intp), np.empty(len(rows))
        for some, volts in net.columns(rows):
            column = np.repeat(np.arange(volts.shape[1]), counts[some])
            here = near[ends[some.start] - counts[some.start] : ends[some.stop - 1]]
            loop = net.z_own[rows[some]][column] + net.z_own[here] - 2 * volts[here, column]
            least[some] = np.minimum.reduceat(loop, np.searchsorted(column, np.arange(volts.shape[1])))
            hits = np.flatnonzero(loop == least[some][column])
            best[some] = here[hits[np.searchsorted(column[hits], np.arange(volts.shape[1]))]]
        return best[asked.alike], least[asked.alike]

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
        return self.shape.island[self.shape.node[t.id]]
