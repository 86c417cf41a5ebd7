"""Alternating current of one case: phasors on the live conductors, loads by power and power factor."""

import cmath
import math
from collections.abc import Mapping, Sequence
from functools import cached_property, lru_cache

import numpy as np

from ohmwright.circuit.live import End
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Answer, Draw, Ports
from ohmwright.circuit.wiring import REACTANCE_ohm_per_m, Reading, Standing, Wiring
from ohmwright.working import Figure, known

#: Source resistance of a supply or inverter whose page gives none: it holds its volts.
STIFF_ohm = 1e-4


@lru_cache(maxsize=64)
def _network(branches: tuple[Branch, ...], references: tuple[str, ...]) -> Network:
    """Kept by content: an edit on the DC side finds the AC side eliminated."""
    return Network(branches, references, complex)


class Phasors:
    """The answer: what each end gives, the volts across each port; phasors of nodes and currents when asked for."""

    def __init__(
        self, side: "AlternatingSide | None" = None, draws: Sequence[Draw] = (), answer: Answer | None = None
    ) -> None:
        self.side, self.draws, self.answer = side, draws, answer
        self.converged = answer is None or answer.converged
        self.given_VA: dict[str, complex] = {}
        self.across: dict[str, complex] = {} if answer is None else answer.across
        if side is not None and answer is not None:
            for s in side.sources:
                across = self.across.get(f"{s.id} sense", 0j)
                i = (across - s.volts) / s.ohm
                self.given_VA[side.given_by[s.id]] = -across * i.conjugate()

    @cached_property
    def nodes(self) -> dict[str, complex]:
        """Rms phasors of the terminals."""
        if self.side is None or self.side.network is None or self.answer is None:
            return {}
        v = self.answer.volts.tolist()
        return {name: v[row] for name, row in self.side.network.node.items()}

    @cached_property
    def currents(self) -> dict[str, complex]:
        """Currents of the elements, from a to b."""
        if self.side is None or self.side.network is None or self.answer is None:
            return {}
        out: dict[str, complex] = {}
        drawn: dict[str, complex] = {}
        for d in self.draws:
            i = self.answer.drawn.get(d.id, 0.0)
            drawn[d.a] = drawn.get(d.a, 0.0) + i
            drawn[d.b] = drawn.get(d.b, 0.0) - i
            out[d.id] = i
        out.update(self.side.network.currents(self.answer.volts, drawn))
        return out


class AlternatingSide:
    """The AC network of a standing case; loads may be asked again without building it anew."""

    def __init__(
        self,
        wiring: Wiring,
        standing: Standing,
        reading: Reading,
        ends: tuple[End, ...],
        stalled_ohm: Mapping[str, complex] | None = None,
    ) -> None:
        self.wiring = wiring
        self.stalled = [
            Branch(e.id, e.a, e.b, ohm)
            for e in (wiring.net.loads if stalled_ohm else ())
            if (ohm := (stalled_ohm or {}).get(e.owner)) is not None
            and wiring.net.number[e.a] in wiring.poles.ac
        ]
        self.ends = tuple(e for e in ends if e.ac and standing.active(e))
        self.story: list[str] = []
        made = {end.id: source for end in self.ends if (source := self._source(end)) is not None}
        self.given_by = {source.id: end for end, source in made.items()}
        self.sources = list(made.values())
        self.network: Network | None = self._network(standing, reading) if self.sources else None
        self.ports: Ports | None = None

    def _network(self, standing: Standing, reading: Reading) -> Network:
        key = ("ac", id(standing), reading, tuple(self.stalled))
        found = self.wiring.networks.get(key)
        if isinstance(found, Network):
            return found
        ohms = self.wiring.ohms(reading)
        branches = [
            Branch(
                w.element.id, w.element.a, w.element.b, complex(ohms[w.number], self._reactance(w.element.id))
            )
            for w in self.wiring.ac_wires
            if standing.conducts(w.number)
        ]
        network = _network((*branches, *self.stalled, *self.sources), tuple(s.b for s in self.sources))
        self.wiring.networks[key] = network
        return network

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

    def solve(self, draws: list[Draw]) -> Phasors:
        """Volts, currents and what each source gives for a set of loads."""
        if self.network is None:
            return Phasors()
        asked = [*draws, *(Draw(f"{s.id} sense", s.a, s.b) for s in self.sources)]
        if self.ports is None or {d.id for d in self.ports.seen.draws} != {
            d.id for d in asked if d.id not in self.ports.dead
        }:
            self.ports = Ports(self.network, asked, ())
        else:
            self.ports.ask(asked, ())
        return Phasors(self, draws, self.ports.solve())


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


def forget() -> None:
    """Keep no network: what a measurement of a rig never seen begins with."""
    _network.cache_clear()
