"""Loads on alternating current, as papers tell them."""

from collections.abc import Iterator

from ohmwright.papers.material import Material
from ohmwright.rig.model import Load
from ohmwright.working import known


def ac_loads(m: Material) -> Iterator[tuple[Load, float]]:
    """Loads on alternating current with the most they take while running."""
    ac = {t.owner for t in m.study.graph.terminals.values() if t.pole in ("L", "L1")}
    for load in m.rig.use.loads.values():
        watts = [
            f.value
            for given in load.power.values()
            if (f := known(given)) is not None and f.unit in ("W", "VA")
        ]
        if load.id in ac and watts:
            yield load, max(watts)
