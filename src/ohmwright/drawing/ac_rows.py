"""What alternating current is fed by, joined at and watched by, in every settled state of the proofs' own walk."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.circuit.live import LINE_POLES, End, Live
from ohmwright.circuit.net import View
from ohmwright.circuit.proofs.ground import TURNING_RULES, Ground
from ohmwright.circuit.space import TooManyError
from ohmwright.circuit.wiring import wiring_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure, known


@dataclass(frozen=True, slots=True)
class Circuit:
    """Something that alternating current runs: a way of a panel with what hangs on it, a load, a socket."""

    name: str
    line: str
    neutral: str
    panel: str = ""


@dataclass(frozen=True, slots=True)
class Island:
    """What one source feeds in a state."""

    source: str
    joins: tuple[str, ...]
    watched: tuple[tuple[str, tuple[str, ...]], ...]
    """Residual-current device ("" none) -> the circuits it watches."""
    limit: tuple[str, ...]

    @property
    def circuits(self) -> tuple[str, ...]:
        """Everything live on it."""
        return tuple(c for _, names in self.watched for c in names)


@dataclass(frozen=True, slots=True)
class AcRow:
    """States that look alike: what feeds, how the automatic devices stand, what the hands have to have set."""

    islands: tuple[Island, ...]
    stands: tuple[tuple[str, str], ...]
    when: tuple[tuple[str, tuple[str, ...]], ...]
    unknown: tuple[str, ...]
    states: int


@dataclass(frozen=True, slots=True)
class AcStates:
    """The rows, how many combinations were walked, and why there is no answer where there is none."""

    rows: tuple[AcRow, ...]
    walked: tuple[str, ...]
    count: int
    trouble: str = ""


def ac_states(rig: Rig, graph: Graph) -> AcStates | None:
    """Every settled state of the AC side by what it does; None for a rig without AC."""
    g = Ground(wiring_of(rig, graph))
    if not g.ac_ends:
        return None
    try:
        live = g.ac.lives[-1]
    except TooManyError as error:
        return AcStates(
            (), error.variables, error.count, f"{error.count} combinations are more than are walked"
        )
    facts = _Facts(g, live)
    groups: dict[tuple[object, ...], int] = defaultdict(int)
    shown: dict[tuple[object, ...], tuple[tuple[Island, ...], tuple[tuple[str, str], ...]]] = {}
    for index in range(live.space.count):
        bit = 1 << index
        if not live.space.valid & bit:
            continue
        islands, stands = facts.islands(bit), facts.stands(bit)
        key = (islands, stands if islands else ())
        groups[key] |= bit
        shown[key] = (islands, stands if islands else ())
    rows = [
        AcRow(*shown[key], facts.when(states), facts.unknown(states), states.bit_count())
        for key, states in groups.items()
    ]
    rows.sort(key=lambda r: (-len(r.islands), [i.source for i in r.islands], -r.states))
    return AcStates(tuple(rows), live.space.walked, live.space.valid.bit_count())


class _Facts:
    """Answers of one settled walk, a state at a time."""

    def __init__(self, g: Ground, live: Live) -> None:
        self.g, self.live = g, live
        self.circuits = tuple(_circuits(g))
        self.turning = [v.id for v in g.graph.variables.values() if v.rule in TURNING_RULES]
        self.guards = g.rig.of_kind("rcd", "rcbo")
        without, closed_to = g.poles.island_free
        self.blind: dict[str, Live] = {}
        for part in self.guards:
            mine = {w.element.id for w in g.net.wires if w.element.owner == part.id}
            view: View = g.net.view({*without, *mine}, closed_to)
            self.blind[part.id] = Live(live.space, view, g.ac_ends)
        self.limits: dict[tuple[str, str], str] = {}

    def islands(self, bit: int) -> tuple[Island, ...]:
        out: dict[str, Island] = {}
        for end in self.g.ac_ends:
            if not self.live.active.get(end.id, 0) & bit:
                continue
            live_here = [c for c in self.circuits if self._fed(self.live, end, c, bit)]
            if not live_here and not self._feeds_converter(end, bit):
                continue
            joins = tuple(
                w.element.id
                for w in self.g.poles.joins
                if self.live.on(w.number)
                & self.live.joined(end.b, self._neutral_side(w.a, w.element.a, w.element.b))
                & bit
            )
            island = Island(
                end.owner, joins, self._watched(end, live_here, bit), self._limit(end, live_here, bit)
            )
            old = out.get(end.owner)
            out[end.owner] = island if old is None or len(island.circuits) > len(old.circuits) else old
        return tuple(out[k] for k in sorted(out))

    def _neutral_side(self, number: int, a: str, b: str) -> str:
        return a if number in self.g.poles.neutral else b

    @staticmethod
    def _fed(live: Live, end: End, circuit: Circuit, bit: int) -> bool:
        return bool(live.joined(end.a, circuit.line) & bit)

    def _feeds_converter(self, end: End, bit: int) -> bool:
        """A source that feeds a charger or a transformer counts though no circuit hangs on it directly."""
        return any(
            self.g.is_ac(e.a)
            and e.owner != end.owner
            and self.live.joined(end.a, e.a) & self.live.space.on(e.when) & bit
            for e in self.g.net.converters
        )

    def _watched(
        self, end: End, circuits: list[Circuit], bit: int
    ) -> tuple[tuple[str, tuple[str, ...]], ...]:
        by_guard: dict[str, list[str]] = {}
        for c in circuits:
            ahead = [p.id for p in self.guards if not self._fed(self.blind[p.id], end, c, bit)]
            by_guard.setdefault(" + ".join(ahead), []).append(c.name)
        return tuple((k, tuple(v)) for k, v in by_guard.items())

    def _limit(self, end: End, circuits: list[Circuit], bit: int) -> tuple[str, ...]:
        """For every panel or circuit the least rating on the way to it, and whose it is."""
        goals = {c.panel or c.line: self.g.graph.terminals[c.panel or c.line].owner for c in circuits}
        goals = goals or {t: self.g.graph.terminals[t].owner for t in self._inputs(end, bit)}
        return tuple(dict.fromkeys(self._least(end, goal, name, bit) for goal, name in goals.items()))

    def _least(self, end: End, goal: str, name: str, bit: int) -> str:
        found = [x for x in (_own_limit(self.g.rig.parts[end.owner]),) if x is not None]
        for step in self.g.path(self.live, end.a, goal, bit):
            element = self.g.graph.elements.get(step)
            if element is not None and element.owner in self.g.rig.parts and element.owner != end.owner:
                found += _passing(self.g.rig, self.g.rig.parts[element.owner], element.role)
        if not found:
            return f"to {name}: not known"
        amps, whose = min(found)
        return f"to {name}: {amps:.3g}\u00a0A ({whose})"

    def _inputs(self, end: End, bit: int) -> list[str]:
        return [
            e.a
            for e in self.g.net.converters
            if self.g.is_ac(e.a) and e.owner != end.owner and self.live.joined(end.a, e.a) & bit
        ]

    def stands(self, bit: int) -> tuple[tuple[str, str], ...]:
        bits = self.live.space.bits
        return tuple((n, next((s for s, b in bits[n].items() if b & bit), "?")) for n in self.turning)

    def when(self, states: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The walked variables that do not take all of their states here."""
        out = []
        for name in self.live.space.walked:
            bits = self.live.space.bits[name]
            taken = tuple(s for s in self.g.graph.variables[name].states if bits[s] & states)
            if len(taken) < len(self.g.graph.variables[name].states):
                out.append((name, taken))
        return tuple(out)

    def unknown(self, states: int) -> tuple[str, ...]:
        asked = {n for n, _ in self.when(states)}
        return tuple(n for n in self.g.unknown_variables if n in asked)


def _circuits(g: Ground) -> Iterator[Circuit]:
    """Ways of panels with what hangs on them, then loads that are wired by themselves."""
    on_way: dict[str, list[str]] = defaultdict(list)
    for load in g.rig.use.loads.values():
        for way in load.fed.values():
            on_way[way].append(load.id)
    ports: dict[str, dict[str, str]] = {}
    for t in g.graph.terminals.values():
        ports.setdefault(t.port, {})[t.pole] = t.id
    for port, poles in ports.items():
        first = next((poles[p] for p in poles if p in LINE_POLES), "")
        if not first:
            continue
        t = g.graph.terminals[first]
        part = g.rig.parts.get(t.owner)
        wired = any(g.graph.elements[e].role == "run" for e in g.graph.at.get(first, ()))
        neutral = poles.get("N", "") or [poles[p] for p in poles if p in LINE_POLES][-1]
        if part is not None and part.kind.name == "panel-ac" and t.port_role == "way" and wired:
            feed = ports.get(f"{part.id}.feed", {})
            panel = next((feed[p] for p in feed if p in LINE_POLES), "")
            name = f"{port} {', '.join(on_way[port])}".strip()
            yield Circuit(name, first, neutral, panel)
        elif part is not None and part.kind.name == "outlet" and wired:
            yield Circuit(port, first, neutral)
        elif t.owner in g.rig.use.loads and g.rig.use.loads[t.owner].wired:
            yield Circuit(t.owner, first, neutral)


def _own_limit(part: Part) -> tuple[float, str] | None:
    """What a source can give for long."""
    rated = known(part.figure("rated"))
    if rated is not None:
        return rated.value, part.id
    volts = known(part.figure("ac_voltage"))
    power = known(part.figure("apparent_power")) or known(part.figure("power"))
    return (
        (power.value / volts.value, f"{part.id} {power.value:.4g}\u00a0{power.unit}")
        if volts and power
        else None
    )


def _passing(rig: Rig, part: Part, role: str) -> Iterator[tuple[float, str]]:
    rated = known(part.figure("rated"))
    if rated is not None and role != "way":
        yield rated.value, part.id
    limit = rig.setting(part.id, "supply-limit")
    if role in ("transfer", "through") and isinstance(limit, Figure):
        yield limit.value, f"{part.id} supply limit"
