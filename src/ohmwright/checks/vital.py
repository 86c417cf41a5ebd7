"""Loads that must never go dark, and the banks that can feed them."""

from collections.abc import Mapping

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.walk import reach
from ohmwright.kinds.base import When
from ohmwright.rig.model import Load
from ohmwright.study import Study


def vital_loads(study: Study) -> tuple[Load, ...]:
    """Loads that the file marks vital."""
    return tuple(load for load in study.rig.use.loads.values() if load.words.get("vital"))


def feeding(study: Study, load: Load, states: Mapping[str, str]) -> tuple[Bank, ...]:
    """Banks that conduct to a load's plus while some variables are held; never through a converter."""
    when: When = tuple((v, frozenset({s})) for v, s in states.items() if v in study.graph.variables)
    starts = [e.a for e in study.graph.elements.values() if e.owner == load.id and e.kind == "load"]
    if not starts:
        return ()
    way = reach(study.graph, starts, when=when)
    return tuple(b for b in banks(study.rig) if any(f"{m.id}.+" in way.terminals for m in b.members))
