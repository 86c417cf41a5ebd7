"""The DC side of one case: what stands in it as branches, what pushes and what draws."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from ohmwright.circuit.banks import cell_of, rest_V, working_ohm
from ohmwright.circuit.live import End
from ohmwright.circuit.network import Branch, Network
from ohmwright.circuit.ports import Draw, Push
from ohmwright.circuit.structure import Found
from ohmwright.circuit.supplies import FULL_ratio, array_W, efficiency, held_V, limit_A
from ohmwright.circuit.types import Case
from ohmwright.circuit.wiring import Reading, Standing, Wiring
from ohmwright.rig.graph import Element
from ohmwright.rig.model import Part, Rig
from ohmwright.working import known

#: Source resistance of an array at its power point and of a regulated supply: they hold their volts.
STIFF_ohm = 1e-3


def bank_state(rig: Rig, part: Part, case: Case) -> tuple[float, float]:
    """State of charge and temperature of a battery in a case: its own entry, its group's, else the case's."""
    for name in (part.id, part.group):
        if name in case.banks:
            return case.banks[name]
    if part.word("chemistry") == "start" or _alone(rig, part):
        return max(case.bank_soc_ratio, START_ratio), case.bank_degC
    return case.bank_soc_ratio, case.bank_degC


#: A battery that serves an engine is kept charged by it: a case speaks of the house bank.
START_ratio = 0.9


def _alone(rig: Rig, part: Part) -> bool:
    """A lead battery beside a lithium house bank is the engine's."""
    if part.word("chemistry") == "lfp" or part.group:
        return False
    return any(p.word("chemistry") == "lfp" for p in rig.of_kind("battery"))


@dataclass(frozen=True, slots=True)
class Charging:
    """A charging part: its push, how much goes in for what comes out, and what caps it."""

    end: End
    part: Part
    efficiency: float
    most_A: float
    cap_V: float | None
    array_W: float | None = None


def _charges(end: End) -> bool:
    """Whether an end pushes current at a voltage that it holds."""
    return end.role == "alternator" or (
        end.needs is not None and end.role != "dcdc-supply" and not end.id.endswith(" back")
    )


class DirectNetwork:
    """What stands on the DC side in a case and draws or pushes by no will of its own: branches, batteries, arrays."""

    def __init__(
        self, wiring: Wiring, standing: Standing, reading: Reading, ends: tuple[End, ...], case: Case
    ) -> None:
        self.wiring, self.standing, self.case = wiring, standing, case
        self.rig = wiring.rig
        self.story: list[str] = []
        self.of_class: list[str] = []
        self.cells: list[Element] = []
        self.steady: list[tuple[End, Part]] = []
        self.supplies: dict[str, Branch] = {}
        self.branches = wiring.direct_branches(standing.live, reading)
        self.active = [e for e in ends if not e.ac and standing.active(e)]
        self.arrays = _strings(e for e in self.active if e.role == "array")
        direct = self._direct_strings()
        for end in self.active:
            self._stands(end, self.rig.parts[end.owner], direct)
        self._resistive()
        zeros = [c.b for c in self.cells] + [e.b for e in self.active]
        self.network = Network(self.branches, zeros, told=wiring.told(standing.live, reading))

    @property
    def runs(self) -> Found:
        """The conductors among the branches."""
        return self.network.shape.found(self.wiring.row_of)

    @property
    def inner(self) -> Found:
        """What conducts inside parts and has a known resistance, among the branches."""
        return self.network.shape.found(self.wiring.inner_row_of)

    def _stands(self, end: End, part: Part, direct: set[str]) -> None:
        if end.role == "cell":
            self._cell(end.element, part)
        elif end.role == "array":
            self._module(end, part, _string(part.id) in direct)
        elif end.role == "dcdc-supply":
            self._supply(end, part)
        elif end.needs is None and end.role != "alternator":
            self._other(end, part)

    def _cell(self, element: Element, part: Part) -> None:
        if part.id in self.case.missing:
            return
        cell = cell_of(part)
        soc, warmth_degC = bank_state(self.rig, part, self.case)
        volts = rest_V(cell, soc)
        if volts is None:
            self.story.append(f"{part.id}: its volts are not known, so it is left out")
            return
        if soc >= FULL_ratio:
            volts = min([volts, *self._floats_V(element)])
        ohm, of_class = working_ohm(cell, soc, warmth_degC)
        if of_class:
            self.of_class.append(part.id)
        self.cells.append(element)
        self.branches.append(Branch(element.id, element.a, element.b, ohm, volts))

    def _floats_V(self, cell: Element) -> list[float]:
        """The voltages at which what charges a battery holds it when it is full: it has settled there, and gives nothing."""
        held = (
            held_V(self.rig, self.rig.parts[e.owner], full=True)
            for e in self.active
            if _charges(e) and self.standing.live.joined(e.a, cell.a)
        )
        return [v for v in held if v is not None]

    def _module(self, end: End, part: Part, direct: bool) -> None:
        vmp, imp, isc = (
            known(part.figure(n)) for n in ("max_power_voltage", "max_power_current", "short_circuit")
        )
        if vmp is None:
            self.story.append(f"{part.id}: its volts at maximum power are not known, so it is left out")
            return
        if not direct:
            self.branches.append(Branch(end.id, end.a, end.b, STIFF_ohm, vmp.value))
            return
        # Straight on a battery a module is a source of current: short-circuit current less what its slope takes.
        short = (isc or imp).value if (isc or imp) is not None else 0.0  # type: ignore[union-attr]
        slope = vmp.value / max(short - (imp.value if imp else short), 0.02 * short, 1e-6)
        self.branches.append(Branch(end.id, end.a, end.b, slope, short * self.case.sun_ratio * slope))

    def _direct_strings(self) -> set[str]:
        live = self.standing.live
        banks = [e for e in live.ends if e.role == "cell"]
        return {
            name
            for name, tops in self.arrays.items()
            if any(live.joined(t.a, b.a) for t in tops for b in banks)
        }

    def _other(self, end: End, part: Part) -> None:
        volts = known(part.figure("voltage")) or known(part.figure("open_circuit"))
        if volts is None:
            self.story.append(f"{part.id}: its volts are not known, so it is left out")
            return
        ohm = known(part.figure("resistance"))
        self.branches.append(
            Branch(end.id, end.a, end.b, ohm.value if ohm and ohm.value else STIFF_ohm, volts.value)
        )

    def _supply(self, end: End, part: Part) -> None:
        volts = known(part.figure("output_voltage"))
        if volts is None:
            self.story.append(f"{part.id}: its output volts are not known, so what it feeds is not solved")
            return
        self.supplies[end.id] = Branch(f"{end.id} out", end.a, end.b, STIFF_ohm, volts.value)
        self.branches.append(self.supplies[end.id])
        self.steady.append((end, part))

    def _resistive(self) -> None:
        """Heaters and motors that stand still are resistances: they take less when the volts sag."""
        for e in self.wiring.net.loads:
            watts = self.case.loads_W.get(e.owner, 0.0)
            part = self.rig.parts.get(e.owner)
            if watts and e.role == "resistive" and part and (volts := known(part.figure("voltage"))):
                self.branches.append(Branch(e.id, e.a, e.b, volts.value**2 / watts))
            stalled = self.case.stalled_ohm.get(e.owner)
            if stalled is not None and self.wiring.net.number[e.a] not in self.wiring.poles.ac:
                self.branches.append(Branch(e.id, e.a, e.b, stalled))


def network_of(
    wiring: Wiring, standing: Standing, reading: Reading, ends: tuple[End, ...], case: Case
) -> DirectNetwork:
    """The DC network of a case; cases that differ only in what draws and pushes share one."""
    resistive = tuple((e.owner, case.loads_W.get(e.owner)) for e in wiring.net.loads if e.role == "resistive")
    key = (
        id(standing), reading, case.bank_soc_ratio, case.bank_degC, tuple(case.banks.items()), case.missing, case.sun_ratio, resistive,
        tuple(case.stalled_ohm.items()),
    )  # fmt: skip
    found = wiring.networks.get(key)
    if not isinstance(found, DirectNetwork):
        found = wiring.networks[key] = DirectNetwork(wiring, standing, reading, ends, case)
    return found


class DirectSide:
    """The DC side of a case: its network, its charging parts and its loads."""

    def __init__(
        self, wiring: Wiring, standing: Standing, reading: Reading, ends: tuple[End, ...], case: Case
    ) -> None:
        self.wiring, self.standing, self.case = wiring, standing, case
        self.rig = wiring.rig
        self.built = network_of(wiring, standing, reading, ends, case)
        self.network, self.cells, self.steady = self.built.network, self.built.cells, self.built.steady
        self.of_class = self.built.of_class
        self.story = list(self.built.story)
        self.charging: list[Charging] = []
        for end in self.built.active:
            part = self.rig.parts[end.owner]
            if _charges(end):
                self._charger(
                    end, part, 1.0 if end.role == "alternator" else efficiency(part, "charge_efficiency")
                )

    def _charger(self, end: End, part: Part, good: float) -> None:
        if self.case.charge_A.get(part.id) == 0:
            return
        watts = self._source_W(end)
        if watts == 0:
            return
        most = limit_A(self.rig, part, self.case)
        if most is None:
            self.story.append(f"{part.id}: its output current is not known, so it is taken as resting")
            return
        full = self.case.bank_soc_ratio >= FULL_ratio
        self.charging.append(Charging(end, part, good, most, held_V(self.rig, part, full), watts))

    def _source_W(self, end: End) -> float | None:
        """What the array or the turbine at a charger's input can give; None where nothing of the kind limits it."""
        if end.needs is None:
            return None
        live = self.standing.live
        if end.role == "tracker":
            total = 0.0
            for tops in self.built.arrays.values():
                if any(live.joined(t.a, end.needs[0]) for t in tops):
                    for t in tops:
                        watts = array_W(self.rig.parts[t.owner])
                        if watts is None:
                            return None
                        total += watts
            return total * self.case.sun_ratio
        for other in self.built.active:
            if other.role in ("hydrogenerator", "wind-generator") and live.joined(other.a, end.needs[0]):
                part = self.rig.parts[other.owner]
                figure = known(part.figure("power_max")) or known(part.figure("power"))
                return figure.value if figure else None
        return None

    def pushes(self, at_V: dict[str, float], spare_A: dict[str, float]) -> list[Push]:
        """What pushes; a tracker cannot give more than its array has, at the volts it last saw."""
        out = []
        for c in self.charging:
            most = min(c.most_A, spare_A.get(c.end.id, c.most_A))
            if c.array_W is not None:
                most = (
                    min(most, c.array_W * c.efficiency / max(at_V.get(c.end.id, 1e9), 1.0))
                    if c.end.id in at_V
                    else most
                )
            out.append(Push(f"{c.end.id} out", c.end.a, c.end.b, most, c.cap_V))
        return out

    def load_draws(self) -> list[Draw]:
        """The loads that run in this case and hang on the DC side."""
        return list(self._loads)

    @cached_property
    def _loads(self) -> tuple[Draw, ...]:
        """Cases that differ in batteries and sun alone run the same loads."""
        kept: dict[tuple[int, tuple[tuple[str, float], ...]], tuple[Draw, ...]] = self.wiring.kept.setdefault(
            "draws", {}
        )
        key = id(self.standing), tuple(self.case.loads_W.items())
        if key not in kept:
            kept[key] = self._draws()
        return kept[key]

    def _draws(self) -> tuple[Draw, ...]:
        ac = self.wiring.poles.ac
        number = self.wiring.net.number
        out = []
        for e in self.wiring.net.loads:
            watts = self.case.loads_W.get(e.owner, 0.0)
            if watts and e.role != "resistive" and number[e.a] not in ac and self._takes(e):
                a, b = self._right_way(e)
                out.append(Draw(e.id, a, b, watts))
        return tuple(out)

    def _right_way(self, e: Element) -> tuple[str, str]:
        """A motor between A and B accepts either sign."""
        if self.wiring.graph.terminals[e.a].pole == "A" and self.standing.live.energised(e.b, e.a):
            return e.b, e.a
        return e.a, e.b

    def _takes(self, e: Element) -> bool:
        """A load with two feeds takes one of them: its element exists only then."""
        return bool(self.standing.live.space.on(e.when))


def _string(module: str) -> str:
    return module.rpartition(".")[0] or module


def _strings(modules: Iterable[End]) -> dict[str, list[End]]:
    out: dict[str, list[End]] = {}
    for end in modules:
        out.setdefault(_string(end.owner), []).append(end)
    return out
