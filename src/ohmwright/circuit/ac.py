"""Alternating current of one case: phasors on the live conductors, loads by power and power factor."""

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ohmwright.circuit.live import End
from ohmwright.circuit.network import Array, Branch, Network
from ohmwright.circuit.ports import Draw, Ports
from ohmwright.circuit.wiring import REACTANCE_ohm_per_m, Reading, Standing, Wiring
from ohmwright.working import Figure, known

#: Source resistance of a supply or inverter whose page gives none: it holds its volts.
STIFF_ohm = 1e-4


@dataclass(slots=True)
class Phasors:
    """The answer: rms phasors of nodes, currents of elements, and the power that each end gives."""

    nodes: dict[str, complex] = field(default_factory=dict)
    currents: dict[str, complex] = field(default_factory=dict)
    given_VA: dict[str, complex] = field(default_factory=dict)
    converged: bool = True
    margin: float | None = None
    story: list[str] = field(default_factory=list)


class AlternatingSide:
    """The AC network of a standing case; loads may be asked again without building it anew."""

    def __init__(self, wiring: Wiring, standing: Standing, reading: Reading, ends: tuple[End, ...]) -> None:
        self.wiring = wiring
        self.ends = tuple(e for e in ends if e.ac and standing.active(e))
        self.story: list[str] = []
        ohms = wiring.ohms(reading)
        branches = []
        for w in wiring.ac_wires:
            if standing.conducts(w.number):
                reach = self._reactance(w.element.id)
                branches.append(
                    Branch(w.element.id, w.element.a, w.element.b, complex(ohms[w.number], reach))
                )
        made = {end.id: source for end in self.ends if (source := self._source(end)) is not None}
        self.given_by = {source.id: end for end, source in made.items()}
        self.sources = list(made.values())
        references = [s.b for s in self.sources]
        self.network: Network | None = (
            Network([*branches, *self.sources], references, complex) if self.sources else None
        )
        self.ports: Ports | None = None

    def _reactance(self, wire: str) -> float:
        conductor = self.wiring.graph.conductors.get(wire)
        return (
            REACTANCE_ohm_per_m * conductor.length_m
            if conductor and conductor.length_m and conductor.area_mm2
            else 0.0
        )

    def _source(self, end: End) -> Branch | None:
        part = self.wiring.rig.parts[end.owner]
        volts = known(part.figure("ac_voltage")) or self._as_its_guest(end)
        if volts is None:
            self.story.append(f"{end.owner}: its AC volts are not known, so what it feeds is not solved")
            return None
        ohm, reach = known(part.figure("resistance")), known(part.figure("reactance"))
        turned = -1 if end.role.endswith("half-turn") else 1
        ratio = known(part.figure("ratio"))
        emf = turned * volts.value * (ratio.value if ratio and not end.id.endswith(" back") else 1.0)
        inner = complex(ohm.value if ohm else 0.0, reach.value if reach else 0.0)
        return Branch(f"{end.id} out" if end.needs else end.id, end.a, end.b, inner or STIFF_ohm, emf)

    def _as_its_guest(self, end: End) -> Figure | None:
        """An undrawn supply has the volts of what is made to take it."""
        if self.wiring.rig.parts[end.owner].kind.name != "shore-inlet":
            return None
        guests = self.wiring.rig.of_kind("inverter-charger", "isolation-transformer", "inverter")
        return next((f for p in guests if (f := known(p.figure("ac_voltage")))), None)

    def solve(self, draws: list[Draw], *, margin: bool) -> Phasors:
        """Volts, currents and what each source gives for a set of loads."""
        out = Phasors(story=list(self.story))
        if self.network is None:
            return out
        if self.ports is None or [d.id for d in self.ports.seen.draws] != [
            d.id for d in draws if d.id not in self.ports.dead
        ]:
            self.ports = Ports(self.network, draws, ())
        else:
            self.ports.ask(draws, ())
        answer = self.ports.solve(margin=margin)
        out.converged, out.margin = answer.converged, answer.margin
        v: Array = answer.volts
        out.nodes = {name: complex(v[row]) for name, row in self.network.node.items()}
        drawn: dict[str, complex] = {}
        for d in draws:
            i = answer.drawn.get(d.id, 0.0)
            drawn[d.a] = drawn.get(d.a, 0.0) + i
            drawn[d.b] = drawn.get(d.b, 0.0) - i
            out.currents[d.id] = i
        out.currents.update(self.network.currents(v, drawn))
        for s in self.sources:
            i = complex(out.currents[s.id])
            across = complex(v[self.network.node[s.a]] - v[self.network.node[s.b]])
            out.given_VA[self.given_by[s.id]] = -across * i.conjugate()
        return out


def apparent(power_W: float, power_factor: float) -> complex:
    """Complex power of an inductive load."""
    pf = min(1.0, max(1e-3, power_factor))
    return complex(power_W, power_W * math.tan(math.acos(pf)))


def rms_and_angle(phasor: complex) -> tuple[float, float]:
    """Magnitude and angle in degrees."""
    return abs(phasor), math.degrees(cmath.phase(phasor)) if phasor else 0.0


def signed(current: complex, volts: complex) -> float:
    """Rms current with the sign of the power it carries along."""
    return math.copysign(abs(current), (volts * np.conj(current)).real or 1.0)


def no_power(mapping: Mapping[str, complex]) -> bool:
    """Whether nothing is asked."""
    return not any(mapping.values())
