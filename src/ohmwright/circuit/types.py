"""What the circuit floor takes and answers."""

from collections.abc import Callable, ItemsView, Iterator, Mapping, ValuesView
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Generic, Protocol, TypeVar

import numpy as np

from ohmwright.circuit.elimination import Array
from ohmwright.working.quickly import quickly_made

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Case:
    """An operating case: what is switched, what runs, how full and how warm.

    `states` gives variables that differ from ordinary.  `loads_W` is the power at each load's own terminals
    (loads not named are off).  `charge_A` limits or sets charging converters by part id; None in
    `sun_ratio` means by state.  `bank_soc_ratio` and `bank_degC` hold for every bank not named in `banks`.
    """

    name: str
    title: str = ""
    states: Mapping[str, str] = field(default_factory=dict)
    loads_W: Mapping[str, float] = field(default_factory=dict)
    converters_W: Mapping[str, float] = field(default_factory=dict)
    """Output power asked of a converter by part id, where the case sets it (an inverter at full load)."""
    charge_A: Mapping[str, float] = field(default_factory=dict)
    bank_soc_ratio: float = 0.5
    bank_degC: float = 25.0
    banks: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    sun_ratio: float = 0.0
    conductor_degC: float = 75.0
    missing: tuple[str, ...] = ()
    """Members of a bank that are out."""
    seconds: float | None = None
    """How long it lasts; None is continuous."""
    input_V: Mapping[str, float] = field(default_factory=dict)
    """Volts at which a converter's input current is reckoned, by part id: an inverter at its cut-off setting."""
    supply_A: float | None = None
    """What the outside supply gives, where it is less than a setting says."""
    stalled_ohm: Mapping[str, complex] = field(default_factory=dict)
    """Motors that stand still with the power on, by load id: what their windings are then."""


@quickly_made
@dataclass(frozen=True, slots=True)
class RunAnswer:
    """A conductor: current + is from -> to; drop and loss are >= 0."""

    current_A: float
    drop_V: float
    loss_W: float


class RunAnswers(Mapping[str, RunAnswer]):
    """What every conductor carries in a case, by name; an answer is made when it is asked for.

    `current_A`, `drop_V` and `loss_W` are columns with the row of every conductor in `row`.
    """

    def __init__(self, row: Mapping[str, int]) -> None:
        self.row = row
        self.current_A: Array = np.zeros(len(row))
        self.drop_V: Array = np.zeros(len(row))
        self.loss_W: Array = np.zeros(len(row))

    def __getitem__(self, name: str) -> RunAnswer:
        return self._answers[self.row[name]]

    def __iter__(self) -> Iterator[str]:
        return iter(self.row)

    def __len__(self) -> int:
        return len(self.row)

    def __contains__(self, name: object) -> bool:
        return name in self.row

    def values(self) -> ValuesView[RunAnswer]:
        """The answers in the order of the conductors."""
        return self._by_name.values()

    def items(self) -> ItemsView[str, RunAnswer]:
        """Name and answer of every conductor."""
        return self._by_name.items()

    @cached_property
    def _by_name(self) -> dict[str, RunAnswer]:
        return dict(zip(self.row, self._answers, strict=True))

    @cached_property
    def _answers(self) -> list[RunAnswer]:
        columns = (self.current_A.tolist(), self.drop_V.tolist(), self.loss_W.tolist())
        return [RunAnswer(*told) for told in zip(*columns, strict=True)]


@quickly_made
@dataclass(frozen=True, slots=True)
class BatteryAnswer:
    """A battery: current + is charging; `share` is its part of the bank's current."""

    current_A: float
    share: float | None
    bank: str


@quickly_made
@dataclass(frozen=True, slots=True)
class Volts:
    """A node's voltage against its island's reference: DC volts, or AC rms with an angle."""

    volts: float
    angle_deg: float | None = None


class Later(Generic[T]):
    """A field that may be handed in as a question: it is asked when it is first looked at."""

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    def __get__(self, one: Any, owner: type) -> T:
        if one is None:
            raise AttributeError(self.name)
        held = one.__dict__[self.name]
        if callable(held):
            held = one.__dict__[self.name] = held()
        return held  # type: ignore[no-any-return]

    def __set__(self, one: Any, value: T | Callable[[], T]) -> None:
        one.__dict__[self.name] = value


@dataclass(frozen=True)
class Solution:
    """A solved case. `unsolved` names conductors whose size or length is unknown, with what that leaves open.

    What few look at of few cases is worked out when it is first looked at: the margin takes as long as the case itself.
    """

    case: Case
    states: Mapping[str, str]
    converged: bool
    collapse_margin: Later[float | None] = Later()
    conductors: Later[RunAnswers] = Later()
    batteries: Later[Mapping[str, BatteryAnswer]] = Later()
    nodes: Later[Mapping[str, Volts]] = Later()
    elements_A: Later[Mapping[str, float]] = Later()
    """Current of every element, + from a -> b."""
    falls_first: Later[str] = Later()
    """The part or load whose volts fall first when all loads of fixed power grow; "" without any."""
    story: tuple[str, ...] = ()
    unsolved: tuple[str, ...] = ()
    overloaded: tuple[str, ...] = ()
    """Inverters that the case asks for more than they give for long: their cables are not designed for it."""

    def drop_of(self, conductor: str) -> float | None:
        """The drop along a conductor; None when its size or length is not known: it was solved as nothing."""
        answer = self.conductors.get(conductor)
        return None if answer is None or conductor in self.unsolved else answer.drop_V


class Lasting(Protocol):
    """How long a fault lasts at each bound that is known; worked out when it is looked at, for few faults are."""

    @property
    def clears_s(self) -> Mapping[str, float] | None: ...
    @property
    def tau_s(self) -> Mapping[str, float]: ...
    @property
    def let_through_A2s(self) -> Mapping[str, float]: ...


@quickly_made
@dataclass(frozen=True, slots=True)
class Fault:
    """Bolted fault at a terminal, against its island's return: both bounds, who feeds it, how fast it clears.

    `through_A` gives, by series device, the largest current that device would have to break for this fault.
    """

    terminal: str
    max_A: float | None
    min_A: float | None
    from_A: Mapping[str, float]
    through_A: Mapping[str, float] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    lasting: Lasting | None = field(default=None, repr=False, compare=False)

    @property
    def clears_s(self) -> Mapping[str, float] | None:
        """By bound the longest time until it is cleared; None where no device is proved to open."""
        return self.lasting.clears_s if self.lasting else None

    @property
    def tau_s(self) -> Mapping[str, float]:
        """By bound the time constant of the loop."""
        return self.lasting.tau_s if self.lasting else {}

    @property
    def let_through_A2s(self) -> Mapping[str, float]:
        """By bound what the rising current lets through until it is cleared."""
        return self.lasting.let_through_A2s if self.lasting else {}


@dataclass(frozen=True, slots=True)
class ProofFinding:
    """Something a topology proof found: the subject, a path to print, and the state in which it is so."""

    subject: str
    message: str
    path: tuple[str, ...] = ()
    states: Mapping[str, str] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """The result of one proof: holds when nothing was found and nothing stayed open."""

    name: str
    walked: int
    found: tuple[ProofFinding, ...] = ()
    open: tuple[ProofFinding, ...] = ()
    subjects: tuple[str, ...] = ()
    facts: Mapping[str, object] = field(default_factory=dict)

    @property
    def holds(self) -> bool:
        """Nothing found, nothing left open."""
        return not self.found and not self.open
