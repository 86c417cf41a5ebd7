"""What a kind of part is: the figures it needs, its ports and poles, and its inside.

The inside is made of five elements.  Solver, proofs, drawing and labels read this same list; nothing else
knows what is inside a device.

    conductor   joins two terminals through a resistance
    switch      joins them while its state variables say so
    source      open-circuit volts behind a resistance
    converter   carries power from one port to another, with limits and loss
    load        takes power
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

ElementKind = Literal["conductor", "switch", "source", "converter", "load"]
VariableOrigin = Literal["hand", "outside", "automatic", "fixed"]

#: A pole is the last word of a terminal: + - L L1 L2 N PE A B sig, a stud number's pole is "".
Pole: TypeAlias = str

#: variable -> the states in which an element exists (a switch: is closed); all of them must hold.
When: TypeAlias = tuple[tuple[str, frozenset[str]], ...]


@dataclass(frozen=True, slots=True)
class Port:
    """Terminals that belong together. `name` "" is the port of a part that has only one: its terminals are `P.+`."""

    name: str
    poles: tuple[Pole, ...]
    role: Literal["dc", "ac", "pv", "signal", "earth", "case", "data", "stud", "way"] = "dc"
    plug: Literal["", "pins", "socket"] = ""
    takes: int = 1
    may_stay_free: bool = False

    def terminals(self) -> tuple[str, ...]:
        """The local names of the port's terminals: `pv.+`, or `1` for a stud."""
        return tuple(".".join(w for w in (self.name, pole) if w) for pole in self.poles)


@dataclass(frozen=True, slots=True)
class Inner:
    """An element inside a kind, between local terminals.

    `role` says what it is to a solver or rule (fuse, contact, coil, shunt, cell, array, supply, alternator,
    tracker, inverter, charger, dcdc, transformer, through, bond, way, stud, resistive, constant-power ...).
    `ohm` names the figure that is its resistance.  A converter has `out_a`, `out_b` and `both_ways`.
    """

    name: str
    kind: ElementKind
    a: str
    b: str
    role: str = ""
    ohm: str = ""
    when: When = ()
    out_a: str = ""
    out_b: str = ""
    both_ways: bool = False


@dataclass(frozen=True, slots=True)
class Variable:
    """A state of a part that somebody or something sets. The first of `states` is the ordinary one.

    `name` "" is the part's own variable (`Q1`), others are `U2.hand`.  An automatic one has a `rule` that the
    solver settles: "coil:PORT" (closed while that port is energised), "live:PORT" (first state while the port
    is energised, else second), "transfer" (inverter-charger), "bms", "voltage-sensing", "run-by".
    """

    name: str
    states: tuple[str, ...]
    origin: VariableOrigin
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Inside:
    """Ports, elements and state variables of one part, once its shape is known."""

    ports: tuple[Port, ...]
    elements: tuple[Inner, ...]
    variables: tuple[Variable, ...] = ()


@dataclass(frozen=True, slots=True)
class FigureSpec:
    """A figure that a kind needs: base unit, what it means, and the condition that a rating must state.

    `condition` is the unit of the condition ("degC", "V DC", "s") or "" when the figure has none.  `default`
    is the class default as a quantity text: for energy only, shown as such, never used for a danger.
    """

    unit: str
    meaning: str
    condition: str = ""
    default: str = ""


@dataclass(frozen=True, slots=True)
class WordSpec:
    """A word that a kind needs: chemistry, class, polarised. `allowed` empty takes any text."""

    meaning: str
    allowed: tuple[str, ...] = ()
    default: str = ""


#: What `inside` may look at: the part's words (record, file and `fitted`), as text.
Words: TypeAlias = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part.

    `letter` is the class letter of its reference (IEC 81346-2 habit of the trade).  `inside` builds ports,
    elements and variables from the part's words (poles, ways, studs, fitted bond ...).
    """

    name: str
    title: str
    letter: str
    figures: Mapping[str, FigureSpec]
    inside: Callable[[Words], Inside]
    words: Mapping[str, WordSpec] = field(default_factory=dict)
    series: bool = False
    """True for a device that stands in a conductor: two sides, pass through (fuse, breaker, switch, shunt)."""


#: Figures that every part may have.
COMMON_FIGURES: dict[str, FigureSpec] = {
    "mass": FigureSpec("kg", "mass"),
    "stud": FigureSpec("m", "stud diameter of the power terminals"),
    "torque": FigureSpec("Nm", "tightening torque of the power terminals, as the maker prints it"),
    "ambient_max": FigureSpec("degC", "highest ambient at which it may work"),
    "ambient_min": FigureSpec("degC", "lowest ambient at which it may work"),
    "storage_min": FigureSpec("degC", "lowest storage temperature"),
    "terminal_class": FigureSpec("degC", "temperature class marked on its terminals"),
}

COMMON_WORDS: dict[str, WordSpec] = {
    "size": WordSpec("width x height x depth, with unit"),
    "clearance": WordSpec("free space it needs around it, with unit"),
    "ip": WordSpec("degree of protection after IEC 60529"),
    "ignition_protected": WordSpec("proved for use in petrol or LP space", ("yes", "no", "unknown")),
}
