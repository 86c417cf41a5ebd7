"""The explicit graph: every terminal, every element, every conductor, every state variable."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ohmwright.kinds.base import ElementKind, Pole, VariableOrigin, When
from ohmwright.rig.model import Cable
from ohmwright.working import Given
from ohmwright.working.quickly import quickly_made


@quickly_made
@dataclass(frozen=True, slots=True)
class Terminal:
    """A node. `owner` is a part, load or metal body; `port` the port's address (`U1.pv`); `plug` pins or socket."""

    id: str
    owner: str
    pole: Pole
    port: str = ""
    port_role: str = ""
    place: str = ""
    plug: str = ""
    takes: int = 1
    may_stay_free: bool = False
    is_metal: bool = False


@quickly_made
@dataclass(frozen=True, slots=True)
class Element:
    """A branch of the network, after `Inner` and every core of every run.

    `owner` is the part, load or run.  `when` holds full variable ids (`U2.hand`).  `ohm` is the resistance as
    given: for a conductor of a run see `Conductor`, its resistance depends on temperature and bound.
    """

    id: str
    kind: ElementKind
    a: str
    b: str
    owner: str
    role: str = ""
    ohm: Given | None = None
    when: When = ()
    out_a: str = ""
    out_b: str = ""
    both_ways: bool = False


@quickly_made
@dataclass(frozen=True, slots=True)
class Conductor:
    """A core of a run, link, lead or branch cable. `length_m` None: not known."""

    id: str
    run: str
    a: str
    b: str
    pole: Pole
    cable: Cable
    area_mm2: float | None
    length_m: float | None
    length: Given
    role: str = ""
    route: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StateVariable:
    """A state variable of the rig. The first state is the ordinary one. `run_by` names an outside variable."""

    id: str
    states: tuple[str, ...]
    origin: VariableOrigin
    rule: str = ""
    owner: str = ""
    run_by: str = ""


@dataclass(frozen=True, slots=True)
class Graph:
    """All of it, with the lookups that everybody needs."""

    terminals: Mapping[str, Terminal]
    elements: Mapping[str, Element]
    conductors: Mapping[str, Conductor]
    variables: Mapping[str, StateVariable]
    at: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """terminal -> ids of the elements that touch it."""
