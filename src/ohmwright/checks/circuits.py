"""What rules ask of a rig again and again: array circuits, banks, chargers, the coldest and hottest day."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ohmwright.checks.cold import Modules
from ohmwright.checks.gather import Asked, asked, once, word
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import Reached, Roads, conducts, reach
from ohmwright.rig.graph import Element, Graph
from ohmwright.rig.model import Part, Rig, Stay
from ohmwright.study import Study
from ohmwright.study.stays import on_land
from ohmwright.working import Figure, Given, Origin, figure

CONTROLLERS = ("pv-controller", "pv-controller-pwm")


@dataclass(frozen=True, slots=True)
class PvString:
    """Modules in series."""

    id: str
    members: tuple[Part, ...]
    modules: tuple[Modules, ...]
    ends: frozenset[str]


@dataclass(frozen=True, slots=True)
class PvCircuit:
    """Strings that meet at one controller, with every device and conductor on the way."""

    name: str
    controller: Part | None
    strings: tuple[PvString, ...]
    devices: tuple[Part, ...]
    conductors: tuple[str, ...]
    elements: frozenset[str]

    @staticmethod
    def asked(given: Given) -> Asked:
        """A figure for a danger."""
        return asked(given)

    @property
    def parallel(self) -> int:
        """Strings in parallel."""
        return len(self.strings)

    def weakest(self, name: str, *, largest: bool = False) -> Asked:
        """A module figure over all strings: the smallest, or the largest, one."""
        found = [asked(m.figure(name)) for s in self.strings for m in s.members]
        if any(a.figure is None for a in found):
            return Asked(None, tuple(dict.fromkeys(x for a in found for x in a.missing)))
        figures = [a.figure for a in found if a.figure is not None]
        pick = max if largest else min
        return Asked(pick(figures, key=lambda f: f.value)) if figures else Asked(None)


def _not_controller(rig: Rig, graph: Graph, *, cells: bool) -> dict[str, bool]:
    """Which elements an array circuit may run through: nothing inside a controller; its own cells when asked."""
    out: dict[str, bool] = {}
    for name, e in graph.elements.items():
        owner = rig.parts.get(e.owner)
        inside = owner is not None and owner.kind.name in CONTROLLERS
        out[name] = not inside and (conducts(e) or (cells and e.kind == "source" and e.role == "array"))
    return out


@once
def pv_circuits(study: Study) -> tuple[PvCircuit, ...]:
    """Every array circuit of the rig."""
    rig, graph = study.rig, study.graph
    reached = of_shape(study, "array circuits", lambda: _reached(rig, graph))
    return tuple([_circuit(rig, graph, one, [graph.elements[n] for n in names]) for one, names in reached])


def _reached(rig: Rig, graph: Graph) -> list[tuple[Reached, tuple[str, ...]]]:
    """What conducts to the arrays, circuit by circuit, with their sources."""
    passable = _not_controller(rig, graph, cells=True)
    done: set[str] = set()
    found: list[tuple[Reached, tuple[str, ...]]] = []
    for e in graph.elements.values():
        if e.kind != "source" or e.role != "array" or e.id in done:
            continue
        reached = reach(graph, (e.a, e.b), through=lambda x: passable[x.id])
        sources = tuple(
            [
                n
                for n in sorted(reached.elements)
                if graph.elements[n].role == "array" and graph.elements[n].kind == "source"
            ]
        )
        done |= {*sources, e.id}
        found.append((reached, sources or (e.id,)))
    return found


def _circuit(rig: Rig, graph: Graph, reached: Reached, sources: list[Element]) -> PvCircuit:
    strings: dict[str, list[Part]] = {}
    ends: dict[str, set[str]] = {}
    for s in sorted(sources, key=lambda x: _natural(x.owner)):
        part = rig.parts[s.owner]
        key = s.owner.rpartition(".")[0] if s.owner.count(".") >= 2 else s.owner
        strings.setdefault(key, []).append(part)
        ends.setdefault(key, set()).update((s.a, s.b))
    owners = sorted({graph.elements[n].owner for n in reached.elements})
    devices = tuple(rig.parts[o] for o in owners if o in rig.parts and rig.parts[o].kind.series)
    controllers = sorted(
        {
            t.owner
            for t in (graph.terminals[x] for x in reached.terminals)
            if t.owner in rig.parts and rig.parts[t.owner].kind.name in CONTROLLERS and t.port_role == "pv"
        }
    )
    conductors = tuple(sorted(n for n in reached.elements if n in graph.conductors))
    first = next(iter(strings))
    return PvCircuit(
        first.partition(".")[0], rig.parts[controllers[0]] if controllers else None,
        tuple(PvString(k, tuple(m), _alike(m), frozenset(ends[k])) for k, m in strings.items()), devices, conductors, reached.elements,
    )  # fmt: skip


def _natural(name: str) -> tuple[str | int, ...]:
    return tuple(int(w) if w.isdecimal() else w for w in name.split("."))


def _alike(members: list[Part]) -> tuple[Modules, ...]:
    """Equal modules drawn together, so that a string of three prints as 3 x one."""
    groups: dict[tuple[object, ...], list[Part]] = {}
    for m in members:
        key = (m.record.id, *(_value(m.figure(n)) for n in ("open_circuit", "beta", "beta_voltage")))
        groups.setdefault(key, []).append(m)
    return tuple(_modules(same) for same in groups.values())


def _value(given: Given) -> float | None:
    return given.value if isinstance(given, Figure) else None


def _modules(same: list[Part]) -> Modules:
    one = same[0]
    volts, percent, coefficient = (
        asked(one.figure("open_circuit")),
        asked(one.figure("beta")),
        asked(one.figure("beta_voltage")),
    )
    chosen = percent.figure or coefficient.figure
    return Modules(
        len(same),
        volts.figure,
        chosen,
        word(one, "technology"),
        (*volts.missing, *(percent.missing if chosen is None else ())),
    )


@once
def _kept_behind(study: Study) -> dict[tuple[int, str], tuple[str, ...]]:  # noqa: ARG001 - kept by study
    """What `strings_behind` has answered of a study: several rules ask for the same elements."""
    return {}


@once
def _outside_controllers(study: Study) -> Roads:
    """What the strings' current runs through on its way to a controller."""
    passable = _not_controller(study.rig, study.graph, cells=False)
    return Roads(study.graph, lambda e: passable[e.id])


def strings_behind(study: Study, circuit: PvCircuit, element: str) -> tuple[str, ...]:
    """Ids of the strings whose current runs through one conductor or device element of a circuit."""
    kept = _kept_behind(study)
    key = (id(circuit), element)
    if key not in kept:
        shape = "strings behind", circuit.name, tuple([s.id for s in circuit.strings]), element
        kept[key] = of_shape(study, shape, lambda: _strings_behind(study, circuit, element))
    return kept[key]


def _strings_behind(study: Study, circuit: PvCircuit, element: str) -> tuple[str, ...]:
    graph = study.graph
    roads = _outside_controllers(study)
    e = graph.elements[element]
    behind: set[str] = set()
    controller = circuit.controller.id if circuit.controller else ""
    for end in (e.a, e.b):
        side = roads.reach_without(end, e)
        if not any(graph.terminals[t].owner == controller for t in side.terminals):
            behind |= {s.id for s in circuit.strings if s.ends & side.terminals}
    return tuple(s.id for s in circuit.strings if s.id in behind) or tuple(s.id for s in circuit.strings)


@dataclass(frozen=True, slots=True)
class Bank:
    """A battery, or a group of them."""

    id: str
    group: Part
    members: tuple[Part, ...]

    @property
    def in_series(self) -> int:
        """Members in series."""
        return len(self.members) if self.group.join is not None and self.group.join.how == "series" else 1

    @property
    def in_parallel(self) -> int:
        """Members in parallel."""
        return len(self.members) // self.in_series

    @property
    def chemistry(self) -> str:
        """The word, or "mixed"."""
        words = {word(m, "chemistry") or "unknown" for m in self.members}
        return words.pop() if len(words) == 1 else "mixed"


@dataclass(frozen=True, slots=True)
class _Banks:
    """The banks of one rig, and the bank of each battery and of each bank's own name."""

    rig: Rig
    all: tuple[Bank, ...]
    of: Mapping[str, Bank]


_LAST: list[_Banks] = []


def _of(rig: Rig) -> _Banks:
    """Kept for the rig last asked about."""
    if not _LAST or _LAST[0].rig is not rig:
        found = _banks(rig)
        of: dict[str, Bank] = {}
        for b in found:
            for name in (b.id, *(m.id for m in b.members)):
                of.setdefault(name, b)
        _LAST[:] = [_Banks(rig, found, of)]
    return _LAST[0]


def banks(rig: Rig) -> tuple[Bank, ...]:
    """Every bank of the rig; a single battery is a bank of one."""
    return _of(rig).all


def _banks(rig: Rig) -> tuple[Bank, ...]:
    batteries = [p for p in rig.parts.values() if p.kind.name == "battery"]
    groups = {p.group for p in batteries if p.group}
    found = []
    for p in batteries:
        if p.id in groups:
            found.append(Bank(p.id, p, tuple(m for m in batteries if m.group == p.id)))
        elif not p.group:
            found.append(Bank(p.id, p, (p,)))
    written_out = {g: tuple(m for m in batteries if m.group == g) for g in groups if g not in rig.parts}
    return (*found, *(Bank(g, members[0], members) for g, members in sorted(written_out.items())))


def bank_of(rig: Rig, battery: str) -> Bank | None:
    """The bank that a battery belongs to."""
    return _of(rig).of.get(battery)


@once
def coldest(study: Study) -> tuple[Figure | None, tuple[str, ...]]:
    """The lowest temperature the array can see, over stays and storage; a typed night beats the climate table."""
    return _extreme(study, "coldest", max_wins=False)


@once
def hottest(study: Study) -> tuple[Figure | None, tuple[str, ...]]:
    """The highest air temperature over the stays; a typed day beats the climate table."""
    return _extreme(study, "hottest", max_wins=True)


def _extreme(
    study: Study, name: Literal["coldest", "hottest"], *, max_wins: bool
) -> tuple[Figure | None, tuple[str, ...]]:
    stays = study.rig.use.stays
    typed = [s.coldest if name == "coldest" else s.hottest for s in stays]
    covered = {
        s.place for s, given in zip(stays, typed, strict=True) if isinstance(given, Figure) and s.place
    }
    found: list[Figure] = []
    missing: list[str] = []
    for number, (stay, given) in enumerate(zip(stays, typed, strict=True), 1):
        address = f"use.stays.{number}.{name}"
        if isinstance(given, Figure):
            found.append(given if given.address else given.at(address))
        elif not (stay.place and stay.place in covered):
            of_table = _climate(stay, name)
            found += of_table
            if not of_table:
                missing.append(address)
    if missing or not found:
        return None, tuple(missing) or (f"use.stays.1.{name}",)
    return (max if max_wins else min)(found, key=lambda f: f.value), ()


def _climate(stay: Stay, name: Literal["coldest", "hottest"]) -> list[Figure]:
    """From the climate table, for each place of a stay; nothing when any of them is unknown to it."""
    from ohmwright.sky.places import find

    points: list[tuple[float, float, float | None, str]] = []
    if stay.latitude_deg is not None and stay.longitude_deg is not None:
        points.append((stay.latitude_deg, stay.longitude_deg, stay.altitude_m, stay.place))
    else:
        for place in filter(None, (stay.place, stay.start, stay.end)):
            town = find(place)
            if town is None:
                return []
            points.append((town.latitude_deg, town.longitude_deg, town.altitude_m, place))
    found = []
    for latitude_deg, longitude_deg, altitude_m, place in points:
        spot = on_land(latitude_deg, longitude_deg, altitude_m, place)
        if spot is None:
            return []
        value = spot.coldest_degC if name == "coldest" else spot.hottest_degC
        found.append(
            figure(
                value,
                "degC",
                Origin("computed", "climate table", by=place),
                address=f"{name} at {place or spot.name}",
            )
        )
    return found
