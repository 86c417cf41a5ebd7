"""Sets of terminals by what they are: earth and metal, neutral, alternating current. Never by a mark on a run."""

from functools import cached_property

from ohmwright.circuit.live import AC_POLES, LINE_POLES, MOTOR_POLES
from ohmwright.circuit.net import Net, Wire

#: Poles that the flood of earth never enters.
NOT_EARTH = AC_POLES | MOTOR_POLES | frozenset({"+", "sig"})
NOT_AC = MOTOR_POLES | frozenset({"+", "-", "sig"})


class Poles:
    """The pole sets of one net, by terminal number."""

    def __init__(self, net: Net) -> None:
        self.net = net
        self.pole = [t.pole for t in net.graph.terminals.values()]
        self.metal = frozenset(i for i, t in enumerate(net.graph.terminals.values()) if t.is_metal)

    def closable(self, wire: Wire) -> bool:
        """Whether a wire conducts in some state that is walked: a surge device stays quiet."""
        variables = self.net.graph.variables
        return all(
            name not in variables or variables[name].origin != "fixed" or variables[name].states[0] in states
            for name, states in wire.when
        )

    def _spread(
        self, seeds: set[int], barred: frozenset[str], never: frozenset[int] = frozenset()
    ) -> frozenset[int]:
        found = set(seeds)
        work = list(seeds)
        while work:
            t = work.pop()
            for w in self.net.at[t]:
                other = w.b if w.a == t else w.a
                if (
                    other not in found
                    and other not in never
                    and self.pole[other] not in barred
                    and self.closable(w)
                ):
                    found.add(other)
                    work.append(other)
        return frozenset(found)

    @cached_property
    def earth(self) -> frozenset[int]:
        """What PE terminals and metal reach by conductors and closable switches; DC minus bonded to earth is in it."""
        seeds = set(self.bare_earth)
        return self._spread(seeds, NOT_EARTH)

    @cached_property
    def bare_earth(self) -> frozenset[int]:
        """PE terminals and metal bodies themselves: the earth that carries no working current."""
        terminals = self.net.graph.terminals.values()
        return (
            frozenset(i for i, t in enumerate(terminals) if t.pole == "PE" or t.port_role == "earth")
            | self.metal
        )

    @cached_property
    def ac(self) -> frozenset[int]:
        """Terminals of alternating current: marked ones, and unmarked ones that hang on them."""
        terminals = self.net.graph.terminals.values()
        seeds = {
            i for i, t in enumerate(terminals) if t.pole in AC_POLES or (t.port_role == "ac" and t.pole == "")
        }
        return self._spread(seeds, NOT_AC | frozenset({"PE"}), self.earth)

    @cached_property
    def neutral(self) -> frozenset[int]:
        """Terminals of pole N, and clusters of unmarked ones whose marked neighbours are all N."""
        found = {i for i, p in enumerate(self.pole) if p == "N"}
        seen: set[int] = set()
        for start, p in enumerate(self.pole):
            if p or start in seen or start in self.metal:
                continue
            cluster, marks = self._cluster(start)
            seen |= cluster
            if marks == {"N"}:
                found |= cluster
        return frozenset(found)

    def _cluster(self, start: int) -> tuple[set[int], set[str]]:
        cluster, marks, work = {start}, set(), [start]
        while work:
            t = work.pop()
            for w in self.net.at[t]:
                other = w.b if w.a == t else w.a
                if other in self.metal:
                    marks.add("PE")
                elif self.pole[other]:
                    marks.add(self.pole[other])
                elif other not in cluster:
                    cluster.add(other)
                    work.append(other)
        return cluster, marks

    @cached_property
    def joins(self) -> tuple[Wire, ...]:
        """Every conducting element with one end in the neutral set whose other end is no line: a neutral-earth join."""
        n = self.neutral
        return tuple(
            w
            for w in self.net.wires
            if (w.a in n) != (w.b in n)
            and self.pole[w.b if w.a in n else w.a] not in LINE_POLES
            and self.closable(w)
        )

    @cached_property
    def island_free(self) -> tuple[frozenset[str], frozenset[int]]:
        """What is taken out to see AC islands: the joins, and everything that touches the earth set."""
        return frozenset(w.element.id for w in self.joins), self.earth
