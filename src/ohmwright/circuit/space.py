"""A space of states: some variables walked through all their states, the rest held, the automatic ones settled."""

from collections.abc import Iterable, Mapping, Sequence

from ohmwright.circuit.net import States
from ohmwright.kinds.base import When
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: More combinations than this a proof does not walk: it says that it cannot tell, and names the devices.
MOST_COMBINATIONS = 4096


class TooManyError(Exception):
    """A walk would be too long: the devices whose combinations it is."""

    def __init__(self, variables: Sequence[str], count: int) -> None:
        self.variables = tuple(variables)
        self.count = count
        super().__init__(f"{count} combinations of {', '.join(variables)}")


class Space:
    """Every combination of the walked variables, numbered; a set of them is one whole number.

    `anyhow` holds variables that count as being in all of their states at once: the permissive reading, for a
    side of the rig that is walked elsewhere.
    """

    def __init__(
        self,
        graph: Graph,
        walk: Iterable[str],
        held: Mapping[str, str] | None = None,
        anyhow: Iterable[str] = (),
    ) -> None:
        self.graph = graph
        held = held or {}
        self.walked = tuple(v for v in dict.fromkeys(walk) if v not in held)
        self.count = 1
        for name in self.walked:
            self.count *= len(graph.variables[name].states)
        if self.count > MOST_COMBINATIONS:
            raise TooManyError(self.walked, self.count)
        self.full: States = (1 << self.count) - 1
        self.valid: States = self.full
        self.bits: dict[str, dict[str, States]] = {}
        loose = set(anyhow)
        stride = 1
        for name in self.walked:
            states = graph.variables[name].states
            self.bits[name] = {s: self._every(i, len(states), stride) for i, s in enumerate(states)}
            stride *= len(states)
        for name, variable in graph.variables.items():
            if name in self.bits:
                continue
            state = held.get(name, variable.states[0])
            self.bits[name] = {s: self.full if name in loose or s == state else 0 for s in variable.states}
        for name, variable in graph.variables.items():
            self._follow(name, variable.run_by)
        self._known: dict[When, States] = {}

    def _follow(self, name: str, run_by: str) -> None:
        """A variable that another runs takes the state of the same place in its list."""
        if not run_by or run_by == name or run_by not in self.bits:
            return
        leader = list(self.bits[run_by].values())
        own = self.graph.variables[name].states
        if len(own) == len(leader):
            self.bits[name] = dict(zip(own, leader, strict=True))

    def _every(self, i: int, of: int, stride: int) -> States:
        one = ((1 << stride) - 1) << (i * stride)
        period = of * stride
        times = self.count // period
        return one * (((1 << (period * times)) - 1) // ((1 << period) - 1))

    def on(self, when: When) -> States:
        """The states in which all terms of `when` hold."""
        known = self._known.get(when)
        if known is not None:
            return known
        out = self.full
        for name, states in when:
            bits = self.bits.get(name)
            if bits is None:
                continue
            some = 0
            for s in states:
                some |= bits.get(s, 0)
            out &= some
        self._known[when] = out
        return out

    def spread(self, name: str, states: States) -> States:
        """Every combination that differs from one of a set at most in this walked variable."""
        stride = 1
        for walked in self.walked:
            if walked == name:
                break
            stride *= len(self.graph.variables[walked].states)
        kinds = len(self.graph.variables[name].states)
        base = self.bits[name][self.graph.variables[name].states[0]]
        drawn = 0
        for i, s in enumerate(self.graph.variables[name].states):
            drawn |= (states & self.bits[name][s]) >> (i * stride) & base
        return sum(drawn << (i * stride) for i in range(kinds))

    def set(self, name: str, bits: Mapping[str, States]) -> None:
        """Give an automatic variable its states."""
        self.bits[name] = dict(bits)
        self._known = {w: s for w, s in self._known.items() if all(n != name for n, _ in w)}

    def forbid(self, rig: Rig) -> None:
        """Leave out what a plate or one and the same part makes impossible."""
        for never in rig.never:
            if never.by in ("plate", "same part"):
                together = self.full
                for variable, state in never.these:
                    together &= self.bits.get(variable, {}).get(state, 0)
                self.valid &= ~together

    def _moves(self, name: str) -> bool:
        """Whether an automatic variable differs from combination to combination."""
        return any(b not in (0, self.full) for b in self.bits[name].values())

    def told(self, index: int) -> dict[str, str]:
        """The state of every walked and automatic variable in one combination."""
        bit = 1 << index
        shown = {
            *self.walked,
            *(n for n, v in self.graph.variables.items() if v.origin == "automatic" and self._moves(n)),
        }
        out: dict[str, str] = {}
        for name in self.graph.variables:
            if name in shown:
                state = next((s for s, bits in self.bits[name].items() if bits & bit), None)
                if state is not None:
                    out[name] = state
        return out


def first(states: States) -> int:
    """The number of the first combination of a set."""
    return (states & -states).bit_length() - 1


def plainest(space: Space, states: States) -> int:
    """The combination of a set in which the fewest devices differ from ordinary."""
    left = states
    for name in space.walked:
        ordinary = space.bits[name][space.graph.variables[name].states[0]]
        if left & ordinary:
            left &= ordinary
    return first(left)


def count(states: States) -> int:
    """How many combinations a set holds."""
    return states.bit_count()


def exactly_one(sets: Iterable[States]) -> tuple[States, States]:
    """Where at least one of the sets holds, and where two or more do."""
    one = more = 0
    for s in sets:
        more |= one & s
        one |= s
    return one, more
