"""Conductors of the graph as rules see them, and the devices in front of them."""

from math import isnan, nan

from ohmwright.checks.carrying import Wire
from ohmwright.checks.circuits import bank_of
from ohmwright.checks.gather import once
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import Roads, conducts, usual
from ohmwright.circuit.devices import Device
from ohmwright.circuit.guards import Guard
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.sums import sum_degC
from ohmwright.rig.graph import Conductor
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, figure, known, work

AC_POLES = frozenset({"L", "L1", "L2", "L3", "N"})


def is_alternating(study: Study, c: Conductor) -> bool:
    """Whether a conductor belongs to an AC circuit."""
    return c.id in _alternating(study)


@once
def _alternating(study: Study) -> frozenset[str]:
    """The conductors of AC circuits."""
    graph = study.graph
    ends = {t.id for t in graph.terminals.values() if t.port_role == "ac" or t.pole in AC_POLES}
    return frozenset(
        [c.id for c in graph.conductors.values() if c.pole in AC_POLES or c.a in ends or c.b in ends]
    )


def is_dc(study: Study, c: Conductor) -> bool:
    """Whether a conductor is a live pole of a DC circuit."""
    return not is_alternating(study, c) and c.pole != "PE" and c.role not in ("bond", "earth", "data")


def lies_in_engine_space(study: Study, c: Conductor) -> bool:
    """Either end or any way of its route is in an engine space."""
    host = study.rig.host
    ways = [host.ways[w] for w in c.route if w in host.ways]
    if any(w.words.get("engine") in ("yes", "true") for w in ways):
        return True
    places = {study.graph.terminals[x].place for x in (c.a, c.b) if x in study.graph.terminals} | {
        p for w in ways for p in (w.a, w.b)
    }
    return any(host.places[p].regime == "engine" for p in places if p in host.places)


def hottest_on_route(study: Study, c: Conductor) -> Figure | None:
    """The highest ambient that the file gives for the places of its ends and route."""
    host = study.rig.host
    places = {study.graph.terminals[x].place for x in (c.a, c.b) if x in study.graph.terminals}
    places |= {p for w in c.route if w in host.ways for p in (host.ways[w].a, host.ways[w].b)}
    given = [host.places[p].figures.get("hottest") for p in places if p in host.places]
    found = [g for g in given if isinstance(g, Figure)]
    return max(found, key=lambda f: f.value, default=None)


def wire_of(study: Study, name: str) -> Wire | None:
    """A conductor of the graph, or None when its size is not known."""
    kept = _wires(study)
    if name not in kept:
        kept[name] = _wire_of(study, study.graph.conductors[name])
    return kept[name]


@once
def _wires(study: Study) -> dict[str, Wire | None]:  # noqa: ARG001 - kept by study
    """What `wire_of` has answered of a study."""
    return {}


def _wire_of(study: Study, c: Conductor) -> Wire | None:
    if c.area_mm2 is None:
        return None
    ambient, engine = _around(study, c)
    return Wire(
        c.area_mm2, c.cable.insulation_degC, c.cable.material, is_alternating(study, c), engine,
        ambient if ambient is not None and ambient.value > 30 else None, asks(study, c, "insulation"),
        c.cable.use == "pv", _beside(study).get(c.id, 0),
    )  # fmt: skip


def _around(study: Study, c: Conductor) -> tuple[Figure | None, bool]:
    """The hottest air around a conductor, and whether it is an engine's: many lie from one place to another by the same way."""
    kept, terminals = _surroundings(study), study.graph.terminals
    key = (*(terminals[t].place if t in terminals else None for t in (c.a, c.b)), c.route)
    if key not in kept:
        kept[key] = hottest_on_route(study, c), lies_in_engine_space(study, c)
    return kept[key]


@once
def _surroundings(study: Study) -> dict[tuple[object, ...], tuple[Figure | None, bool]]:  # noqa: ARG001 - kept by study
    """What `_around` has answered of a study."""
    return {}


@once
def _beside(study: Study) -> dict[str, int]:
    """By conductor of alternating current: how many loaded ones lie on the fullest way of its route, itself included.

    Direct current below 50 V is not counted: no table on file was made for its bundles.
    """
    on_way: dict[str, list[str]] = {}
    for c in study.graph.conductors.values():
        if c.pole in AC_POLES and c.role not in ("bond", "earth", "data", "sense"):
            for way in c.route:
                on_way.setdefault(way, []).append(c.id)
    found: dict[str, int] = {}
    for names in on_way.values():
        for name in names:
            found[name] = max(found.get(name, 0), len(names))
    return found


def rating(study: Study, guard: Guard) -> Figure | None:
    """What a guard lets pass for ever: its device, or less where the source itself gives less."""
    device = _device(study, guard)
    if device is None or guard.limited_A is None or guard.limited_A >= device.value:
        return device
    most = guard.limited_A
    return Figure(most, "A", most, most, device.origin, address=device.address)


def rated(study: Study, guards: tuple[Guard, ...]) -> tuple[tuple[Guard, Figure | None], ...]:
    """Those of the guards of a conductor that are devices, each with what it lets pass for ever."""
    kept = _rated_guards(study)
    if id(guards) not in kept:
        kept[id(guards)] = guards, tuple([(g, rating(study, g)) for g in guards if g.device])
    return kept[id(guards)][1]


@once
def _rated_guards(
    study: Study,  # noqa: ARG001 - kept by study
) -> dict[int, tuple[tuple[Guard, ...], tuple[tuple[Guard, Figure | None], ...]]]:
    """What `rated` has answered of a study, with the guards it was asked of, which so keep their number: many conductors have the same."""
    return {}


@once
def _ratings(study: Study) -> dict[tuple[str, float | None], Figure | None]:  # noqa: ARG001 - kept by study
    """What `_device` has answered of a study: the same device guards many conductors."""
    return {}


def _device(study: Study, guard: Guard) -> Figure | None:
    """The rating of the device, with its origin: a part, or a way of a panel."""
    if guard.device is None:
        return None
    kept, key = _ratings(study), (guard.device, guard.rated_A)
    if key not in kept:
        kept[key] = _rated(study, guard.device, guard.rated_A)
    return kept[key]


def _rated(study: Study, device: str, rated_A: float | None) -> Figure | None:
    part = study.rig.parts.get(device)
    if part is not None:
        return known(part.figure("rated")) or known(part.figure("breaker"))
    panel, _, way = device.rpartition(".")
    owner = study.rig.parts.get(panel)
    if owner is not None and isinstance(given := owner.ways.get(way), Figure):
        return given if given.address else given.at(device)
    return None if rated_A is None else figure(rated_A, "A", COMPUTED, address=f"{device}.rated")


def sun_roof(study: Study, c: Conductor, air: Figure) -> Figure:
    """The air a cable lies in; 33 K more where a way of its route is marked rooftop."""
    ways = [study.rig.host.ways[w] for w in c.route if w in study.rig.host.ways]
    if not any(w.words.get("rooftop") in ("yes", "true") for w in ways):
        return air
    step = work(sum_degC, air_degC=air, rise_K=find("pv/rooftop-adder").figure)
    return Figure(step.value, "degC", step.value, step.value, air.origin, address=air.address)


@once
def _bare(study: Study) -> Roads:
    """Conductors and switches that are no device."""
    devices = _devices(study)
    return Roads(study.graph, lambda e: conducts(e) and e.id not in devices)


@once
def _devices(study: Study) -> dict[str, Device]:
    """By element: the device that it is."""
    return wiring_of(study.rig, study.graph).device_at


@once
def _devices_at(study: Study) -> dict[str, list[str]]:
    """By terminal: the elements on it that are devices."""
    found: dict[str, list[str]] = {}
    for name in _devices(study):
        e = study.graph.elements[name]
        for t in (e.a, e.b):
            found.setdefault(t, []).append(name)
    return found


@once
def _other_ends(study: Study) -> frozenset[str]:
    """Terminals of elements that are neither conductor nor switch."""
    graph = study.graph
    return frozenset(
        t for t, names in graph.at.items() if not all(conducts(graph.elements[n]) for n in names)
    )


def tap_device(study: Study, c: Conductor) -> Figure | None:
    """What lets current through where one end of a conductor leads to devices and to nothing else.

    Devices of loads are added; those of batteries as well, but not to the others: one thing goes wrong at a time.
    The end that lets less through holds.
    """
    kept = _taps(study)
    if c.id not in kept:
        kept[c.id] = _tap_device(study, c)
    return kept[c.id]


@once
def _taps(study: Study) -> dict[str, Figure | None]:  # noqa: ARG001 - kept by study
    """What `tap_device` has answered of a study."""
    return {}


def _tap_device(study: Study, c: Conductor) -> Figure | None:
    rated_A, grouped = _rated_A(study), _grouped(study)
    ends: list[tuple[float, tuple[str, ...]]] = []
    for apart in of_shape(study, ("tap", c.id, grouped), lambda: _only_devices(study, c, grouped)):
        sums = [(sum(map(rated_A.__getitem__, those)), those) for those in apart if those]
        if sums and not any(isnan(total) for total, _ in sums):
            ends.append(max(sums, key=_total))
    if not ends:
        return None
    standing = _devices(study)
    return added([f for n in min(ends, key=_total)[1] if (f := known(standing[n].rated)) is not None])


def _total(end: tuple[float, tuple[str, ...]]) -> float:
    return end[0]


@once
def _rated_A(study: Study) -> dict[str, float]:
    """By element: the rating of the device that it is; no number where that is not known."""
    return {n: nan if (amps := d.rated_A) is None else amps for n, d in _devices(study).items()}


@once
def _grouped(study: Study) -> frozenset[str]:
    """The elements of devices that stand in a group of batteries."""
    parts = study.rig.parts
    return frozenset([n for n, d in _devices(study).items() if d.id in parts and parts[d.id].group])


def _only_devices(
    study: Study, c: Conductor, grouped: frozenset[str]
) -> tuple[tuple[tuple[str, ...], ...], ...]:
    """For each end of a conductor that leads to devices and to nothing else: an element of each, those of a group apart."""
    found = []
    here, standing = _devices_at(study), _devices(study)
    for terminal, other in ((c.a, c.b), (c.b, c.a)):
        region = _bare(study).reach_without(terminal, study.graph.elements[c.id]).terminals
        if other not in region and region.isdisjoint(_other_ends(study)):
            names = sorted({n for t in here.keys() & region for n in here[t]} - {c.id})
            each = {standing[n].id: n for n in names}
            both = (
                [n for n in each.values() if n in grouped],
                [n for n in each.values() if n not in grouped],
            )
            found.append((tuple(both[0]), tuple(both[1])))
    return tuple(found)


def added(ratings: list[Figure]) -> Figure:
    """Ratings of devices side by side, with the origin of the first."""
    if len(ratings) == 1:
        return ratings[0]
    total = sum(f.value for f in ratings)
    return Figure(total, "A", total, total, ratings[0].origin, address=", ".join(f.address for f in ratings))


def from_one_side(study: Study, c: Conductor, guards: tuple[Guard, ...]) -> Figure | None:
    """The most that the members of one bank let pass into one end of a conductor: their own devices, added."""
    if c.pole == "-":
        return None
    kept = _one_sided(study)
    key = (of_shape(study, ("posts", c.id), lambda: _posts_without(study, c)), id(guards))
    if key not in kept:
        kept[key] = guards, _from_one_side(study, key[0], guards)
    return kept[key][1]


@once
def _one_sided(
    study: Study,  # noqa: ARG001 - kept by study
) -> dict[tuple[tuple[frozenset[str], ...], int], tuple[tuple[Guard, ...], Figure | None]]:
    """What `_from_one_side` has answered of a study, with the guards it was asked of, which so keep their number."""
    return {}


def _from_one_side(
    study: Study, sides: tuple[frozenset[str], ...], guards: tuple[Guard, ...]
) -> Figure | None:
    """The same by the posts that each side conducts to."""
    most: Figure | None = None
    for reached in sides:
        banks: dict[str, dict[str, Figure]] = {}
        for g in guards:
            bank, device = bank_of(study.rig, g.source), _device(study, g)
            if (
                bank is not None
                and device is not None
                and f"{g.source}.+" in reached
                and f"{g.source}.-" not in reached
            ):
                banks.setdefault(bank.id, {})[g.device or ""] = device
        for devices in banks.values():
            total = added(list(devices.values()))
            most = total if most is None or total.value > most.value else most
    return most


def _posts_without(study: Study, c: Conductor) -> tuple[frozenset[str], ...]:
    """For each end of a conductor the posts of batteries that it conducts to without that conductor."""
    posts = {f"{p.id}.{pole}" for p in study.rig.parts.values() if p.kind.name == "battery" for pole in "+-"}
    roads, e = usual(study.graph), study.graph.elements[c.id]
    return tuple(frozenset(posts & roads.reach_without(t, e).terminals) for t in (c.a, c.b))


def asks(study: Study, c: Conductor, what: str) -> str:
    """Where the length, cable or insulation of a conductor is to be written: its run, its load, or the group it hangs together."""
    run = study.rig.runs.get(c.run)
    whose = run.part_of if run is not None else ""
    if whose in study.rig.use.loads:
        return f"{whose}.{what}"
    return f"{whose}.join" if whose in study.rig.parts else f"{c.run}.{what}"


def cranks(study: Study, c: Conductor) -> bool:
    """Whether a starter's current runs through a conductor: no device between them, and a battery on its other side."""
    starters = {f"{p.id}.+" for p in study.rig.of_kind("starter")}
    if not starters:
        return False
    posts = {f"{p.id}.+" for p in study.rig.of_kind("battery")}
    bare, all_ways, e = _bare(study), usual(study.graph), study.graph.elements[c.id]
    return any(
        starters & bare.reach_without(near, e).terminals and posts & all_ways.reach_without(far, e).terminals
        for near, far in ((c.a, c.b), (c.b, c.a))
    )


def length_of(study: Study, c: Conductor) -> Figure:
    """The length of a conductor with the address where it is written."""
    given = c.length
    assert c.length_m is not None
    if isinstance(given, Figure) and given.value == c.length_m:
        return given.at(asks(study, c, "length"))
    return figure(c.length_m, "m", COMPUTED, address=asks(study, c, "length"))
