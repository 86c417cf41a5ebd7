"""The rig as the sheet sees it: wires to draw, parts to stand between them, chains from anchor to anchor.

The convention is the file's own: direct current is drawn conductor by conductor, an AC cable as one line whose
slashes name its cores.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ohmwright.drawing.always import always_live
from ohmwright.rig.graph import Conductor, Graph
from ohmwright.rig.model import Part, Rig, Run
from ohmwright.rig.ports import inside_of, is_group
from ohmwright.working.quickly import quickly_made

AC_CORES = ("L", "L1", "L2", "L3", "N", "PE")
BARS = ("busbar", "earth-bar")


@quickly_made
@dataclass(frozen=True, slots=True)
class End:
    """One end of a wire: the port it lands on, and which terminal each core meets there.

    `away` holds cores that leave the cable at this end and land somewhere else (an earth core on its bar).
    """

    port: str
    owner: str
    nodes: tuple[tuple[str, str], ...]
    away: tuple[tuple[str, str], ...] = ()

    @property
    def terminal(self) -> str:
        """The terminal of a single conductor."""
        return self.nodes[0][1]


@quickly_made
@dataclass(frozen=True, slots=True)
class Wire:
    """A line on the sheet: one conductor, or an AC cable whole. `sort` chooses its dash."""

    id: str
    run: str
    cores: tuple[str, ...]
    a: End
    b: End
    sort: str
    conductors: tuple[Conductor, ...]

    @property
    def ac(self) -> bool:
        """True when the line stands for a whole cable."""
        return bool(self.cores)

    def other(self, end: End) -> End:
        """The end across."""
        return self.b if end is self.a else self.a


@dataclass(slots=True)
class View:
    """Lookups over a rig and its graph."""

    rig: Rig
    graph: Graph
    wires: dict[str, Wire] = field(default_factory=dict)
    at: dict[str, list[tuple[Wire, End]]] = field(default_factory=dict)
    """terminal -> wires that land there, each with the end that does."""
    across: dict[str, str] = field(default_factory=dict)
    """terminal of a device in a conductor -> its terminal on the other side."""
    run_pairs: dict[str, tuple[Wire, ...]] = field(default_factory=dict)
    """run -> its wires: one, or the conductors of a DC cable."""
    terminals_of: dict[str, list[str]] = field(default_factory=dict)
    always: frozenset[str] = frozenset()
    """What a bank feeds while every switch that a hand works is open."""

    def owner(self, terminal: str) -> str:
        """Who owns a terminal."""
        return self.graph.terminals[terminal].owner

    def part(self, owner: str) -> Part | None:
        """The part of that id."""
        return self.rig.parts.get(owner)

    def kind(self, owner: str) -> str:
        """The name of a part's kind, "load" or "metal"."""
        part = self.rig.parts.get(owner)
        if part is not None:
            return part.kind.name
        return "load" if owner in self.rig.use.loads else "metal"

    def is_series(self, owner: str) -> bool:
        """True for a device that stands in a conductor and is drawn there."""
        part = self.rig.parts.get(owner)
        return part is not None and part.kind.series

    def is_bar(self, owner: str) -> bool:
        """True for a bar with studs, or a metal body."""
        return self.kind(owner) in BARS or self.kind(owner) == "metal"

    def wires_at(self, owner: str) -> Iterator[tuple[Wire, End]]:
        """Every wire end that lands on a part, in the order of its terminals, each once."""
        seen: set[tuple[str, str]] = set()
        for t in self.terminals_of.get(owner, ()):
            for wire, end in self.at.get(t, ()):
                if (wire.id, end.port) not in seen:
                    seen.add((wire.id, end.port))
                    yield wire, end

    def earth_like(self, wire: Wire) -> bool:
        """True for an earth or bond conductor."""
        return wire.sort == "earth"


def _end(pairs: list[tuple[str, str]], graph: Graph) -> End:
    live = [t for core, t in pairs if core != "PE"] or [t for _, t in pairs]
    port = graph.terminals[live[0]].port or live[0]
    owner = graph.terminals[live[0]].owner
    nodes = tuple((c, t) for c, t in pairs if graph.terminals[t].owner == owner)
    return End(port, owner, nodes, tuple((c, t) for c, t in pairs if graph.terminals[t].owner != owner))


def _sort(run: Run, poles: tuple[str, ...]) -> str:
    if run.role in ("bond", "earth") or poles == ("PE",):
        return "earth"
    if run.role in ("data", "sense") or poles == ("sig",):
        return "data"
    return "power"


def view_of(rig: Rig, graph: Graph) -> View:
    """Everything the layout asks."""
    view = View(rig, graph, always=frozenset(always_live(rig, graph)))
    for terminal in graph.terminals.values():
        view.terminals_of.setdefault(terminal.owner, []).append(terminal.id)
    for run_id, run in rig.runs.items():
        made = _wires(run, graph)
        view.run_pairs[run_id] = made
        for wire in made:
            view.wires[wire.id] = wire
            for end in (wire.a, wire.b):
                for _, t in end.nodes:
                    view.at.setdefault(t, []).append((wire, end))
    for part in rig.parts.values():
        if part.kind.series and not is_group(part):
            _sides(view, part)
    return view


def _wires(run: Run, graph: Graph) -> tuple[Wire, ...]:
    """The ends are those of the file: a plug belongs to the line, not to what stands at its end."""
    poles = tuple(c.pole for c in run.cores)
    conductors = [graph.conductors[c.id] for c in run.cores]
    if len(conductors) > 1 and all(p in AC_CORES for p in poles):
        a = _end([(c.pole, c.a) for c in run.cores], graph)
        b = _end([(c.pole, c.b) for c in run.cores], graph)
        return (Wire(run.id, run.id, poles, a, b, _sort(run, poles), tuple(conductors)),)
    return tuple(
        Wire(
            c.id,
            run.id,
            (),
            _end([("", c.a)], graph),
            _end([("", c.b)], graph),
            _sort(run, (c.pole,)),
            (graph.conductors[c.id],),
        )
        for c in run.cores
    )


def _sides(view: View, part: Part) -> None:
    inside = inside_of(part)
    if len(inside.ports) < 2:
        return
    first, second = inside.ports[0], inside.ports[1]
    for a, b in zip(first.terminals(), second.terminals(), strict=False):
        one, two = f"{part.id}.{a}", f"{part.id}.{b}"
        view.across[one], view.across[two] = two, one


@dataclass(frozen=True, slots=True)
class Step:
    """Part of a chain: wires side by side (one a pole), then the device they reach, "" at the chain's end."""

    wires: tuple[Wire, ...]
    ends: tuple[End, ...]
    """Where each wire arrives."""
    device: str = ""


@dataclass(frozen=True, slots=True)
class Chain:
    """From `start` terminals through devices to `stop` terminals; poles lie side by side, plus first."""

    start: tuple[str, ...]
    steps: tuple[Step, ...]
    stop: tuple[str, ...]

    @property
    def devices(self) -> tuple[str, ...]:
        """The devices on the way."""
        return tuple(s.device for s in self.steps if s.device)

    @property
    def wires(self) -> tuple[Wire, ...]:
        """All wires on the way."""
        return tuple(w for s in self.steps for w in s.wires)

    @property
    def poles(self) -> int:
        """How many conductors lie side by side."""
        return len(self.start)


def chain_from(
    view: View,
    terminals: tuple[str, ...],
    taken: Mapping[str, object] | set[str],
    first: tuple[Wire, ...] | None = None,
) -> Chain | None:
    """Walk from terminals through devices in the conductors until something else is reached.

    `taken` holds ids of parts and wires that are drawn already; a taken device ends the walk.
    """
    at = terminals
    steps: list[Step] = []
    wires = first
    used: set[str] = set()
    while True:
        if wires is None:
            wires = _onward(view, at, taken, used)
        if wires is None:
            break
        used |= {w.id for w in wires}
        ends = tuple(_far(w, t) for w, t in zip(wires, at, strict=True))
        reached = tuple(e.terminal for e in ends)
        owner = ends[0].owner
        through = (
            all(e.owner == owner for e in ends)
            and view.is_series(owner)
            and owner not in taken
            and owner not in {s.device for s in steps}
            and all(t in view.across for t in reached)
            and len({view.graph.terminals[t].port for t in reached}) == 1
            and _poles_of_side(view, reached[0]) == len(reached)
        )
        if not through:
            steps.append(Step(wires, ends))
            return Chain(terminals, tuple(steps), reached)
        steps.append(Step(wires, ends, owner))
        at = tuple(view.across[t] for t in reached)
        wires = None
    return Chain(terminals, tuple(steps), at) if steps else None


def _poles_of_side(view: View, terminal: str) -> int:
    here = view.graph.terminals[terminal]
    return sum(
        1
        for t in view.terminals_of[here.owner]
        if view.graph.terminals[t].port == here.port and t in view.across
    )


def _far(wire: Wire, terminal: str) -> End:
    return wire.b if wire.a.terminal == terminal else wire.a


def _onward(
    view: View, at: tuple[str, ...], taken: Mapping[str, object] | set[str], used: set[str]
) -> tuple[Wire, ...] | None:
    """The wires that go on from a device, one a pole and of one run where it can be; the stoutest when there are several."""
    out: list[Wire] = []
    for t in at:
        free = [w for w, _ in view.at.get(t, ()) if w.id not in taken and w.id not in used and not w.ac]
        if out:
            same = [w for w in free if w.run == out[0].run]
            free = same or free
        else:
            free = [w for w in free if w.sort == "power"] or free
        if not free:
            return None
        out.append(max(free, key=lambda w: (w.conductors[0].area_mm2 or 0.0, -len(w.id))))
    return tuple(out)
