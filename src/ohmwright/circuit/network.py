"""Numbers only: branches between nodes, eliminated once; whatever hangs on them is answered from there.

Direct and alternating current are the same code, in real and in complex numbers.  A branch with 0 ohm joins
its two nodes; its current is found afterwards from what flows into each of its ends.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ohmwright.circuit.elimination import Array, Elimination
from ohmwright.circuit.plan import plan_of
from ohmwright.circuit.structure import Told, structure_of
from ohmwright.working.quickly import quickly_made

__all__ = ["Array", "Branch", "Network"]

#: Nodes that are kept and inverted whole; larger inverses wake threads, which cost more than they bring.
MOST_KEPT = 80
#: Columns that are solved at a time: what they need stays near the processor.
AT_ONCE = 32
#: Nothing kept: every node is eliminated.
WHOLE: frozenset[int] = frozenset()


@quickly_made
@dataclass(frozen=True, slots=True)
class Branch:
    """V_a - V_b = volts + ohm * I, with I from a to b through the branch: a battery has a = plus and I = charging."""

    id: str
    a: str
    b: str
    ohm: complex
    volts: complex = 0.0


def told_of(branches: Iterable[Branch]) -> tuple[Told, ...]:
    """Branches before any number."""
    return tuple([(e.id, e.a, e.b, e.ohm == 0) for e in branches])


class Network:
    """Branches assembled and eliminated, island by island.

    `references` are node names in order of preference: the first of an island is its zero.  `node[name]` is
    the row of a terminal, `island[row]` its island's number.
    """

    def __init__(
        self,
        branches: Sequence[Branch],
        references: Iterable[str] = (),
        dtype: type = float,
        told: tuple[Told, ...] = (),
    ) -> None:
        """`told` are the first of the branches before any number, where somebody keeps them."""
        self.branches = branches
        self.dtype = dtype
        for e in branches:
            if e.ohm == 0 and e.volts != 0:
                raise ValueError(f"{e.id}: a source without resistance")
        shape = self.shape = structure_of((*told, *told_of(branches[len(told) :])), tuple(references))
        self.node, self.size, self.island = shape.node, shape.size, shape.island
        self.reference, self.held, self.ends = shape.reference, shape.held, shape.ends
        self.live = [branches[k] for k in shape.live]
        self.joins = [branches[k] for k in shape.joins]
        self._a, self._b = shape.a, shape.b
        if dtype is complex:
            ohms, volts = [e.ohm for e in self.live], [e.volts for e in self.live]
        else:
            ohms, volts = [e.ohm.real for e in self.live], [e.volts.real for e in self.live]
        self.conductances: Array = 1 / np.array(ohms, dtype)
        self._volts: Array = np.array(volts, dtype)
        self.driven: Array = np.zeros(self.size, dtype=self.dtype)
        np.add.at(self.driven, self._a, self.conductances * self._volts)
        np.add.at(self.driven, self._b, -self.conductances * self._volts)
        self._solvers: dict[frozenset[int], Elimination] = {}
        self._seen: dict[tuple[tuple[int, int], ...], tuple[Array, Array]] = {}

    def _solver(self, keep: frozenset[int]) -> Elimination:
        if keep not in self._solvers:
            plan = plan_of(self.size, self.ends, self.held, tuple(sorted(keep)))
            self._solvers[keep] = Elimination(plan, self.conductances)
        return self._solvers[keep]

    def volts(self, injected: Array | None = None, keep: frozenset[int] = WHOLE) -> Array:
        """Node volts for currents injected into the nodes, with one step of refinement; `keep` is what `kept` answers."""
        drive = self.driven if injected is None else self.driven + injected
        solver = self._solver(keep)
        v = solver.solve(drive)
        flow = self.conductances * (v[self._a] - v[self._b])
        left = drive.copy()
        np.add.at(left, self._a, -flow)
        np.add.at(left, self._b, flow)
        left[list(self.held)] = 0
        return v + solver.solve(left)

    @cached_property
    def z(self) -> Array:
        """Volts of every node per ampere into every other: the whole inverse."""
        return self._solver(WHOLE).solve_many(np.eye(self.size, dtype=self.dtype))

    @cached_property
    def z_own(self) -> Array:
        """The diagonal of `z`, without the rest."""
        return self._solver(WHOLE).diagonal()

    def columns(self, into: Array, out_of: Array | None = None) -> Iterator[tuple[slice, Array]]:
        """Volts of every node per ampere into the node `into[k]` and out of `out_of[k]` (else of its island's zero): column k.

        They come some at a time: all of a large network together take longer to store than to work out.
        """
        for start in range(0, len(into), AT_ONCE):
            some = slice(start, min(start + AT_ONCE, len(into)))
            place = np.arange(some.stop - some.start)
            drive: Array = np.zeros((self.size, len(place)), dtype=self.dtype)
            drive[into[some], place] += 1
            if out_of is not None:
                drive[out_of[some], place] -= 1
            yield some, self._solver(WHOLE).solve_many(drive)

    @staticmethod
    def kept(pairs: Sequence[tuple[int, int]]) -> frozenset[int]:
        """The nodes of ports that are not eliminated; none where they are too many."""
        rows = frozenset(r for pair in pairs for r in pair)
        return rows if len(rows) <= MOST_KEPT else WHOLE

    def seen_from(self, pairs: tuple[tuple[int, int], ...]) -> tuple[Array, Array]:
        """Volts across ports with nothing drawn, and what they see of each other; kept by the ports."""
        if pairs not in self._seen:
            still = self.volts(keep=self.kept(pairs))
            open_V = still[[p[0] for p in pairs]] - still[[p[1] for p in pairs]]
            self._seen[pairs] = open_V, self.across(pairs)
        return self._seen[pairs]

    def across(self, pairs: Sequence[tuple[int, int]]) -> Array:
        """Z seen at ports: volts across port j per ampere driven out of its b into its a, at each port k."""
        keep = self.kept(pairs)
        if not keep:
            a, b = np.array(pairs).T
            seen: Array = np.empty((len(pairs), len(pairs)), dtype=self.dtype)
            for some, v in self.columns(a, b):
                seen[:, some] = v[a] - v[b]
            return seen
        solver = self._solver(keep)
        n = len(solver.kept)
        z: Array = np.zeros((n + 1, n + 1), dtype=self.dtype)
        z[:n, :n] = solver.core
        a_of = [solver.place.get(a, n) for a, _ in pairs]
        b_of = [solver.place.get(b, n) for _, b in pairs]
        upper, lower = z[a_of], z[b_of]
        return np.asarray(upper[:, a_of] - upper[:, b_of] - lower[:, a_of] + lower[:, b_of])

    def inject(self, pairs: Sequence[tuple[int, int]], drawn: Array) -> Array:
        """Node injections of currents that ports draw from their a to their b."""
        into: Array = np.zeros(self.size, dtype=self.dtype)
        np.add.at(into, [p[0] for p in pairs], -drawn)
        np.add.at(into, [p[1] for p in pairs], drawn)
        return into

    def flows(self, v: Array) -> Array:
        """Currents of the branches that have resistance, in the order of `live`; `v` may hold many columns."""
        if v.ndim == 1:
            return np.asarray(self.conductances * (v[self._a] - v[self._b] - self._volts))
        return np.asarray(self.conductances[:, None] * (v[self._a] - v[self._b] - self._volts[:, None]))

    def currents(self, v: Array, drawn: Mapping[str, complex] | None = None) -> dict[str, complex]:
        """Current of every branch from a to b. `drawn` is what ports take out of each *named* terminal."""
        live, joins = self.flow_columns(v, drawn or {})
        out = dict(zip([e.id for e in self.live], live.tolist(), strict=True))
        out.update(zip([e.id for e in self.joins], joins.tolist(), strict=True))
        return out

    def spans(self, v: Array) -> Array:
        """Volts between the ends of every branch that has resistance, in the order of `live`."""
        return np.asarray(v[self._a] - v[self._b])

    def flow_columns(self, v: Array, drawn: Mapping[str, complex]) -> tuple[Array, Array]:
        """The same in the order of `live` and of `joins`."""
        flow = self.flows(v)
        if not self.joins:
            return flow, np.zeros(0, dtype=self.dtype)
        taken: Array = np.zeros(len(self.joined_at), dtype=self.dtype)
        for name, i in drawn.items():
            if name in self.joined_at:
                taken[self.joined_at[name]] += i
        return flow, self.join_flows(flow, taken)

    @property
    def joined_at(self) -> dict[str, int]:
        """The terminals that joins touch, numbered."""
        return self.shape.joined_at

    def join_flows(self, flow: Array, taken: Array) -> Array:
        """Currents of the branches without resistance: what each terminal needs must come through them.

        `flow` are the currents of `live`, `taken` what ports take from each terminal of `joined_at`.  In a ring of
        joins the split cannot be known; every join of it counts with the same resistance.
        """
        need = taken.copy()
        leaves, arrives, alone, lumps = self.shape.join_maps
        np.add.at(need, leaves[0], flow[leaves[1]])
        np.subtract.at(need, arrives[0], flow[arrives[1]])
        out: Array = np.zeros((len(self.joins), *need.shape[1:]), dtype=need.dtype)
        out[alone[0]] = need[alone[1]]
        for rows, joins, through in lumps:
            out[joins] = through @ need[rows]
        return out
