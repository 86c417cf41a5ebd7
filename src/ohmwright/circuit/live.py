"""What is live in every state: active sources, energised ports, and the automatic devices settled on them."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from ohmwright.circuit.net import Net, States, View
from ohmwright.circuit.space import Space
from ohmwright.kinds.base import When
from ohmwright.rig.graph import Element, Graph, StateVariable

AC_POLES = frozenset({"L", "L1", "L2", "L3", "N"})
LINE_POLES = frozenset({"L", "L1", "L2", "L3"})
MOTOR_POLES = frozenset({"A", "B"})

#: Rounds of settling: each device may change this often before the state counts as hunting.
ROUNDS = 12


@dataclass(frozen=True, slots=True)
class End:
    """Something that can push: a source, or one side of a converter with the port that must be energised for it."""

    id: str
    element: Element
    a: str
    b: str
    when: When
    needs: tuple[str, str] | None
    ac: bool

    @property
    def owner(self) -> str:
        """The part."""
        return self.element.owner

    @property
    def role(self) -> str:
        """What it is: cell, array, alternator, supply, tracker, inverter ..."""
        return self.element.role


def is_ac(graph: Graph, terminal: str) -> bool:
    """Whether a terminal carries alternating current."""
    t = graph.terminals[terminal]
    return t.pole in AC_POLES or (t.port_role == "ac" and t.pole != "PE")


def ends_of(net: Net) -> tuple[End, ...]:
    """Every source, and every side that a converter can push from."""
    out = [End(e.id, e, e.a, e.b, e.when, None, is_ac(net.graph, e.a)) for e in net.sources]
    for e in net.converters:
        out.append(End(e.id, e, e.out_a, e.out_b, e.when, (e.a, e.b), is_ac(net.graph, e.out_a)))
        if e.both_ways:
            out.append(End(f"{e.id} back", e, e.a, e.b, e.when, (e.out_a, e.out_b), is_ac(net.graph, e.a)))
    return tuple(out)


def pair_of(graph: Graph, port: str) -> tuple[str, str] | None:
    """The terminals that name a port as a pair: its first and its last pole that is not PE."""
    poles = [t.id for t in graph.terminals.values() if t.port == port and t.pole != "PE"]
    return (poles[0], poles[-1]) if len(poles) > 1 else None


class Live:
    """One view of the net in one space, with its automatic variables settled.

    `assumed` are converters whose input lies on a side that is walked elsewhere: they count as fed.
    """

    def __init__(self, space: Space, view: View, ends: Sequence[End], assumed: Collection[str] = ()) -> None:
        self.space = space
        self.view = view
        self.net = view.net
        self.ends = ends
        self.assumed = frozenset(assumed)
        self.hunting: States = 0
        self.settled_any = False
        self._fresh()

    def _fresh(self) -> None:
        self._on: dict[int, States] = {}
        self._reached: dict[int, list[States]] = {}
        self.active: dict[str, States] = {}

    def on(self, wire: int) -> States:
        """The states in which a wire conducts."""
        found = self._on.get(wire)
        if found is None:
            found = self._on[wire] = self.space.on(self.net.wires[wire].when)
        return found

    def reached(self, terminal: str) -> list[States]:
        """For every lump, the states in which `terminal` conducts to it."""
        lump = self.view.of(terminal)
        found = self._reached.get(lump)
        if found is None:
            found = self._reached[lump] = self.view.flood({lump: self.space.full}, self.on)
        return found

    def joined(self, one: str, other: str) -> States:
        """The states in which two terminals conduct to each other."""
        a, b = self.view.of(one), self.view.of(other)
        if a == b:
            return self.space.full
        found = self._reached.get(b)
        return found[a] if found is not None else self.reached(one)[b]

    def across(self, end: End, p: str, q: str) -> States:
        """The states in which an end, active or not, stands across p and q the right way round (AC: either way)."""
        right = self.joined(end.a, p) & self.joined(end.b, q)
        if end.ac:
            right |= self.joined(end.a, q) & self.joined(end.b, p)
        return right

    def energise(self) -> None:
        """Find the active ends: sources that exist, then what their energy wakes, until nothing is added."""
        self.active = {}
        waiting: list[tuple[End, States]] = []
        for end in self.ends:
            exists = self.space.on(end.when)
            if end.needs is None or end.element.id in self.assumed:
                self.active[end.id] = exists
            else:
                self.active[end.id] = 0
                waiting.append((end, exists))
        self.stacks = self._stacks()
        changed = True
        while changed:
            changed = False
            for end, exists in waiting:
                assert end.needs is not None
                left = exists & ~self.active[end.id]
                if left and (woken := left & self.energised(*end.needs, but=end.element.id)):
                    self.active[end.id] |= woken
                    changed = True

    def energised(self, p: str, q: str, *, but: str = "") -> States:
        """The states in which an active end, or a stack of them, stands across p and q."""
        out = 0
        for end in self.ends:
            if end.element.id != but and (here := self.active.get(end.id, 0)):
                out |= here & self.across(end, p, q)
        for (top, bottom), here in self.stacks.items():
            out |= here & self.joined(top, p) & self.joined(bottom, q)
        if not out and self._two_lines(p, q):
            out = self._between_lines(p, q, but)
        return out

    def _two_lines(self, p: str, q: str) -> bool:
        t = self.net.graph.terminals
        return t[p].pole in LINE_POLES and t[q].pole in LINE_POLES

    def _between_lines(self, p: str, q: str, but: str) -> States:
        """Two live poles half a turn apart: each from its own end, with a neutral in common."""
        out = 0
        ends = [e for e in self.ends if e.ac and e.element.id != but and self.active.get(e.id)]
        for one in ends:
            for two in ends:
                if one.id != two.id and self.opposed(one, two):
                    both = self.active[one.id] & self.active[two.id] & self.joined(one.b, two.b)
                    if both:
                        out |= both & self.joined(one.a, p) & self.joined(two.a, q)
        return out

    @staticmethod
    def opposed(one: End, two: End) -> bool:
        """Whether two ends of one part are half a turn apart."""
        return one.owner == two.owner and ("half-turn" in one.role) != ("half-turn" in two.role)

    def _stacks(self) -> dict[tuple[str, str], States]:
        """Sources in series: cells on cells, modules on modules, each stretch of a string from its plus to its minus."""
        out: dict[tuple[str, str], States] = {}
        for role in ("cell", "array"):
            members = [e for e in self.ends if e.role == role and e.needs is None]
            if len(members) < 2:
                continue
            follows: dict[str, list[tuple[End, States]]] = {}
            for upper in members:
                reached = self.reached(upper.b)
                for lower in members:
                    if lower is upper or self.view.of(upper.b) == self.view.of(lower.b):
                        continue
                    if here := reached[self.view.of(lower.a)]:
                        follows.setdefault(upper.id, []).append((lower, here))
            for upper in members:
                self._grow(upper, upper, self.active[upper.id], follows, out, {upper.id})
        return out

    def _grow(
        self,
        top: End,
        at: End,
        here: States,
        follows: dict[str, list[tuple[End, States]]],
        out: dict[tuple[str, str], States],
        used: set[str],
    ) -> None:
        for lower, link in follows.get(at.id, ()):
            if lower.id in used or len(used) > 40:
                continue
            both = here & link & self.active[lower.id]
            if both:
                out[(top.a, lower.b)] = out.get((top.a, lower.b), 0) | both
                self._grow(top, lower, both, follows, out, used | {lower.id})

    def settle(self, pulled_in: bool) -> None:
        """Let the automatic devices fall to where their rules hold, from all released or from all pulled in."""
        graph, space = self.net.graph, self.space
        devices = [
            v
            for v in graph.variables.values()
            if v.origin == "automatic" and v.id not in space.walked and _ruled(v)
        ]
        devices = [
            v
            for v in devices
            if any(b not in (0, space.full) for b in space.bits[v.id].values()) or not _anyhow(space, v)
        ]
        self.settled_any = bool(devices)
        for v in devices:
            start = v.states[-1] if pulled_in else v.states[0]
            space.set(v.id, {s: space.full if s == start else 0 for s in v.states})
        self._fresh()
        self.energise()
        if not devices:
            return
        for _ in range(ROUNDS):
            moved = 0
            for v in devices:
                new = self.ruled(v)
                changed = 0
                for s in v.states:
                    changed |= space.bits[v.id][s] ^ new[s]
                if changed:
                    space.set(v.id, new)
                    self._fresh()
                    self.energise()
                    moved |= changed
            if not moved:
                return
        self.hunting = moved

    def ruled(self, v: StateVariable) -> dict[str, States]:
        """Where the rule of an automatic variable puts it, on the net as it now stands."""
        full = self.space.full
        word, _, port = v.rule.partition(":")
        if word in ("coil", "live"):
            pair = pair_of(self.net.graph, f"{v.owner}.{port}")
            live = self.energised(*pair) if pair else 0
            yes, no = (v.states[-1], v.states[0]) if word == "coil" else (v.states[0], v.states[-1])
            return {s: (live if s == yes else full & ~live if s == no else 0) for s in v.states}
        if word in ("transfer", "inverting"):
            return self._transfer(v)
        if word == "voltage-sensing":
            live = self._sensed(v)
            return {s: (live if s == v.states[-1] else full & ~live) for s in v.states}
        return {s: self.space.bits[v.id][s] for s in v.states}

    def _transfer(self, v: StateVariable) -> dict[str, States]:
        full, bits = self.space.full, self.space.bits.get(f"{v.owner}.hand", {})
        off = bits.get("off", 0)
        fed = 0
        for end in self.ends:
            if end.owner == v.owner and end.role.startswith("inverter") and end.needs:
                fed |= (
                    full if end.element.id in self.assumed else self.energised(*end.needs, but=end.element.id)
                )
        passing = 0
        if "passing" in v.states:
            pair = pair_of(self.net.graph, f"{v.owner}.ac-in")
            passing = self.energised(*pair) & ~off if pair else 0
        inverting = fed & bits.get("on", full) & ~passing
        known = {"passing": passing, "inverting": inverting}
        return {s: known.get(s, full & ~passing & ~inverting) for s in v.states}

    def _sensed(self, v: StateVariable) -> States:
        """A relay that feels a charging voltage: something other than a bank pushes on a side that it watches."""
        sides = [s for s in (f"{v.owner}.line", f"{v.owner}.load") if s in self.net.number]
        out = 0
        for end in self.ends:
            here = self.active.get(end.id, 0)
            if here and end.role != "cell" and not end.ac:
                for side in sides:
                    out |= here & self.joined(end.a, side)
        return out


def _ruled(v: StateVariable) -> bool:
    return v.rule.partition(":")[0] in ("coil", "live", "transfer", "inverting", "voltage-sensing")


def _anyhow(space: Space, v: StateVariable) -> bool:
    return all(b == space.full for b in space.bits[v.id].values())


def ports_of(graph: Graph, variables: Iterable[StateVariable]) -> list[str]:
    """The terminals that the rules of automatic variables look at."""
    out: list[str] = []
    for v in variables:
        word, _, port = v.rule.partition(":")
        if (word in ("coil", "live") and (pair := pair_of(graph, f"{v.owner}.{port}"))) or (
            word == "transfer" and (pair := pair_of(graph, f"{v.owner}.ac-in"))
        ):
            out.extend(pair)
        elif word == "voltage-sensing":
            out.extend(t for t in (f"{v.owner}.line", f"{v.owner}.load") if t in graph.terminals)
    return out
