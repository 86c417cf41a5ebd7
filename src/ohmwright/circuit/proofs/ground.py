"""What all proofs stand on: one DC walk and one AC walk of a rig, joined only through converters."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property

from ohmwright.circuit.live import MOTOR_POLES, End, Live, ports_of
from ohmwright.circuit.net import States, View, Wire, between, told_path
from ohmwright.circuit.space import Space, plainest
from ohmwright.circuit.types import ProofFinding
from ohmwright.circuit.wiring import Wiring
from ohmwright.circuit.zones import Feed, feeds_of
from ohmwright.rig.graph import StateVariable

#: Rules that settle by what is energised on the AC side: the DC walk takes their devices as being in every state.
TURNING_RULES = ("transfer", "inverting")


class Walk:
    """A space walked on one view, settled from all released and from all pulled in."""

    def __init__(self, lives: Sequence[Live]) -> None:
        self.lives = tuple(lives)
        self.space = lives[0].space
        self.count = lives[0].space.count

    def states(self, of: Callable[..., States], *asked: object) -> States:
        """Where `of(live, *asked)` holds, from either start; combinations that a plate forbids are left out."""
        out = 0
        for live in self.lives:
            out |= of(live, *asked) & live.space.valid
        return out

    def told(self, states: States) -> dict[str, str]:
        """The plainest combination of a set, in words."""
        if not states:
            return {}
        for live in self.lives:
            index = plainest(live.space, states)
            return live.space.told(index)
        return {}


class Ground:
    """Net, poles, ends and walks of one rig."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.rig = wiring.rig
        self.graph = wiring.graph
        self.net = wiring.net
        self.poles = wiring.poles
        self.number = wiring.net.number
        self.ends = wiring.ends
        self.dc_ends = tuple(e for e in self.ends if not e.ac)
        self.ac_ends = tuple(e for e in self.ends if e.ac)
        self._feeds: dict[bool, list[Feed]] = {}
        kept = wiring.skeleton.kept
        self.side_lives: dict[tuple[bool, tuple[str, ...], tuple[str, ...]], Live] = kept.setdefault(
            "side lives", {}
        )
        self._walks: dict[tuple[object, ...], Walk] = kept.setdefault("walks", {})

    @cached_property
    def dc_view(self) -> View:
        """The net without alternating current."""
        return self.net.view(closed_to=self.poles.ac)

    @cached_property
    def ac_view(self) -> View:
        """AC islands: without the neutral-earth joins and everything that touches the earth set."""
        without, closed_to = self.poles.island_free
        return self.net.view(without, closed_to)

    def is_ac(self, terminal: str) -> bool:
        """Whether a terminal carries alternating current."""
        return self.number[terminal] in self.poles.ac

    @cached_property
    def dc(self) -> Walk:
        """The DC side in every combination of the devices on paths between its sources."""
        turning = {v.id for v in self.graph.variables.values() if v.rule in TURNING_RULES}
        loose = turning | {f"{self.graph.variables[v].owner}.hand" for v in turning}
        assumed = {e.element.id for e in self.dc_ends if e.needs and self.is_ac(e.needs[0])}
        walk = self._walked(self.dc_view, self.dc_ends, skip=loose)
        walk = [v for v in walk if not self._array_switch(v)]
        return self._walk(self.dc_view, self.dc_ends, walk, loose & set(self.graph.variables), assumed)

    @cached_property
    def dc_alone(self) -> Walk:
        """The DC side while no AC comes in: what must wake by banks, sun, engine and way alone."""
        turning = {v.id for v in self.graph.variables.values() if v.rule in TURNING_RULES}
        if not any(e.needs and self.is_ac(e.needs[0]) for e in self.dc_ends):
            return self.dc
        hands = {f"{self.graph.variables[v].owner}.hand" for v in turning}
        walk = [
            v
            for v in self._walked(self.dc_view, self.dc_ends, skip=turning | hands)
            if not self._array_switch(v)
        ]
        return self._walk(self.dc_view, self.dc_ends, walk, (), ())

    @cached_property
    def ac(self) -> Walk:
        """The AC side in every combination of the devices on paths between its sources and on neutral-earth paths."""
        assumed = {e.element.id for e in self.ac_ends if e.needs and not self.is_ac(e.needs[0])}
        more = [name for w in self.poles.joins for name, _ in w.when]
        hands = [
            f"{v.owner}.hand"
            for v in self.graph.variables.values()
            if v.rule in TURNING_RULES and f"{v.owner}.hand" in self.graph.variables
        ]
        walk = self._walked(self.ac_view, self.ac_ends, more=(*more, *hands))
        return self._walk(self.ac_view, self.ac_ends, walk, (), assumed)

    def _walk(
        self,
        view: View,
        ends: Sequence[End],
        walk: Iterable[str],
        anyhow: Iterable[str],
        assumed: Iterable[str],
    ) -> Walk:
        walk, anyhow, assumed = tuple(walk), tuple(anyhow), tuple(assumed)
        key = (view, walk, frozenset(anyhow), frozenset(assumed))
        if key not in self._walks:
            self._walks[key] = self._walked_through(view, ends, walk, anyhow, assumed)
        return self._walks[key]

    def _walked_through(
        self,
        view: View,
        ends: Sequence[End],
        walk: tuple[str, ...],
        anyhow: tuple[str, ...],
        assumed: tuple[str, ...],
    ) -> Walk:
        lives = []
        for pulled_in in (False, True):
            held = {n: s for n, s in self.permissive.items() if n not in walk}
            space = Space(self.graph, walk, held, anyhow)
            space.forbid(self.rig)
            live = Live(space, view, ends, assumed)
            live.settle(pulled_in)
            lives.append(live)
            if not live.settled_any:
                break
        return Walk(lives)

    @cached_property
    def permissive(self) -> dict[str, str]:
        """For every variable that is not walked, the state in which most of its elements exist."""
        closes: dict[str, dict[str, int]] = {}
        for e in self.graph.elements.values():
            for name, states in e.when:
                for s in states:
                    mine = closes.setdefault(name, {})
                    mine[s] = mine.get(s, 0) + 1
        out: dict[str, str] = {}
        for name, v in self.graph.variables.items():
            if v.origin in ("hand", "outside") and name in closes:
                out[name] = max(v.states, key=lambda s: closes[name].get(s, 0))
        return out

    def _walked(
        self, view: View, ends: Sequence[End], *, skip: Iterable[str] = (), more: Iterable[str] = ()
    ) -> list[str]:
        """The variables of devices between sources, of the sources themselves, and of what holds automatic devices in."""
        graph, skipped = self.graph, set(skip)
        seeds = {view.of(t) for e in ends for t in (e.a, e.b)}
        seeds |= {view.of(t) for e in ends if e.needs and self.is_ac(e.needs[0]) == e.ac for t in e.needs}
        found: dict[str, None] = {name: None for e in ends for name, _ in e.when}
        found.update(dict.fromkeys(more))
        while True:
            for number in sorted(between(view, seeds, self.motor_wires)):
                found.update({name: None for name, _ in self.net.wires[number].when})
            automatic = [
                graph.variables[n]
                for n in found
                if n in graph.variables and graph.variables[n].origin == "automatic"
            ]
            new = {view.of(t) for t in ports_of(graph, automatic)} - seeds
            if not new:
                break
            seeds |= new
        order = [n for n in graph.variables if n in found and n not in skipped]
        return [n for n in order if self._choosable(graph.variables[n])]

    @staticmethod
    def _choosable(v: StateVariable) -> bool:
        return v.origin in ("hand", "outside") and len(v.states) > 1

    def _array_switch(self, name: str) -> bool:
        """A switch between an array and its controller: open is the same as sun down, so it is not walked."""
        kept: dict[str, bool] = self.wiring.skeleton.kept.setdefault("array switches", {})
        if name not in kept:
            tops = {self.number[e.a]: e.role for e in self.dc_ends}
            mine = [w for w in self.net.wires if any(n == name for n, _ in w.when)]
            kept[name] = any({tops[t] for t in self._around(w) if t in tops} == {"array"} for w in mine)
        return kept[name]

    @cached_property
    def motor_wires(self) -> frozenset[int]:
        """The contacts of reversing boxes: they never join plus and minus."""
        kept, pole = self.wiring.skeleton.kept, self.poles.pole
        if "motor wires" not in kept:
            kept["motor wires"] = frozenset(
                w.number for w in self.net.wires if pole[w.a] in MOTOR_POLES or pole[w.b] in MOTOR_POLES
            )
        wires: frozenset[int] = kept["motor wires"]
        return wires

    def _around(self, wire: Wire) -> set[int]:
        found, work = {wire.a, wire.b}, [wire.a, wire.b]
        while work:
            t = work.pop()
            for w in self.net.at[t]:
                other = w.b if w.a == t else w.a
                if (
                    other not in found
                    and other not in self.poles.ac
                    and w.number not in self.motor_wires
                    and self.poles.closable(w)
                ):
                    found.add(other)
                    work.append(other)
        return found

    # What proofs print.

    def path(self, live: Live, start: str, goal: str, states: States) -> tuple[str, ...]:
        """A path between two terminals in the plainest combination of a set."""
        bit = 1 << plainest(live.space, states)
        found = live.view.path(
            [self.number[start]], {self.number[goal]}, lambda w: bool(live.on(w.number) & bit)
        )
        return told_path(found, start, self.net.names) if found is not None else (start, goal)

    def any_path(self, view: View, start: str, goal: str) -> tuple[str, ...]:
        """A path between two terminals with every switch closable."""
        found = view.path([self.number[start]], {self.number[goal]}, self.poles.closable)
        return told_path(found, start, self.net.names) if found is not None else (start, goal)

    @cached_property
    def unknown_variables(self) -> tuple[str, ...]:
        """The variables whose state nobody knows: what hangs on them cannot be told."""
        return tuple(n for n, v in self.graph.variables.items() if v.rule == "unknown")

    def split(self, space: Space, states: States) -> tuple[States, tuple[str, ...]]:
        """The part of a set that holds whatever the unknown variables are, and which of them the rest hangs on.

        A combination counts as certain when it is in the set for every state of every unknown variable.
        """
        certain = states
        hangs: list[str] = []
        for name in self.unknown_variables:
            if name not in space.walked:
                continue
            everywhere = space.full
            for s in self.graph.variables[name].states:
                everywhere &= space.spread(name, certain & space.bits[name][s])
            if everywhere != certain:
                hangs.append(name)
            certain &= everywhere
        return certain, tuple(hangs)

    def feeds(self, *, ac: bool) -> list[Feed]:
        """The feeds of one side: sources, strings, converter outputs."""
        if ac not in self._feeds:
            self._feeds[ac] = feeds_of(self.wiring, ac=ac)
        return self._feeds[ac]

    def group_of(self, part: str) -> str:
        """The bank or array that a part belongs to, else itself; a load is itself."""
        found = self.rig.parts.get(part)
        return found.group or part if found is not None else part


def finding(
    subject: str,
    message: str,
    path: Sequence[str] = (),
    states: Mapping[str, str] | None = None,
    missing: Sequence[str] = (),
) -> ProofFinding:
    """A finding in short."""
    return ProofFinding(subject, message, tuple(path), dict(states or {}), tuple(missing))
