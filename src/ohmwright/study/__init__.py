"""One rig and its conditions; every derived result is computed once, on demand."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from ohmwright.rig.model import Rig

if TYPE_CHECKING:
    from ohmwright.circuit.ac_clearing import Cleared
    from ohmwright.circuit.ac_faults import Way
    from ohmwright.circuit.bays import Bay
    from ohmwright.circuit.guards import Guarding
    from ohmwright.circuit.heat import Heat
    from ohmwright.circuit.selectivity import Selective
    from ohmwright.circuit.starts import Start
    from ohmwright.circuit.types import Case, Fault, Proof, Solution
    from ohmwright.energy.types import Year
    from ohmwright.rig.graph import Graph
    from ohmwright.roof.array import ArrayShade
    from ohmwright.roof.fit import ModuleFit, SurfaceFit
    from ohmwright.roof.hit import Hit
    from ohmwright.roof.layout import OnSurface
    from ohmwright.roof.mismatch import Lit, Mismatch
    from ohmwright.sky.types import Spot
    from ohmwright.takeoff.types import Takeoff


class Study:
    """A rig with everything that can be derived from it. Give it a finished `year` when one is at hand.

    After an edit make a new one: what the edit left alone is found again by its content (decision 0017).
    """

    def __init__(self, rig: Rig, *, year: "Year | None" = None, today: str = "") -> None:
        self.rig = rig
        self.year = year
        self.today = today

    @cached_property
    def graph(self) -> "Graph":
        """The explicit graph."""
        from ohmwright.rig.expand import graph_of

        return graph_of(self.rig)

    @cached_property
    def cases(self) -> "Mapping[str, Case]":
        """Operating cases: generated from the rig, and those of its file."""
        from ohmwright.circuit.cases import cases_of

        return cases_of(self.rig, self.graph)

    def solution(self, case: str) -> "Solution":
        """A case, solved."""
        return self._solutions[case]

    @cached_property
    def _solutions(self) -> "Mapping[str, Solution]":
        """Shared with the guards, which ask for every generated case."""
        from ohmwright.circuit.solved import solutions_of

        return solutions_of(self.rig, self.graph)

    @cached_property
    def faults(self) -> "Mapping[str, Fault]":
        """Bolted faults at every terminal that has a return."""
        from ohmwright.circuit.faults import faults_of

        return faults_of(self.rig, self.graph)

    def selective(self, upper: str, lower: str) -> "Selective":
        """Up to which current the lower of two devices in a row clears before the upper can melt."""
        from ohmwright.circuit.selectivity import selective

        return selective(self.rig, self.graph, self.faults, upper, lower)

    @cached_property
    def ac_faults(self) -> "Mapping[str, Fault]":
        """Live to neutral at every AC terminal, over every standing of the cases."""
        from ohmwright.circuit.ac_faults import ac_faults_of

        return ac_faults_of(self.rig, self.graph)

    @cached_property
    def earth_faults(self) -> "Mapping[str, Fault]":
        """Live to the protective conductor at every AC terminal that has one."""
        from ohmwright.circuit.ac_faults import earth_faults_of

        return earth_faults_of(self.rig, self.graph)

    @cached_property
    def line_faults(self) -> "Mapping[str, Fault]":
        """Live to the other live pole at every AC terminal of split phase."""
        from ohmwright.circuit.ac_faults import line_faults_of

        return line_faults_of(self.rig, self.graph)

    @cached_property
    def neutral_clearing(self) -> "Mapping[str, tuple[Cleared, ...]]":
        """How long a fault from live to neutral lasts at most, by terminal and source."""
        return self._ac_clearing("neutral")

    @cached_property
    def earth_clearing(self) -> "Mapping[str, tuple[Cleared, ...]]":
        """How long a fault from live to the protective conductor lasts at most, by terminal and source."""
        return self._ac_clearing("earth")

    @cached_property
    def line_clearing(self) -> "Mapping[str, tuple[Cleared, ...]]":
        """How long a fault from line to line lasts at most, by terminal and source."""
        return self._ac_clearing("line")

    def _ac_clearing(self, way: "Way") -> "Mapping[str, tuple[Cleared, ...]]":
        from ohmwright.circuit.ac_clearing import ac_clearing_of

        return ac_clearing_of(self.rig, self.graph, way)

    @cached_property
    def proofs(self) -> "Mapping[str, Proof]":
        """The topology proofs by name."""
        from ohmwright.circuit.proofs import prove

        return prove(self.rig, self.graph)

    @cached_property
    def guards(self) -> "Mapping[str, Guarding]":
        """Per conductor: what can feed it, through which device, and the current it is designed for."""
        from ohmwright.circuit.guards import guards_of

        return guards_of(self.rig, self.graph)

    @cached_property
    def heat(self) -> "Mapping[str, Heat]":
        """How warm each conductor gets."""
        from ohmwright.circuit.heat import conductor_heat

        return conductor_heat(self.rig, self.graph, self._solutions)

    @cached_property
    def bays(self) -> "Mapping[str, Bay]":
        """The air of each place in the hottest of all its cases, an inverter at full power at its cut-off among them.

        That is more than lasts: rules and papers go by `checks.heat` (decision 0018), which tells this beside it.
        """
        from ohmwright.circuit.bays import hottest_bays

        return hottest_bays(self.rig, self.graph, self._solutions)

    @cached_property
    def starts(self) -> "Mapping[str, Start]":
        """What each load that starts hard asks of inverter, battery and fuses."""
        from ohmwright.circuit.starts import starts_of

        return starts_of(self.rig, self.graph, self._solutions)

    @cached_property
    def takeoff(self) -> "Takeoff":
        """What has to be bought and cut."""
        from ohmwright.takeoff.count import takeoff_of

        return takeoff_of(self.rig)

    @cached_property
    def spots(self) -> "tuple[Spot | None, ...]":
        """The climate of each stay; None where its place is not known."""
        from ohmwright.study.stays import spot_of

        return tuple(spot_of(stay) for stay in self.rig.use.stays)

    @cached_property
    def surfaces(self) -> "Mapping[str, OnSurface]":
        """Every array that the file places, on its surface with everything open that opens."""
        from ohmwright.roof.layout import arrays_of, on_surface

        placed = {a.id: on_surface(self.rig, a) for a in arrays_of(self.rig)}
        return {name: p for name, p in placed.items() if p is not None}

    @cached_property
    def roof_fit(self) -> "tuple[Mapping[str, ModuleFit], Mapping[str, SurfaceFit]]":
        """How modules lie and how much of their surfaces they take, by module and by place."""
        from ohmwright.roof.fit import roof_fit

        modules, surfaces = roof_fit(self.rig)
        return {m.module: m for m in modules}, {s.place: s for s in surfaces}

    def shadows(self, array: str, latitude_deg: float, month: int) -> "tuple[Hit, ...]":
        """Hours of shadow on each module of an array in a month 1..12."""
        from ohmwright.roof.hit import hours_hit

        return hours_hit(self.surfaces[array], latitude_deg, month) if array in self.surfaces else ()

    def lit(self, array: str, lights_W_m2: tuple[float, ...]) -> "tuple[tuple[Lit, ...], tuple[str, ...]]":
        """The modules of an array under the light of each, and what keeps one from being counted."""
        from ohmwright.roof.mismatch import lit_modules

        return lit_modules(self.rig, self.rig.parts[array], lights_W_m2)

    def mismatch(self, modules: "tuple[Lit, ...]") -> "Mismatch":
        """What modules on one controller give together and apart."""
        from ohmwright.roof.mismatch import mismatch

        return mismatch(modules)

    @cached_property
    def shade(self) -> "tuple[ArrayShade, ...]":
        """What shade takes by array over the first stay that is lived in; a matter of a second."""
        from ohmwright.study.stays import shade_of

        return shade_of(self.rig)
