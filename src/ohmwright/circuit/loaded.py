"""One network under many sets of loads: Newton over all nodes along one plan, loads of fixed power only.

The second way to the same volts: `ports` looks in from the loads, this walks every node.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ohmwright.circuit import fast
from ohmwright.circuit.network import Array, Network
from ohmwright.circuit.plan import Plan, plan_of
from ohmwright.circuit.ports import Draw


@dataclass(frozen=True, slots=True)
class Loaded:
    """A DC network with its load ports; all of them must lie in it."""

    network: Network
    plan: Plan
    conductances: Array
    held: Array
    ports: int

    def solve(self, power_W: Array) -> tuple[Array, bool]:
        """Volts of every node, and False where no volts carry these loads."""
        compiled = fast.kernels()
        way: Callable[..., tuple[Array, bool]] = fast.loaded if compiled is None else compiled.loaded
        v, stands = way(
            *self.plan.arrays, self.plan.size, self.plan.slot_count, self.conductances, self.network.driven, self.held, self.ports, power_W,
        )  # fmt: skip
        return v, bool(stands)


def loaded(network: Network, draws: Sequence[Draw]) -> Loaded:
    """Plan a network with these loads once."""
    pairs = tuple((network.node[d.a], network.node[d.b]) for d in draws)
    plan = plan_of(network.size, (*network.ends, *pairs), network.held, ())
    g = np.concatenate([network.conductances, np.zeros(len(pairs))])
    return Loaded(network, plan, g, np.array(network.held, dtype=np.int64), len(pairs))
