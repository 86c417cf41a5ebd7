"""Resistances of everything that conducts, from the side that is asked for, and what of it is not known."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np

from ohmwright.circuit.devices import Device, device_of
from ohmwright.circuit.elimination import Array
from ohmwright.circuit.live import End, Live
from ohmwright.circuit.net import Wire
from ohmwright.circuit.network import Branch, told_of
from ohmwright.circuit.skeleton import skeleton_of
from ohmwright.circuit.structure import Told
from ohmwright.circuit.types import Case
from ohmwright.circuit.visitors import with_visitors
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.rig.graph import Conductor, Graph
from ohmwright.rig.model import Rig
from ohmwright.working import known

#: Resistance of one good lug on its stud. Common practice 0.05 to 0.2 mohm, no source.
JOINT_ohm = 0.0001
#: The same at the adverse end, for the least fault. Common practice, no source.
WORN_JOINT_ohm = 0.0002
#: Inductance that a metre of conductor lends to its loop, cores apart: 0.3 to 0.6 uH, the adverse end (70 mm2 7 cm from its
#: return have it by `physics.fault.conductor_H`). Common practice, no source.
INDUCTANCE_H_per_m = 0.6e-6
#: Reactance of a metre of low-voltage cable, cores side by side. Common practice, no source.
REACTANCE_ohm_per_m = 0.00008


@dataclass(frozen=True, slots=True)
class Reading:
    """From which side resistances are read: how warm, low or high, what a lug adds, whether devices add theirs."""

    conductor_degC: float = 75.0
    bound: Literal["low", "high"] = "high"
    joint_ohm: float = JOINT_ohm
    devices: bool = True


GREATEST_FAULT = Reading(20.0, "low", 0.0, devices=False)
LEAST_FAULT = Reading(90.0, "high", WORN_JOINT_ohm)


@dataclass(frozen=True, slots=True)
class Standing:
    """A case with every device settled: its states, what is live in it, and what settling had to say."""

    states: Mapping[str, str]
    live: Live
    story: tuple[str, ...]

    def conducts(self, wire: int) -> bool:
        """Whether a wire conducts."""
        return bool(self.live.on(wire))

    def active(self, end: End) -> bool:
        """Whether a source or converter output is active."""
        return bool(self.live.active.get(end.id, 0))


class Wiring:
    """Net, pole sets and resistances of one rig. The elements of the net are of its shape only: resistances are read from `graph`."""

    def __init__(self, rig: Rig, graph: Graph) -> None:
        self.rig = rig
        self.drawn = graph
        self.graph = with_visitors(graph)
        self.skeleton = skeleton_of(rig, self.graph)
        self.net = self.skeleton.net
        self.poles = self.skeleton.poles
        self.ends = self.skeleton.ends
        self._ohm: dict[Reading, list[float]] = {}
        self._branch: dict[Reading, dict[int, Branch]] = {}
        self._where: dict[str, tuple[tuple[str, float], ...]] = {}
        self.stood: dict[tuple[tuple[str, str], ...], Standing] = self.skeleton.kept.setdefault("stood", {})
        #: Networks built for cases, by what makes them differ.
        self.networks: dict[Hashable, object] = {}
        #: Cases worked through, by name, and the cases themselves once they are made.
        self.works: dict[str, list[object]] = {}
        self.cases: Mapping[str, Case] | None = None
        #: What others have found of this rig, by their own keys.
        self.kept: dict[Hashable, Any] = {}

    def ohms(self, reading: Reading) -> list[float]:
        """The resistance of every wire by its number; 0 where none is known or given."""
        if reading not in self._ohm:
            self._ohm[reading] = [self._wire_ohm(w, reading) for w in self.net.wires]
        return self._ohm[reading]

    def direct_branches(self, live: Live, reading: Reading) -> list[Branch]:
        """Every wire of direct current that conducts, with its resistance; which ones these are is kept with the skeleton."""
        kept: dict[int, tuple[Live, tuple[int, ...]]] = self.skeleton.kept.setdefault("conducting", {})
        if id(live) not in kept:
            kept[id(live)] = live, tuple([w.number for w in self.dc_wires if live.on(w.number)])
        if reading not in self._branch:
            ohms = self.ohms(reading)
            self._branch[reading] = {
                w.number: Branch(w.element.id, w.element.a, w.element.b, ohms[w.number])
                for w in self.dc_wires
            }
        made = self._branch[reading]
        return [made[n] for n in kept[id(live)][1]]

    def told(self, live: Live, reading: Reading) -> tuple[Told, ...]:
        """The same before any number."""
        kept: dict[tuple[int, Reading], tuple[Told, ...]] = self.kept.setdefault("told", {})
        key = id(live), reading
        if key not in kept:
            kept[key] = told_of(self.direct_branches(live, reading))
        return kept[key]

    def _wire_ohm(self, wire: Wire, reading: Reading) -> float:
        conductor = self.graph.conductors.get(wire.element.id)
        if conductor is not None:
            return conductor_ohm(conductor, reading)
        ohm = self.graph.elements[wire.element.id].ohm
        figure = known(ohm) if ohm is not None else None
        if figure is None or not (reading.devices or wire.element.role == "electrode"):
            return 0.0
        return figure.high if reading.bound == "high" else figure.low

    @cached_property
    def unsized(self) -> tuple[str, ...]:
        """The conductors whose size or length is not known."""
        return tuple(
            c.id
            for c in self.graph.conductors.values()
            if (c.length_m is None or c.area_mm2 is None) and c.role not in ("data", "sense")
        )

    @cached_property
    def row_of(self) -> dict[str, int]:
        """The conductors, numbered: the very same list for rigs of one shape."""
        return self._numbered(tuple(self.graph.conductors))

    def _numbered(self, names: tuple[str, ...]) -> dict[str, int]:
        kept: dict[tuple[str, ...], dict[str, int]] = self.skeleton.kept.setdefault("numbered", {})
        if names not in kept:
            kept[names] = {name: n for n, name in enumerate(names)}
        return kept[names]

    @cached_property
    def inner_ohms(self) -> tuple[tuple[str, str, float], ...]:
        """What conducts inside a part: element, part, and its resistance where that is known."""
        return tuple(
            (e.id, e.owner, figure.value)
            for e in self.graph.elements.values()
            if e.ohm is not None
            and e.owner in self.rig.parts
            and e.id not in self.graph.conductors
            and (figure := known(e.ohm)) is not None
        )

    @cached_property
    def inner_row_of(self) -> dict[str, int]:
        """The elements of `inner_ohms`, numbered."""
        return self._numbered(tuple([e for e, _, _ in self.inner_ohms]))

    @cached_property
    def shares(self) -> tuple[dict[str, Array], dict[str, Array]]:
        """By place what part of the heat of each conductor, and of each of `inner_ohms`, is lost there."""
        kept: dict[int, dict[str, Array]] = self.skeleton.kept.setdefault("shares", {})
        if id(self.row_of) not in kept:
            kept[id(self.row_of)] = _shares([self.where(c) for c in self.graph.conductors])
        of_inner = [self.where(owner) for _, owner, _ in self.inner_ohms]
        return kept[id(self.row_of)], _shares(of_inner)

    @cached_property
    def devices(self) -> dict[str, tuple[Device, tuple[str, ...]]]:
        """Every overcurrent device by its id, with the terminals that it stands between."""
        out: dict[str, tuple[Device, tuple[str, ...]]] = {}
        for name, device in self.device_at.items():
            e, ends = self.graph.elements[name], out[device.id][1] if device.id in out else ()
            out[device.id] = device, tuple(dict.fromkeys((*ends, e.a, e.b)))
        return out

    @cached_property
    def device_at(self) -> dict[str, Device]:
        """By element the overcurrent device that it is; which elements are devices hangs on no figure."""
        kept, elements = self.skeleton.kept, self.graph.elements
        if "device at" not in kept:
            kept["device at"] = [name for name, e in elements.items() if device_of(self.rig, e) is not None]
        return {
            name: device
            for name in kept["device at"]
            if (device := device_of(self.rig, elements[name])) is not None
        }

    def inductance_H(self, element: str) -> float:
        """What an element lends to the inductance of a loop: conductors by their length, all else nothing."""
        c = self.graph.conductors.get(element)
        return INDUCTANCE_H_per_m * c.length_m if c is not None and c.length_m is not None else 0.0

    def where(self, name: str) -> tuple[tuple[str, float], ...]:
        """The place of a part, or the two ends of a conductor: half each when its way leads from one place to another."""
        if name not in self._where:
            self._where[name] = self._places(name)
        return self._where[name]

    def _places(self, name: str) -> tuple[tuple[str, float], ...]:
        if name in self.rig.parts:
            return ((self.rig.parts[name].place, 1.0),)
        c, terminals = self.graph.conductors[name], self.graph.terminals
        return tuple((terminals[t].place, 0.5) for t in (c.a, c.b) if t in terminals)

    @cached_property
    def ac_conductors(self) -> tuple[Conductor, ...]:
        """The conductors of alternating current."""
        ac = self.poles.ac
        return tuple(
            c
            for c in self.graph.conductors.values()
            if c.id in self.net.wire_of and self.net.number[c.a] in ac
        )

    @cached_property
    def ac_wires(self) -> tuple[Wire, ...]:
        """The wires of alternating current, without earth."""
        ac = self.poles.ac
        return tuple(w for w in self.net.wires if w.a in ac and w.b in ac)

    @cached_property
    def earth_wires(self) -> tuple[Wire, ...]:
        """Protective conductors, metal, and the neutral-earth joins."""
        ac, earth = self.poles.ac, self.poles.bare_earth
        either = ac | earth
        return tuple(
            w for w in self.net.wires if w.a in either and w.b in either and not (w.a in ac and w.b in ac)
        )

    @cached_property
    def dc_wires(self) -> tuple[Wire, ...]:
        """All other wires: direct current, earth and metal."""
        ac = self.poles.ac
        return tuple(w for w in self.net.wires if w.a not in ac and w.b not in ac)


def _shares(where: Sequence[tuple[tuple[str, float], ...]]) -> dict[str, Array]:
    out: dict[str, Array] = {}
    for n, places in enumerate(where):
        for place, share in places:
            out.setdefault(place, np.zeros(len(where)))[n] += share
    return out


def conductor_ohm(conductor: Conductor, reading: Reading) -> float:
    """Resistance of a conductor with its two lugs; 0 when its size or length is not known."""
    if conductor.area_mm2 is None or conductor.length_m is None:
        return 0.0
    c = conductor.cable
    per_m = cable_ohm_per_m(
        conductor.area_mm2, c.size, c.system, reading.conductor_degC, reading.bound, c.material
    )
    return per_m * conductor.length_m + 2 * reading.joint_ohm


_KEPT: list[tuple[Rig, Graph, Wiring]] = []


def wiring_of(rig: Rig, graph: Graph) -> Wiring:
    """The wiring of a rig, kept for the few rigs last asked about."""
    for kept_rig, kept_graph, wiring in _KEPT:
        if kept_rig is rig and kept_graph is graph:
            return wiring
    wiring = Wiring(rig, graph)
    _KEPT.insert(0, (rig, graph, wiring))
    del _KEPT[4:]
    return wiring
