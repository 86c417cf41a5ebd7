"""Proofs: statements about sets of terminals in every state of a rig, each with a path to point at.

They never look at marks.  Each is worked out when it is first asked for; where a walk would be too long the proof
says that it cannot tell, and names the devices.
"""

from collections.abc import Callable, Iterator, Mapping

from ohmwright.circuit.proofs import alternating, bank, circuits, claims, cutting, earth, frames, meeting
from ohmwright.circuit.proofs.ground import Ground, finding
from ohmwright.circuit.space import TooManyError
from ohmwright.circuit.types import Proof
from ohmwright.circuit.wiring import Wiring, wiring_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

PROOFS: dict[str, Callable[[Ground], Proof]] = {
    "shunt": bank.shunt,
    "neutral-earth": alternating.neutral_earth,
    "sources-meet": meeting.sources_meet,
    "pins": alternating.pins,
    "self-charging": meeting.self_charging,
    "protection": earth.protection,
    "frame-return": frames.frame_return,
    "array-backfeed": bank.array_backfeed,
    "open-bus": bank.open_bus,
    "chemistry": bank.chemistry,
    "cuts": cutting.cuts,
    "returns": circuits.returns,
    "metal": earth.metal,
    "rcd-join": alternating.rcd_join,
    "shared-neutral": alternating.shared_neutral,
    "never": claims.never,
    "surge": claims.surge,
}


#: Proofs that look at the shape of a rig and at no figure: they are kept with its skeleton.
SHAPELY = frozenset({"returns"})


class Proofs(Mapping[str, Proof]):
    """The proofs of one rig by name."""

    def __init__(self, wiring: Wiring) -> None:
        self._ground = Ground(wiring)
        self._kept: dict[str, Proof] = {}
        self._of_shape: dict[str, Proof] = wiring.skeleton.kept.setdefault("proofs", {})

    def __getitem__(self, name: str) -> Proof:
        if name in SHAPELY and name in self._of_shape:
            return self._of_shape[name]
        if name not in self._kept:
            make = PROOFS[name]
            try:
                self._kept[name] = make(self._ground)
            except TooManyError as error:
                devices = ", ".join(error.variables)
                self._kept[name] = Proof(
                    name,
                    0,
                    (),
                    (
                        finding(
                            name,
                            f"{error.count} combinations are more than are walked: {devices}",
                            error.variables,
                            missing=error.variables,
                        ),
                    ),
                )
            if name in SHAPELY:
                self._of_shape[name] = self._kept[name]
        return self._kept[name]

    def __iter__(self) -> Iterator[str]:
        return iter(PROOFS)

    def __len__(self) -> int:
        return len(PROOFS)


_KEPT: list[tuple[Rig, Graph, Proofs]] = []


def prove(rig: Rig, graph: Graph) -> Mapping[str, Proof]:
    """Every proof of a rig, each worked out when it is first looked at."""
    for kept_rig, kept_graph, proofs in _KEPT:
        if kept_rig is rig and kept_graph is graph:
            return proofs
    proofs = Proofs(wiring_of(rig, graph))
    _KEPT.insert(0, (rig, graph, proofs))
    del _KEPT[4:]
    return proofs
