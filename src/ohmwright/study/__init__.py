"""One rig and its conditions; every derived result is computed once, on demand."""

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from ohmwright.rig.model import Rig

if TYPE_CHECKING:
    from ohmwright.circuit.guards import Guarding
    from ohmwright.circuit.types import Case, Fault, Proof, Solution
    from ohmwright.energy.types import Year
    from ohmwright.rig.graph import Graph
    from ohmwright.takeoff.types import Takeoff


class Study:
    """A rig with everything that can be derived from it. Give it a finished `year` when one is at hand."""

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
    def takeoff(self) -> "Takeoff":
        """What has to be bought and cut."""
        from ohmwright.takeoff.count import takeoff_of

        return takeoff_of(self.rig)
