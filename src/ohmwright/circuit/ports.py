"""Loads and chargers on a linear network: fixed power, fixed current, and sources that hold a current or a voltage."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ohmwright.circuit.network import Array, Network
from ohmwright.circuit.newton import Settled, collapse, settle_ports

#: How much a charger that holds a voltage gives way: it lets two of them on one bar share.
DROOP_ohm = 1e-4
TRIALS = 60
#: Below these volts nothing feeds a load.
UNFED_V = 1e-3


@dataclass(frozen=True, slots=True)
class Port:
    """Two terminals between which something draws or pushes."""

    id: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Draw(Port):
    """A load between two terminals: fixed power (VA in AC) and a fixed current beside it."""

    power: complex = 0.0
    current_A: float = 0.0
    grows: bool = True
    """Whether it is a load that may grow; what a tracker takes from its array is none."""


@dataclass(frozen=True, slots=True)
class Push(Port):
    """A charger's output: up to `most_A`, until its own terminals reach `cap_V` (None: no such limit)."""

    most_A: float = 0.0
    cap_V: float | None = None


class Answer:
    """What every port draws from its a to its b (chargers draw less than nothing), the volts across it, and the rest."""

    def __init__(
        self,
        ports: "Ports",
        across: Array,
        drawn: Array,
        settled: Settled,
        reduced: tuple[Array, Array, Array],
        holding: tuple[str, ...],
    ) -> None:
        ids = [p.id for p in ports.seen.ports]
        self.drawn: dict[str, complex] = dict(zip(ids, drawn.tolist(), strict=True))
        self.across: dict[str, complex] = dict(zip(ids, across.tolist(), strict=True))
        self.converged = settled.converged
        self.unfed = (*ports.dead, *ports.unfed)
        self.holding = holding
        self._ports, self._drawn, self._settled, self._reduced = ports, drawn, settled, reduced

    @cached_property
    def volts(self) -> Array:
        """The volts of every node."""
        seen = self._ports.seen
        network = self._ports.network
        return network.volts(
            network.inject(seen.pairs, self._drawn) if seen.pairs else None, network.kept(seen.pairs)
        )

    @cached_property
    def collapse(self) -> tuple[float, str] | None:
        """How much the loads of fixed power may grow, and the load whose volts fall first; None without any."""
        draws = self._ports.seen.draws
        open_V, z, power = self._reduced
        found = collapse(open_V, z, np.where([d.grows for d in draws], power, 0), self._settled) if draws else None  # fmt: skip
        return None if found is None else (found[0], draws[found[1]].id)


@dataclass(frozen=True, slots=True)
class _Seen:
    """The ports that can be solved, with the network as seen from them."""

    draws: tuple[Draw, ...]
    pushes: tuple[Push, ...]
    pairs: tuple[tuple[int, int], ...]
    open_V: Array
    z: Array

    @property
    def ports(self) -> tuple[Port, ...]:
        """All of them, draws first."""
        return (*self.draws, *self.pushes)


class Ports:
    """The ports of one network. The network's inverse is looked into once; what the ports ask may change."""

    def __init__(self, network: Network, draws: Sequence[Draw], pushes: Sequence[Push]) -> None:
        self.network = network
        node, island = network.node, network.island
        every: tuple[Port, ...] = (*draws, *pushes)
        fits = [p for p in every if p.a in node and p.b in node and island[node[p.a]] == island[node[p.b]]]
        self.unfed: tuple[str, ...] = ()
        fitting = {id(p) for p in fits}
        self.dead = tuple(p.id for p in every if id(p) not in fitting)
        pairs = tuple((node[p.a], node[p.b]) for p in fits)
        open_V, z = network.seen_from(pairs) if pairs else (np.zeros(0, network.dtype), np.zeros((0, 0), network.dtype))  # fmt: skip
        self.seen = _Seen(
            tuple(p for p in fits if isinstance(p, Draw)),
            tuple(p for p in fits if isinstance(p, Push)),
            pairs,
            open_V,
            z,
        )

    def ask(self, draws: Sequence[Draw], pushes: Sequence[Push]) -> None:
        """The same ports with other demands."""
        new_draws, new_pushes = {d.id: d for d in draws}, {p.id: p for p in pushes}
        self.seen = replace(
            self.seen,
            draws=tuple(new_draws[d.id] for d in self.seen.draws),
            pushes=tuple(new_pushes[p.id] for p in self.seen.pushes),
        )

    def solve(self) -> Answer:
        """Volts and currents; chargers find by themselves whether they hold current, hold volts, or rest."""
        seen = self.seen
        n = len(seen.draws)
        state = ["current" for _ in seen.pushes]
        tried: set[tuple[str, ...]] = set()
        answer, settled, reduced = self._with(state)
        for _ in range(TRIALS):
            tried.add(tuple(state))
            worst, place = 0.0, -1
            for k, push in enumerate(seen.pushes):
                off_by = self._wrong(push, state[k], answer[0][n + k], answer[1][n + k])
                if off_by > worst:
                    worst, place = off_by, k
            if place < 0:
                break
            state[place] = _next(state[place], answer[1][n + place], seen.pushes[place])
            if tuple(state) in tried and len(tried) > 4 * len(state):
                break
            answer, settled, reduced = self._with(state)
        holding = tuple(p.id for p, s in zip(seen.pushes, state, strict=True) if s == "volts")
        return Answer(self, *answer, settled, reduced, holding)

    @staticmethod
    def _wrong(push: Push, state: str, volts: float, drawn: float) -> float:
        """By how much a charger breaks its own rule, as a share of volts or of its current."""
        if state == "current" and push.cap_V is not None:
            return max(0.0, volts / push.cap_V - 1 - 1e-12)
        if state == "volts":
            over = (-drawn - push.most_A) / max(push.most_A, 1e-9)
            under = drawn / max(push.most_A, 1e-9)
            return max(0.0, over - 1e-9, under - 1e-9)
        if state == "rest" and push.cap_V is not None:
            return max(0.0, 1 - volts / push.cap_V - 1e-9)
        return 0.0

    def _with(self, state: Sequence[str]) -> tuple[tuple[Array, Array], Settled, tuple[Array, Array, Array]]:
        """Solve with each charger in a given state."""
        seen = self.seen
        n, size = len(seen.draws), len(seen.pairs)
        fixed: Array = np.zeros(size, dtype=self.network.dtype)
        held: list[int] = []
        for k, d in enumerate(seen.draws):
            fixed[k] = d.current_A
        for k, p in enumerate(seen.pushes):
            if state[k] == "current":
                fixed[n + k] = -p.most_A
            elif state[k] == "volts":
                held.append(n + k)
        open_V = seen.open_V - seen.z @ fixed if fixed.any() else seen.open_V
        z = seen.z
        gain: Array | None = None
        if held:
            caps = np.array([seen.pushes[k - n].cap_V or 0.0 for k in held])
            inner = z[np.ix_(held, held)] + DROOP_ohm * np.eye(len(held))
            gain = np.linalg.solve(inner, np.column_stack([open_V[held] - caps, z[held, :]]))
            base = open_V
            open_V = base - z[:, held] @ gain[:, 0]
            z = z - z[:, held] @ gain[:, 1:]
        loads = slice(n)
        power: Array = np.array(
            [d.power if self.network.dtype is complex else d.power.real for d in seen.draws],
            dtype=self.network.dtype,
        )
        # Where nothing stands across a load it takes nothing: it is not fed, and that is no collapse.
        unfed = np.abs(open_V[loads]) < UNFED_V
        power[unfed] = 0
        self.unfed = tuple(
            d.id for d, none in zip(seen.draws, unfed.tolist(), strict=True) if none and d.power
        )
        reduced = (open_V[loads], z[loads, loads], power)
        settled = settle_ports(*reduced)
        drawn = fixed.copy()
        drawn[loads] += settled.drawn
        if gain is not None:
            drawn[held] = gain[:, 0] - gain[:, 1:][:, loads] @ settled.drawn
        volts = seen.open_V - seen.z @ drawn
        return (volts, drawn), settled, reduced


def _next(state: str, drawn: float, push: Push) -> str:
    if state == "current":
        return "volts"
    if state == "volts":
        return "rest" if drawn > 0 else "current"
    return "volts" if push.cap_V is not None else "current"
