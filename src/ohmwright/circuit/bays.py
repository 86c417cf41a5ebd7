"""How warm the air of every place gets in a case: what its parts and cables lose there, against walls, draught and fans."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from weakref import WeakKeyDictionary

import numpy as np

from ohmwright.circuit.elimination import Array
from ohmwright.circuit.solve import Work, worked
from ohmwright.circuit.supplies import efficiency
from ohmwright.circuit.types import Solution
from ohmwright.physics.ampacity import between_W
from ohmwright.rig.bay_air import conductance_W_per_K, settled
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Place, Rig
from ohmwright.working import known

#: How near the heat of two cases is the same: the first of them is told.
ALIKE_ratio = 1e-9


@dataclass(frozen=True, slots=True)
class Air:
    """The air of a place come to rest: None with what is `missing`."""

    temp_degC: float | None
    airflow_m3_per_h: float = 0.0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bay:
    """A place with the heat that is lost in it. Its air is found when it is asked for: of many cases one is the hottest."""

    rig: Rig
    place: Place
    parts_W: Mapping[str, float]
    """What parts lose there, without what conducts through them."""
    conducting_W: float = 0.0
    """What is lost in cables and in what conducts inside parts."""
    told: Callable[[], Iterable[tuple[str, float]]] = tuple
    """The same by conductor and part, for whoever wants to know."""

    @cached_property
    def losses_W(self) -> float:
        """All the heat."""
        return sum(self.parts_W.values()) + self.conducting_W

    @cached_property
    def by_W(self) -> Mapping[str, float]:
        """All of it by part and conductor."""
        out = dict(self.parts_W)
        for name, watts in self.told():
            out[name] = out.get(name, 0.0) + watts
        return out

    @cached_property
    def UA_W_per_K(self) -> float | None:
        """What its walls let through; None outside, and where nothing tells it."""
        return None if self.place.regime == "outside" else conductance_W_per_K(self.place)

    @cached_property
    def _air(self) -> Air:
        return _air(self.rig, self.place, self.losses_W, self.UA_W_per_K)

    @property
    def temp_degC(self) -> float | None:
        """Its air; None with what is `missing`."""
        return self._air.temp_degC

    @property
    def airflow_m3_per_h(self) -> float:
        """What goes through its vents."""
        return self._air.airflow_m3_per_h

    @property
    def missing(self) -> tuple[str, ...]:
        """What would tell its air."""
        return self._air.missing

    @cached_property
    def left_W(self) -> Mapping[str, float | None]:
        """What the inverters in it still give there, by part."""
        return {} if self.temp_degC is None else _left(self.rig, self.place, self.temp_degC)


_KEPT: WeakKeyDictionary[Work, Mapping[str, Bay]] = WeakKeyDictionary()


def bay_heat(rig: Rig, graph: Graph, solution: Solution) -> Mapping[str, Bay]:
    """Every place of the host in a solved case; kept as long as its work is."""
    work = worked(rig, graph, solution.case)
    if work not in _KEPT:
        _KEPT[work] = _bays(rig, work, solution)
    return _KEPT[work]


def _bays(rig: Rig, work: Work, solution: Solution) -> Mapping[str, Bay]:
    by_place: dict[str, dict[str, float]] = {p: {} for p in rig.host.places}
    for part, watts in _losses(work):
        place = rig.parts[part].place
        if watts > 0 and place in by_place:
            by_place[place][part] = by_place[place].get(part, 0.0) + watts
    lost = _in_runs_W(solution), _inside_W(work)
    shares, owners = (
        work.wiring.shares,
        (tuple(work.wiring.row_of), [o for _, o, _ in work.wiring.inner_ohms]),
    )
    return {
        p.id: Bay(
            rig,
            p,
            by_place[p.id],
            sum(float(here[p.id] @ some_W) for here, some_W in zip(shares, lost, strict=True) if p.id in here),
            partial(_told, [(names, here[p.id] * some_W) for names, here, some_W in zip(owners, shares, lost, strict=True) if p.id in here]),
        )
        for p in rig.host.places.values()
    }  # fmt: skip


def _told(lost: Iterable[tuple[Sequence[str], Array]]) -> Iterator[tuple[str, float]]:
    for names, watts in lost:
        for k in np.flatnonzero(watts).tolist():
            yield names[k], float(watts[k])


def hottest_bays(rig: Rig, graph: Graph, solutions: Mapping[str, Solution]) -> Mapping[str, Bay]:
    """Every place in its hottest lasting case."""
    out: dict[str, Bay] = {}
    for answer in solutions.values():
        if answer.case.seconds is not None or answer.overloaded or not answer.converged:
            continue
        for place, bay in bay_heat(rig, graph, answer).items():
            if place not in out or hotter(bay, out[place]):
                out[place] = bay
    return out


def hotter(one: Bay, other: Bay) -> bool:
    """Whether more heat is lost in one case than in the other, by more than rounding."""
    return one.losses_W > other.losses_W * (1 + ALIKE_ratio)


def _losses(work: Work) -> list[tuple[str, float]]:
    """What parts turn into heat as they change and store power, watts; conductors and contacts are told apart."""
    out = [(c.part.id, work.watts.get(c.end.id, 0.0) * (1 - c.efficiency)) for c in work.direct.charging]
    out += [
        (part.id, work.watts.get(end.id, 0.0) * (1 - efficiency(part))) for end, part in work.direct.steady
    ]
    for end in work.inverters:
        taken = work.watts.get(end.id)
        if taken is not None and end.owner not in work.off:
            out.append((end.owner, taken - _given(work, end.owner)))
    out += [
        (e.owner, max(0.0, work.watts.get(e.id, 0.0) - work.phasors.given_VA.get(e.id, 0j).real))
        for e in work.transformers
    ]
    network, places = work.direct.network, work.direct.network.shape.place_of
    for cell in work.direct.cells:
        join, k = places.get(cell.id, (True, 0))
        if not join:
            out.append((cell.owner, float(work.flows[0][k]) ** 2 * complex(network.live[k].ohm).real))
    return out


def _in_runs_W(solution: Solution) -> Array:
    """What each conductor turns into heat; nothing where its size or length is not known."""
    lost = solution.conductors.loss_W.copy()
    lost[[row for c in solution.unsolved if (row := solution.conductors.row.get(c)) is not None]] = 0.0
    return lost


def _inside_W(work: Work) -> Array:
    """What each of `Wiring.inner_ohms` turns into heat."""
    ohm = np.array([ohm for _, _, ohm in work.wiring.inner_ohms])
    amps, inner, row_of = np.zeros(len(ohm)), work.direct.built.inner, work.wiring.inner_row_of
    for found, flows in zip((inner.live, inner.joins), work.flows, strict=True):
        amps[found.row] = flows[found.at]
    for element, i in work.phasors.currents.items():
        if element in row_of:
            amps[row_of[element]] = abs(i)
    return np.asarray(amps**2 * ohm)


def _given(work: Work, part: str) -> float:
    """What an inverter gives: what the case sets, else what its legs give."""
    asked = work.case.converters_W.get(part)
    if asked is not None:
        return asked
    return max(0.0, sum(work.phasors.given_VA.get(e.id, 0j).real for e in work.inverters if e.owner == part))


def _air(rig: Rig, place: Place, losses_W: float, conductance: float | None) -> Air:
    hottest = known(place.figures["hottest"]) if "hottest" in place.figures else None
    if hottest is None:
        return Air(None, missing=(f"host.places.{place.id}.hottest",))
    if losses_W <= 0 or place.regime == "outside":
        return Air(hottest.value)
    rise, flow = settled(rig, place, hottest.value, losses_W, conductance or 0.0)
    if rise is None:
        return Air(None, missing=(f"host.places.{place.id}.UA", f"host.places.{place.id}.vents"))
    return Air(hottest.value + rise, flow)


def _left(rig: Rig, place: Place, air_degC: float) -> dict[str, float | None]:
    """What inverters give in that air; None beyond what their page tells."""
    return {
        p.id: _power_at(p, air_degC)
        for p in rig.of_kind("inverter", "inverter-charger")
        if p.place == place.id
    }


def _power_at(part: Part, air_degC: float) -> float | None:
    """The printed power up to its temperature, above it a straight line to the next; None beyond the last."""
    told = sorted(
        (at, f.value)
        for name in ("power", "power_40", "power_60")
        if (f := known(part.figure(name))) and (at := f.condition_value("degC")) is not None
    )
    for k, (at, watts) in enumerate(told):
        if air_degC <= at:
            if k == 0:
                return watts
            low_at, low = told[k - 1]
            return between_W(low, watts, low_at, at, air_degC)
    return None
