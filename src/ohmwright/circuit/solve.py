"""One operating case solved: DC and AC islands, coupled through their converters by power, with what trips on the way."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, partial

import numpy as np

from ohmwright.circuit.ac import AlternatingSide, Phasors, apparent, rms_and_angle, signed
from ohmwright.circuit.direct import DirectSide
from ohmwright.circuit.elimination import Array
from ohmwright.circuit.live import End
from ohmwright.circuit.loads import running_W, told_W
from ohmwright.circuit.ports import Answer, Draw, Port, Ports
from ohmwright.circuit.states import stand
from ohmwright.circuit.supplies import efficiency, full_W, inverter_losses
from ohmwright.circuit.types import BatteryAnswer, Case, RunAnswers, Solution, Volts
from ohmwright.circuit.wiring import Reading, Standing, Wiring, wiring_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Absent, Figure, known

ABSENT = Absent()

#: Rounds of handing power over between islands, and how still it must stand.
HANDOVERS = 60
STILL = 1e-11
#: Cut-offs that may trip or come back before the case counts as oscillating.
EVENTS = 50
#: Works kept of cases of one name.
MOST_KEPT = 3


def solve(rig: Rig, graph: Graph, case: Case) -> Solution:
    """Currents, volts and losses of a case; a case that cannot stand is told in its `story`, not raised."""
    return worked(rig, graph, case).solution


def worked(rig: Rig, graph: Graph, case: Case) -> "Work":
    """A case worked through, with its networks still at hand; kept, for heat, bays and starts ask again."""
    wiring = wiring_of(rig, graph)
    kept = wiring.works.setdefault(case.name, [])
    for work in kept:
        if isinstance(work, Work) and (work.case is case or work.case == case):
            return work
    work = Work(wiring, stand(wiring, case), case)
    work.run()
    kept.insert(0, work)
    del kept[MOST_KEPT:]
    return work


class Work:
    """One case on its way to an answer."""

    def __init__(self, wiring: Wiring, standing: Standing, case: Case) -> None:
        self.wiring, self.standing, self.case = wiring, standing, case
        self.story: list[str] = []
        self.off: set[str] = set()
        self.watts: dict[str, float] = {}
        self.at_V: dict[str, float] = {}
        self.phasors = Phasors()
        self.answer: Answer | None = None
        self.settled = True
        self.overloaded: dict[str, str] = {}
        self.ends = wiring.ends
        reading = Reading(self.case.conductor_degC)
        self.direct = DirectSide(self.wiring, self.standing, reading, self.ends, self.case)
        self.turning = AlternatingSide(self.wiring, self.standing, reading, self.ends, case.stalled_ohm)
        self.inverters = [
            e
            for e in self.ends
            if e.ac and e.needs and e.role.startswith("inverter") and self.standing.active(e)
        ]
        self.transformers = [
            e
            for e in self.ends
            if e.ac and e.needs and not e.role.startswith("inverter") and self.standing.active(e)
        ]
        self.ports: Ports | None = None

    def run(self) -> None:
        """Hand power over until it stands still; let cut-offs trip."""
        seen: list[frozenset[str]] = []
        for _ in range(EVENTS):
            self._handover()
            tripped = self._trips()
            if tripped is None:
                break
            self.off = tripped
            if frozenset(self.off) in seen:
                self.story.append("hunts: a cut-off trips and comes back for ever")
                break
            seen.append(frozenset(self.off))

    def _handover(self) -> None:
        asked: tuple[list[Draw], tuple[Port, ...]] | None = None
        for _ in range(HANDOVERS):
            before = dict(self.watts)
            turning = self._ac_draws()
            if asked is None or turning != asked[0]:
                self.phasors = self.turning.solve(turning)
            draws = self._dc_draws()
            pushes = self.direct.pushes(self.at_V, self._spare())
            wanted: tuple[Port, ...] = (*draws, *pushes)
            if asked == (turning, wanted):
                return
            asked = (turning, wanted)
            if self.ports is None or {p.id for p in self.ports.seen.ports} != {
                p.id for p in wanted if p.id not in self.ports.dead
            }:
                self.ports = Ports(self.direct.network, draws, pushes)
            else:
                self.ports.ask(draws, pushes)
            self.answer = self.ports.solve()
            self._take(draws)
            if self._moved(before) < STILL or not self.answer.converged:
                return
        self.settled = False

    def _moved(self, before: Mapping[str, float]) -> float:
        names = before.keys() | self.watts.keys()
        return max(
            (
                abs(self.watts.get(n, 0.0) - before.get(n, 0.0)) / max(abs(self.watts.get(n, 0.0)), 1.0)
                for n in names
            ),
            default=0.0,
        )

    def _take(self, draws: list[Draw]) -> None:
        """What the chargers and steady supplies came to give, and what that asks of their inputs."""
        assert self.answer is not None
        across = self.answer.across
        for c in self.direct.charging:
            amps = -complex(self.answer.drawn.get(f"{c.end.id} out", 0.0)).real
            volts = complex(across.get(f"{c.end.id} out", 0.0)).real
            self.at_V[c.end.id] = volts
            self.watts[c.end.id] = amps * volts / c.efficiency
        for end, part in self.direct.steady:
            volts = complex(across.get(f"{end.id} sense", 0.0)).real
            branch = self.direct.built.supplies[end.id]
            amps = max(0.0, (complex(branch.volts).real - volts) / complex(branch.ohm).real)
            self.watts[end.id] = amps * volts / efficiency(part)
        for d in draws:
            self.at_V[f"{d.id} in"] = complex(across.get(d.id, 0.0)).real

    def _dc_draws(self) -> list[Draw]:
        out = self.direct.load_draws()
        legs: dict[str, list[End]] = {}
        for end in self.inverters:
            legs.setdefault(end.owner, []).append(end)
        out += [
            self._inverter_draw(self.wiring.rig.parts[name], ends)
            for name, ends in legs.items()
            if name not in self.off
        ]
        for c in self.direct.charging:
            end = c.end
            if end.needs and self.wiring.net.number[end.needs[0]] not in self.wiring.poles.ac:
                taken = self.watts.get(end.id, 0.0)
                out.append(Draw(end.element.id, *end.needs, taken, grows=c.array_W is None))
        for end, _ in self.direct.steady:
            if end.needs is not None:
                out.append(Draw(end.element.id, *end.needs, self.watts.get(end.id, 0.0)))
                out.append(Draw(f"{end.id} sense", end.a, end.b))
        return out

    def _inverter_draw(self, part: Part, ends: Sequence[End]) -> Draw:
        """What an inverter takes for all of its legs together."""
        asked = self.case.converters_W.get(part.id)
        given = (
            asked
            if asked is not None
            else max(0.0, sum(self.phasors.given_VA.get(e.id, 0j).real for e in ends))
        )
        watts = self.watts[ends[0].id] = inverter_losses(part).input_W(given)
        most = full_W(part)
        if self.case.seconds is None and most is not None and given > most * 1.0001:
            self.overloaded[part.id] = f"{part.id} is asked for {given:.0f} W; for long it gives {most:.0f} W"
        at = self.case.input_V.get(part.id)
        assert ends[0].needs is not None
        return Draw(ends[0].element.id, *ends[0].needs, 0.0 if at else watts, watts / at if at else 0.0)

    def _ac_draws(self) -> list[Draw]:
        rig, number, ac = self.wiring.rig, self.wiring.net.number, self.wiring.poles.ac
        out = []
        for e in self.wiring.net.loads:
            watts = self.case.loads_W.get(e.owner, 0.0)
            if watts and number[e.a] in ac and self.standing.live.space.on(e.when):
                out.append(
                    Draw(
                        e.id,
                        e.a,
                        e.b,
                        apparent(watts * _portion(rig, e.owner, e.id), _power_factor(rig, e.owner)),
                    )
                )
        for c in self.direct.charging:
            if c.end.needs and number[c.end.needs[0]] in ac:
                pf = known(c.part.with_default("charge_power_factor"))
                out.append(
                    Draw(
                        c.end.element.id,
                        *c.end.needs,
                        apparent(self.watts.get(c.end.id, 0.0), pf.value if pf else 1.0),
                    )
                )
        for end in self.transformers:
            assert end.needs is not None
            part = rig.parts[end.owner]
            good, given = efficiency(part), self.phasors.given_VA.get(end.id, 0j)
            idle = known(part.with_default("idle"))
            asked = (
                complex(given.real / good, given.imag) if given.real else complex(idle.value if idle else 0.0)
            )
            self.watts[end.id] = asked.real
            out.append(Draw(f"{end.element.id} in", *end.needs, asked))
        return out

    def _spare(self) -> dict[str, float]:
        """What a limited supply leaves for the charger behind it, in amperes of its output."""
        out: dict[str, float] = {}
        for c in self.direct.charging:
            if not c.end.needs or self.wiring.net.number[c.end.needs[0]] not in self.wiring.poles.ac:
                continue
            setting = self.wiring.rig.setting(c.part.id, "supply-limit")
            limits = [setting.value] if isinstance(setting, Figure) else []
            limits += [self.case.supply_A] if self.case.supply_A is not None else []
            volts = abs(self.phasors.across.get(c.end.element.id, 0.0))
            if not limits or not volts:
                continue
            loads = self._behind(c.part)
            pf = known(c.part.with_default("charge_power_factor"))
            left = max(0.0, min(limits) * volts - abs(loads)) * (pf.value if pf else 1.0)
            out[c.end.id] = (
                left * c.efficiency / max(self.at_V.get(c.end.id, 1e9), 1.0)
                if c.end.id in self.at_V
                else c.most_A
            )
        return out

    def _behind(self, part: Part) -> complex:
        """Power that passes through an inverter-charger's transfer."""
        total = 0j
        for pole in ("L", "L1", "L2"):
            i = self.phasors.currents.get(f"{part.id}.transfer-{pole}")
            if i is not None:
                v = self.phasors.nodes.get(f"{part.id}.ac-out.{pole}", 0j) - self.phasors.nodes.get(
                    f"{part.id}.ac-out.N", 0j
                )
                total += v * i.conjugate()
        return total

    def _trips(self) -> set[str] | None:
        """Inverters that must stop, or may come back, at the volts now found; None when all stand."""
        off = set(self.off)
        for end in self.inverters:
            part = self.wiring.rig.parts[end.owner]
            cut = setting_V(self.wiring.rig, part, "cut-off", "cutoff_voltage")
            if cut is None or part.id in self.case.input_V or end.needs is None:
                continue
            port = f"{end.element.id} in"
            volts = self.at_V[port] if port in self.at_V else self._idle_V(end)
            if part.id not in off and (
                volts < cut or (self.answer is not None and not self.answer.converged)
            ):
                off.add(part.id)
                self.story.append(
                    f"{part.id} stops: {volts:.2f} V at its terminals, its cut-off is {cut:g} V"
                )
            elif part.id in off:
                back = setting_V(self.wiring.rig, part, "restart", "") or setting_V(
                    self.wiring.rig, part, "reconnect", ""
                )
                if back is not None and self._idle_V(end) >= back:
                    off.discard(part.id)
                    self.story.append(
                        f"{part.id} starts again: {self._idle_V(end):.2f} V without load, it restarts at {back:g} V"
                    )
        return None if off == self.off else off

    def _idle_V(self, end: End) -> float:
        node = self.direct.network.node
        if self.answer is None or end.needs is None or end.needs[0] not in node or end.needs[1] not in node:
            return 0.0
        return _across(self.answer.volts, node, *end.needs)

    @cached_property
    def solution(self) -> Solution:
        """The answer in the words of the boundary."""
        assert self.answer is not None
        return Solution(
            self.case, self.standing.states, self.answer.converged and self.phasors.converged and self.settled,
            partial(_margin, self.answer), self._conductors, self._batteries, self._nodes, lambda: self._elements, self._falls_first,
            tuple(dict.fromkeys([*self.standing.story, *self.direct.story, *self.turning.story, *self._not_fed(), *self._averaged(),
                *self.overloaded.values(), *self.story])),
            (*self.wiring.unsized, *self.direct.of_class),
            tuple(self.overloaded),
        )  # fmt: skip

    @cached_property
    def _ports_draw(self) -> list[tuple[Port, complex]]:
        """What every port of the DC side draws."""
        assert self.answer is not None
        drawn = self.answer.drawn
        return [(p, drawn.get(p.id, 0.0)) for p in self.ports.seen.ports] if self.ports else []

    @cached_property
    def flows(self) -> tuple[Array, Array]:
        """Currents of the DC side: of what has resistance, and of the joins."""
        assert self.answer is not None
        drawn: dict[str, complex] = {}
        for p, i in self._ports_draw:
            drawn[p.a] = drawn.get(p.a, 0.0) + i
            drawn[p.b] = drawn.get(p.b, 0.0) - i
        return self.direct.network.flow_columns(self.answer.volts, drawn)

    @cached_property
    def _elements(self) -> "Elements":
        ports = {p.id: complex(i).real for p, i in self._ports_draw}
        turning = {k: signed(i, self._a_volts(k)) for k, i in self.phasors.currents.items()}
        return Elements(self.direct.network.shape.place_of, self.flows, ports, turning)

    def _nodes(self) -> dict[str, Volts]:
        assert self.answer is not None
        told = [Volts(x) for x in self.answer.volts.tolist()]
        nodes = {name: told[row] for name, row in self.direct.network.node.items()}
        for name, phasor in self.phasors.nodes.items():
            nodes[name] = Volts(*rms_and_angle(phasor))
        return nodes

    def _falls_first(self) -> str:
        """The part or load whose volts fall first when all loads grow."""
        assert self.answer is not None
        found = self.answer.collapse
        e = self.wiring.graph.elements.get(found[1]) if found is not None else None
        return e.owner if e is not None else ""

    def _a_volts(self, element: str) -> complex:
        e = self.wiring.graph.elements.get(element.removesuffix(" in").removesuffix(" back"))
        return self.phasors.nodes.get(e.a, 0j) if e else 0j

    def _conductors(self) -> RunAnswers:
        assert self.answer is not None
        out, runs, network = RunAnswers(self.wiring.row_of), self.direct.built.runs, self.direct.network
        live, joins = self.flows
        lost = np.abs(network.spans(self.answer.volts))[runs.live.at]
        out.current_A[runs.live.row] = live[runs.live.at]
        out.current_A[runs.joins.row] = joins[runs.joins.at]
        out.drop_V[runs.live.row] = lost
        out.loss_W[runs.live.row] = lost * np.abs(live[runs.live.at])
        phasors, currents = self.phasors.nodes, self.phasors.currents
        for c in self.wiring.ac_conductors if phasors else ():
            if c.id in currents and c.a in phasors:
                v, i, row = phasors[c.a] - phasors[c.b], currents[c.id], out.row[c.id]
                out.current_A[row], out.drop_V[row] = signed(i, phasors[c.a]), abs(v)
                out.loss_W[row] = max(0.0, (v * i.conjugate()).real)
        return out

    def _batteries(self) -> dict[str, BatteryAnswer]:
        elements = self._elements
        banks: dict[str, list[tuple[str, float]]] = {}
        for cell in self.direct.cells:
            part = self.wiring.rig.parts[cell.owner]
            banks.setdefault(part.group or part.id, []).append((part.id, elements[cell.id]))
        out: dict[str, BatteryAnswer] = {}
        for bank, members in banks.items():
            total = sum(i for _, i in members)
            for name, i in members:
                out[name] = BatteryAnswer(i, i / total if abs(total) > 1e-9 else None, bank)
        return out

    def _averaged(self) -> list[str]:
        """Loads whose power nobody told: a day's energy spread over its hours is no current to design for."""
        out = []
        for name, watts in self.case.loads_W.items():
            load = self.wiring.rig.use.loads.get(name)
            if load is not None and told_W(load) is None and watts and watts == running_W(load):
                out.append(
                    f"{name} is taken at the average of its day, {watts:.3g} W: its own power is not told"
                )
        return out

    def _not_fed(self) -> list[str]:
        dead = {
            *(self.answer.unfed if self.answer else ()),
            *(self.phasors.answer.unfed if self.phasors.answer else ()),
        }
        number, ac = self.wiring.net.number, self.wiring.poles.ac
        lost = {
            e.owner
            for e in self.wiring.net.loads
            if e.id in dead or (self.turning.network is None and number[e.a] in ac)
        }
        return [
            f"{name} is not fed in this case"
            for name in self.case.loads_W
            if name in lost and self.case.loads_W[name]
        ]


class Elements(Mapping[str, float]):
    """Currents of elements by id: of the DC network, of what draws and pushes there, and of the AC side."""

    def __init__(
        self,
        place_of: Mapping[str, tuple[bool, int]],
        flows: tuple[Array, Array],
        ports: Mapping[str, float],
        turning: Mapping[str, float],
    ) -> None:
        self._place_of, self._flows = place_of, flows
        self._other = {**{k: i for k, i in ports.items() if k not in place_of}, **turning}

    def __getitem__(self, element: str) -> float:
        if element in self._other:
            return self._other[element]
        join, k = self._place_of[element]
        return float(self._flows[join][k])

    def __iter__(self) -> Iterator[str]:
        yield from self._place_of
        yield from (name for name in self._other if name not in self._place_of)

    def __len__(self) -> int:
        return len(self._place_of.keys() | self._other.keys())


def _margin(answer: Answer) -> float | None:
    return answer.collapse[0] if answer.collapse is not None else None


def _across(v: Array, node: Mapping[str, int], a: str, b: str) -> float:
    return float((v[node[a]] - v[node[b]]).real) if a in node and b in node else 0.0


def setting_V(rig: Rig, part: Part, key: str, figure: str) -> float | None:
    """A voltage from the settings sheet, else from the plate."""
    given = rig.setting(part.id, key)
    if isinstance(given, Figure) and given.unit == "V":
        return given.value
    plate = known(part.figure(figure)) if figure else None
    return plate.value if plate else None


def _power_factor(rig: Rig, load: str) -> float:
    given = known(rig.use.loads[load].figures.get("power-factor", ABSENT)) if load in rig.use.loads else None
    return given.value if given else 1.0


def _portion(rig: Rig, load: str, element: str) -> float:
    """A load between several poles shares its power as its own figures do."""
    told = rig.use.loads[load].power if load in rig.use.loads else {}
    parts = {k: f.value for k, g in told.items() if "-" in k and (f := known(g)) is not None}
    total = sum(parts.values())
    return parts.get(element.rpartition(".load.")[2], 0.0) / total if total and ".load." in element else 1.0
