"""A rig -> its explicit graph: every terminal, element, conductor and state variable."""

from dataclasses import dataclass, field

from ohmwright.kinds.base import Inside, When
from ohmwright.rig.graph import Conductor, Element, Graph, StateVariable, Terminal
from ohmwright.rig.groups import bonds
from ohmwright.rig.model import Load, Part, Rig, Run
from ohmwright.rig.ports import Outlet, Ports, is_group, ports_of
from ohmwright.rig.states import takes, variable_id, variables_of
from ohmwright.working import Figure, NotThere

LOAD_PAIRS: dict[tuple[str, ...], tuple[tuple[str, str], ...]] = {
    ("+", "-"): (("+", "-"),),
    ("A", "B"): (("A", "B"),),
    ("L1", "L2", "N", "PE"): (("L1", "L2"), ("L1", "N"), ("L2", "N")),
}


def graph_of(rig: Rig) -> Graph:
    """The graph of a rig; the same rig always gives the same graph, in the order of its file."""
    return _Expanding(rig).graph()


@dataclass(slots=True)
class _Expanding:
    rig: Rig
    terminals: dict[str, Terminal] = field(default_factory=dict)
    elements: dict[str, Element] = field(default_factory=dict)
    conductors: dict[str, Conductor] = field(default_factory=dict)
    variables: dict[str, StateVariable] = field(default_factory=dict)

    def graph(self) -> Graph:
        rig = self.rig
        ports = ports_of(rig.parts, rig.use.loads, rig.metal.values())
        self.variables = variables_of(
            rig.parts.values(), rig.use.loads.values(), rig.runs.values(), ports.insides
        )
        self._terminals(ports)
        for part in rig.parts.values():
            if not is_group(part):
                self._inside(part, ports.insides[part.id])
        for bond in bonds(rig.parts, ports):
            self._element(Element(bond.id, "conductor", bond.a, bond.b, bond.owner, bond.role))
        for load in rig.use.loads.values():
            self._load(load, ports)
        self._metal(ports)
        for run in rig.runs.values():
            self._run(run)
        return Graph(self.terminals, self.elements, self.conductors, self.variables, self._touching())

    def _element(self, element: Element) -> None:
        self.elements[element.id] = element

    def _terminals(self, ports: Ports) -> None:
        rig = self.rig
        for outlet in ports.outlets.values():
            owner = outlet.owner
            metal = owner in rig.metal
            if owner in rig.parts:
                place = rig.parts[owner].place
            else:
                place = "" if metal else rig.use.loads[owner].place
            free = outlet.may_stay_free or metal or is_take_off(outlet, rig)
            for terminal, pole in zip(outlet.terminals, outlet.poles, strict=True):
                self.terminals[terminal] = Terminal(
                    terminal,
                    owner,
                    pole,
                    outlet.address,
                    outlet.role,
                    place,
                    outlet.plug,
                    outlet.takes,
                    free,
                    metal,
                )

    def _inside(self, part: Part, inside: Inside) -> None:
        name = part.id
        ids = {v.name: variable_id(part, v.name, v.rule) for v in inside.variables}
        own = {v.name: v.states for v in inside.variables}
        for e in inside.elements:
            ohm = part.figure(e.ohm) if e.ohm else None
            self._element(
                Element(
                    f"{name}.{e.name}", e.kind, _full(name, e.a), _full(name, e.b), name, e.role, ohm,
                    self._when(e.when, ids, own) if e.when else (),
                    _full(name, e.out_a) if e.out_a else "", _full(name, e.out_b) if e.out_b else "", e.both_ways,
                )
            )  # fmt: skip

    def _when(self, when: When, ids: dict[str, str], own: dict[str, tuple[str, ...]]) -> When:
        """Full ids; states of an outside variable in its own words, matched by their order."""
        out = []
        for name, states in when:
            full = ids[name]
            known = self.variables[full].states
            if not states <= set(known):
                order = own[name]
                states = frozenset(known[order.index(s)] for s in states if order.index(s) < len(known))
            out.append((full, states))
        return tuple(out)

    def _load(self, load: Load, ports: Ports) -> None:
        choice = takes(load)
        for feed in load.fed or ("",):
            address = f"{load.id}.{feed}" if feed else load.id
            outlet = ports.outlets.get(address)
            if outlet is None:
                continue
            when: When = ((load.id, frozenset({feed})),) if choice and feed in choice else ()
            pairs = _pairs(load, outlet)
            for a, b in pairs:
                name = f"{address}.load" if len(pairs) == 1 else f"{address}.load.{a}-{b}"
                self._element(
                    Element(
                        name,
                        "load",
                        f"{address}.{a}",
                        f"{address}.{b}",
                        load.id,
                        "constant-power",
                        None,
                        when,
                    )
                )

    def _metal(self, ports: Ports) -> None:
        rig = self.rig
        for body in rig.metal.values():
            for other in body.joined:
                self._element(
                    Element(f"{body.id}.joined.{other}", "conductor", body.id, other, body.id, "metal")
                )
        for part in rig.parts.values():
            if is_group(part):
                continue
            on = part.words.get("on", "")
            cases = (
                [o for o in ports.outlets.values() if o.owner == part.id and o.role == "case"]
                if on or part.kind.name == "electrode"
                else []
            )
            if part.kind.name == "electrode" and not on and "ground" in rig.metal:
                on = "ground"
            if not on:
                continue
            if not cases:
                terminal = f"{part.id}.case.PE"
                self.terminals[terminal] = Terminal(
                    terminal, part.id, "PE", f"{part.id}.case", "case", part.place, "", 1, True
                )
                self._element(Element(f"{part.id}.on", "conductor", terminal, on, part.id, "bolted"))
            for case in cases:
                self._element(Element(f"{part.id}.on", "conductor", case.terminals[0], on, part.id, "bolted"))

    def _run(self, run: Run) -> None:
        length_m = (
            run.length.value
            if isinstance(run.length, Figure)
            else 0.0
            if isinstance(run.length, NotThere)
            else None
        )
        for core in run.cores:
            a, b = core.a, core.b
            if "from" in run.plugs:
                a = self._plug(run, "from", core.id, core.pole, a)
            if "to" in run.plugs:
                b = self._plug(run, "to", core.id, core.pole, b)
            if isinstance(run.length, NotThere) and run.cable.area_mm2 is None:
                self._element(Element(core.id, "conductor", a, b, run.id, "bolted"))
                continue
            self.conductors[core.id] = Conductor(
                core.id,
                run.id,
                a,
                b,
                core.pole,
                run.cable,
                run.cable.area_mm2,
                length_m,
                run.length,
                run.role,
                run.route,
            )
            self._element(Element(core.id, "conductor", a, b, run.id, "run"))

    def _plug(self, run: Run, end: str, core: str, pole: str, mate: str) -> str:
        """A plugged end: a terminal of its own, and a contact to its mate while it is in."""
        there = self.terminals[mate]
        terminal = f"{run.id}.{end}.{pole}" if pole else f"{run.id}.{end}"
        bare = "pins" if there.plug == "socket" else "socket" if there.plug == "pins" else ""
        self.terminals[terminal] = Terminal(
            terminal, run.id, pole, f"{run.id}.{end}", there.port_role, there.place, bare, 1, True
        )
        when: When = ((f"{run.id}.{end}", frozenset({"in"})),)
        self._element(Element(f"{core}.{end}", "switch", mate, terminal, run.id, "plug", None, when))
        return terminal

    def _touching(self) -> dict[str, tuple[str, ...]]:
        at: dict[str, list[str]] = {name: [] for name in self.terminals}
        for e in self.elements.values():
            for terminal in {e.a: 0, e.b: 0, e.out_a: 0, e.out_b: 0}:
                if terminal:
                    at[terminal].append(e.id)
        return {k: tuple(v) for k, v in at.items()}


def is_take_off(outlet: Outlet, rig: Rig) -> bool:
    """True for the take-off of a group or array."""
    part = rig.parts.get(outlet.owner)
    return part is not None and is_group(part)


def _full(part: str, local: str) -> str:
    return f"{part}.{local}" if local else part


def _pairs(load: Load, outlet: Outlet) -> tuple[tuple[str, str], ...]:
    """Between which poles a load takes power: told by its power, else by its poles."""
    told = [
        tuple(k.split("-"))
        for k in load.power
        if k.count("-") == 1 and all(p in outlet.poles for p in k.split("-"))
    ]
    if told:
        return tuple((a, b) for a, b in told)
    live = tuple(p for p in outlet.poles if p != "PE")
    if outlet.poles in LOAD_PAIRS:
        return LOAD_PAIRS[outlet.poles][:1]
    return ((live[0], live[-1]),) if len(live) > 1 else ()
