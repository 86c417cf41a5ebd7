"""Per conductor: which sources can feed it, and the first protective device on the way from each."""

from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig


@dataclass(frozen=True, slots=True)
class Guard:
    """One source end that can feed a conductor.

    `device` is the overcurrent device that stands nearest before the conductor on the way from `source`, None
    when there is none.  `bare_m` is the length of conductor between the source's terminal and the first device
    of the path (None: a length is unknown).  `limited_A` is the most the source itself can push, where its
    kind says so (array, alternator, charger output).
    """

    source: str
    device: str | None
    rated_A: float | None
    bare_m: float | None
    path: tuple[str, ...] = ()
    limited_A: float | None = None


@dataclass(frozen=True, slots=True)
class Guarding:
    """All guards of a conductor, and the largest continuous current of the generated cases."""

    conductor: str
    guards: tuple[Guard, ...]
    design_A: float | None
    design_case: str = ""


def guards_of(rig: Rig, graph: Graph) -> Mapping[str, Guarding]:
    """The guarding of every conductor that carries power."""
    raise NotImplementedError
