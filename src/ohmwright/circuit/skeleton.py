"""What a rig is before any figure: its net, its pole sets, and the standings that its devices come to rest in.

An edit of a figure leaves all of this alone, so it is kept by content: a rig whose graph differs in figures only finds
the net, the settled standings and the walks of the rig before it.  Nothing here may look at a resistance, a length or
a rating.
"""

from collections.abc import Hashable
from functools import cached_property
from threading import Lock
from typing import Any

from ohmwright.circuit.live import End, ends_of
from ohmwright.circuit.net import Net
from ohmwright.circuit.poles import Poles
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

#: Skeletons kept: the rigs on the bench, and the trials of a mend.
MOST_KEPT = 12


class Skeleton:
    """Net, poles and ends of every rig of one shape. `kept` holds what others have found on it, by their own keys."""

    def __init__(self, graph: Graph) -> None:
        self.net = Net(graph)
        self.poles = Poles(self.net)
        self.kept: dict[Hashable, Any] = {}

    @cached_property
    def ends(self) -> tuple[End, ...]:
        """Everything that can push."""
        return ends_of(self.net)


def shape_of(rig: Rig, graph: Graph) -> Hashable:
    """All that proofs and standings may look at: terminals, elements without their ohms, variables, kinds, claims."""
    return (
        tuple(graph.terminals.values()),
        tuple(
            [(e.id, e.kind, e.a, e.b, e.owner, e.role, e.when, e.out_a, e.out_b, e.both_ways) for e in graph.elements.values()]
        ),
        tuple(graph.variables.values()),
        tuple([(p.id, p.kind.name) for p in rig.parts.values()]),
        tuple(rig.runs),
        rig.never,
    )  # fmt: skip


_KEPT: dict[Hashable, Skeleton] = {}
_LOCK = Lock()


def skeleton_of(rig: Rig, graph: Graph) -> Skeleton:
    """The skeleton of a rig, shared with the rigs that differ from it in figures only."""
    shape = shape_of(rig, graph)
    with _LOCK:
        found = _KEPT.pop(shape, None) or Skeleton(graph)
        _KEPT[shape] = found
        while len(_KEPT) > MOST_KEPT:
            del _KEPT[next(iter(_KEPT))]
    return found


def forget() -> None:
    """Keep none: what a measurement of a rig never seen begins with."""
    with _LOCK:
        _KEPT.clear()
