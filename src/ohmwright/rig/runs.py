"""Runs: their ends resolved to terminals, one core per pole; links, leads and branch cables beside them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ohmwright.kinds.base import Pole
from ohmwright.rig import shape
from ohmwright.rig.addresses import nearest_address
from ohmwright.rig.model import Cable, Core, Host, Load, Metal, Part, Run
from ohmwright.rig.parts import read_cable_at
from ohmwright.rig.ports import AS_FOUND, Ports
from ohmwright.rig.quantities import Reading
from ohmwright.rig.routes import Routes
from ohmwright.rig.telling import addressed, check_name, listed, mapping, refuse, scalar, short, suggestion
from ohmwright.working import Absent, Figure, Given
from ohmwright.working import tree as t
from ohmwright.working.quickly import quickly_made

_UNTYPED = Cable("", material="unknown")
POLE_WORDS = ("+", "-", "L", "L1", "L2", "L3", "N", "PE", "A", "B", "sig")


@quickly_made
@dataclass(frozen=True, slots=True)
class End:
    """One end of a run: poles with terminals. A single terminal has its own pole, or none."""

    terminals: tuple[tuple[Pole, str], ...]
    single: bool
    owner: str


class RunsReader:
    """Reads the section `runs`."""

    def __init__(
        self,
        ports: Ports,
        host: Host,
        parts: Mapping[str, Part],
        loads: Mapping[str, Load],
        metal: Mapping[str, Metal],
        stage: str,
        reading: Reading,
    ) -> None:
        self.ports = ports
        self.host = host
        self.parts = parts
        self.loads = loads
        self.metal = metal
        self.as_found = stage == "as found"
        self.routes = Routes(host.ways)
        self.reading = reading
        self._ends: dict[str, End] = {}

    def read(self, tree: t.Tree) -> dict[str, Run]:
        """The runs as written, in file order."""
        out: dict[str, Run] = {}
        take = shape.RUN.take
        for entry in mapping(tree).entries.values():
            name = check_name(entry.key, "a run")
            out[name] = self._run(name, entry, take(entry.value, self.reading))
        return out

    def _run(self, name: str, entry: t.Entry, known: dict[str, Any]) -> Run:
        cable = read_cable_at(known["cable"])
        start, stop = self._end(known["from"]), self._end(known["to"])
        cores = self._cores(name, entry, known, start, stop)
        if (
            cable.cores > 1
            and cable.cores != len(cores)
            and (cable.cores < len(cores) or "cores" not in known)
        ):
            poles = " ".join(c.pole for c in cores if c.pole)
            refuse(
                known["cable"].at,
                f"{name} has {len(cores)} conductor{'s' if len(cores) > 1 else ''}, its cable {cable.cores} cores",
                f"write a cable of {len(cores)}, or cores: {poles or '+ -'} to leave the rest unused"
                if cable.cores > len(cores)
                else f"write a cable of {len(cores)} cores, or cores: to say which poles it carries",
            )
        if "insulation" in known and isinstance(known["insulation"], Figure):
            cable = replace(cable, insulation_degC=known["insulation"].value)
        route = self._route(known.get("via"), start, stop)
        length = known.get("length")
        address = f"{name}.length"
        length = self.routes.length(route, address) if length is None else addressed(length, address)
        words = {k: known[k] for k in ("note",) if k in known}
        plugs = known.get("plugs", "")
        return Run(
            name, self._written(known["from"]), self._written(known["to"]), cable, length, cores, self._via_words(known.get("via")), route,
            known.get("role", ""), ("from", "to") if plugs == "both" else (plugs,) if plugs else (), "", known.get("found", ""), words,
            entry.key.at,
        )  # fmt: skip

    def _written(self, tree: t.Tree) -> str:
        if isinstance(tree, t.Scalar):
            return tree.text.strip()
        return (
            "{"
            + ", ".join(
                f"{k}: {e.value.text}"
                for k, e in mapping(tree).entries.items()
                if isinstance(e.value, t.Scalar)
            )
            + "}"
        )

    def _end(self, tree: t.Tree) -> End:
        if isinstance(tree, t.Scalar):
            end = self._ends.get(tree.text)
            if end is None:
                end = self._ends[tree.text] = self._named(tree)
            return end
        if isinstance(tree, t.Sequence):
            write = "write a terminal, a port, or a map {port: Q3.line, PE: XE.1}"
            refuse(tree.at, "a list stands where an end of a run is wanted", write)
        return self._map(tree)

    def _named(self, s: t.Scalar) -> End:
        text = scalar(s, "a terminal or port").text.strip()
        if ":" in text:
            refuse(
                s.at,
                f"a colon stands in '{short(text)}'",
                "write dots between the words of an address, for instance U1.pv.+",
                text,
            )
        closed = self.ports.inner.get(text)
        if closed is not None and not (self.as_found and closed.startswith(AS_FOUND)):
            refuse(s.at, f"no run lands on {text}", closed.removeprefix(AS_FOUND), text)
        outlet = self.ports.outlets.get(text)
        if outlet is not None:
            pairs = tuple(zip(outlet.poles, outlet.terminals, strict=True))
            return End(pairs, len(pairs) == 1, outlet.owner)
        outlet = self.ports.terminals.get(text)
        if outlet is None:
            message, remedy = nearest_address(text, self.ports, self.parts, self.loads, self.metal)
            refuse(s.at, message, remedy, text)
        return End(((self.ports.pole[text], text),), True, outlet.owner)

    def _map(self, tree: t.Mapping) -> End:
        poles: dict[Pole, str] = {}
        owner = ""
        if (port := tree.get("port")) is not None:
            end = self._named(scalar(port, "a port"))
            owner = end.owner
            poles.update(end.terminals)
        for key, e in tree.entries.items():
            if key == "port":
                continue
            if key not in POLE_WORDS:
                refuse(
                    e.key.at,
                    f"'{short(key)}' is no pole",
                    suggestion(key, ("port", *POLE_WORDS), f"write port, or one of: {listed(POLE_WORDS)}"),
                    key,
                )
            end = self._named(scalar(e.value, "a terminal"))
            if not end.single:
                refuse(
                    e.value.at,
                    f"{key} is given a port of {len(end.terminals)} poles",
                    f"write one terminal, for instance {end.terminals[0][1]}",
                )
            owner = owner or end.owner
            poles[key] = end.terminals[0][1]
        if not poles:
            refuse(
                tree.at,
                "an end without a terminal",
                "write {port: Q3.line, PE: XE.1}, or {L: Q1.line.L, N: XN.1}",
            )
        return End(tuple(poles.items()), False, owner)

    def _cores(
        self, name: str, entry: t.Entry, known: dict[str, Any], start: End, stop: End
    ) -> tuple[Core, ...]:
        if start.single and stop.single:
            (pa, a), (pb, b) = start.terminals[0], stop.terminals[0]
            if a == b:
                refuse(entry.key.at, f"{name} begins and ends at {a}", "write two different ends")
            return (Core(name, pa or pb, a, b),)
        if start.single != stop.single and not (len(start.terminals) == len(stop.terminals) == 1):
            here, there = ("from", "to") if start.single else ("to", "from")
            lone, many = (start, stop) if start.single else (stop, start)
            poles = " ".join(p for p, _ in many.terminals)
            refuse(
                known[there].at,
                f"{name} goes from a terminal to a port: {here} is {lone.terminals[0][1]}, {there} has poles {poles}",
                f"write one terminal of it, for instance {many.terminals[0][1]}, or a port or map with the same poles at both ends",
            )
        a_poles, b_poles = dict(start.terminals), dict(stop.terminals)
        if "cores" in known:
            wanted = known["cores"].replace(",", " ").split()
            for pole in wanted:
                if pole not in a_poles or pole not in b_poles:
                    refuse(
                        mapping(entry.value).entries["cores"].value.at,
                        f"{name} has no pole {short(pole)} at both ends",
                        f"write poles that both have: {listed(p for p in a_poles if p in b_poles)}",
                    )
            a_poles = {p: x for p, x in a_poles.items() if p in wanted}
        elif a_poles.keys() != b_poles.keys():
            refuse(
                known["to"].at,
                f"{name} joins ports with different poles: from has {' '.join(a_poles)}, to has {' '.join(b_poles)}",
                "write cores: "
                + (" ".join(p for p in a_poles if p in b_poles) or "with the poles it carries")
                + ", or a map {port: ..., PE: ...} that names the rest",
            )
        for pole, terminal in a_poles.items():
            if terminal == b_poles[pole]:
                refuse(entry.key.at, f"{name} begins and ends at {terminal}", "write two different ends")
        return tuple(
            Core(f"{name}.{p}" if p else name, p, terminal, b_poles[p]) for p, terminal in a_poles.items()
        )

    def place_of(self, owner: str) -> str:
        """Where a part or load sits; "" when nobody said."""
        part = self.parts.get(owner)
        if part is not None:
            return part.place
        load = self.loads.get(owner)
        return load.place if load else ""

    def _via_words(self, tree: t.Tree | None) -> tuple[str, ...]:
        if tree is None:
            return ()
        items = tree.items if isinstance(tree, t.Sequence) else (tree,)
        return tuple(scalar(i, "a way or place").text.strip() for i in items)

    def _route(self, via: t.Tree | None, start: End, stop: End) -> tuple[str, ...]:
        return self.route(via, self.place_of(start.owner), self.place_of(stop.owner))

    def route(self, via: t.Tree | None, a: str, b: str) -> tuple[str, ...]:
        """The ways a cable lies in: shortest, unless `via` names a way or places."""
        if via is None:
            return (self.routes.shortest(a, b) or ()) if a and b and a != b else ()
        names = self._via_words(via)
        items = via.items if isinstance(via, t.Sequence) else (via,)
        if len(names) == 1 and (way := self.routes.find(names[0])) is not None:
            return self.routes.by_way(a, way, b)
        stops: list[str] = []
        for name, item in zip(names, items, strict=True):
            if (way := self.routes.find(name)) is not None:
                ends = (way.a, way.b) if not stops or stops[-1] == way.a or a == way.a else (way.b, way.a)
                stops += [p for p in ends if not stops or stops[-1] != p]
            elif name in self.host.places:
                stops.append(name)
            else:
                known = [*self.host.ways, *self.host.places]
                refuse(
                    item.at,
                    f"'{short(name)}' is no way and no place",
                    suggestion(name, known, f"write one of: {listed(self.host.ways)}"),
                    name,
                )
        found = self.routes.through(a, stops, b)
        if found is None:
            refuse(via.at, f"no ways lead through {', '.join(names)}", "add the missing way to host: ways:")
        return found


def branch_runs(
    loads: Mapping[str, Load], trees: Mapping[str, dict[str, Any]], ports: Ports, reader: RunsReader
) -> dict[str, Run]:
    """The branch cable of every load that hangs on a panel's way: its own run, length unknown until typed."""
    out: dict[str, Run] = {}
    for load in loads.values():
        if load.wired:
            continue
        known = trees[load.id]
        for feed, way in load.fed.items():
            here = ports.outlets.get(f"{load.id}.{feed}" if feed else load.id)
            there = ports.outlets.get(way)
            if here is None or there is None:
                continue
            name = f"{here.address}.branch"
            cores = tuple(
                Core(f"{name}.{p}", p, a, b)
                for p, a, b in zip(here.poles, there.terminals, here.terminals, strict=True)
            )
            route = reader.route(known.get("via"), reader.place_of(there.owner), load.place)
            cable = read_cable_at(known["cable"]) if "cable" in known else _UNTYPED
            length: Given = (
                load.length
                if not isinstance(load.length, Absent)
                else reader.routes.length(route, f"{load.id}.length")
            )
            out[name] = Run(
                name,
                way,
                here.address,
                cable,
                length,
                cores,
                reader._via_words(known.get("via")),
                route,
                part_of=load.id,
                position=load.position,
            )
    return out
