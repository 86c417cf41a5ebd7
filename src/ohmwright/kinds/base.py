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
    """Terminals that belong together. `name` "" is the port of a part that has only one: its terminals are `P.+`.

    A port of one pole may be written for its terminal (`U1.case` for `U1.case.PE`).  The terminals of a port of
    role `case` are bolted to the metal body that the part is `on`.  `takes` 0 is a node inside the device where
    no run can land.
    """

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
    `ohm` names the figure that is its resistance.  A converter has `out_a`, `out_b` and `both_ways`.  `a` is the
    plus or line side of a source, load or converter input, `b` its return.  A role that ends in `-half-turn` is
    the second leg of a split-phase output: its line stands half a turn from the first leg's.
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

    `name` "" is the part's own variable (`Q1`), others are `U2.hand`.  Origins: `hand` (a case, stay or cut
    chooses), `outside` (nature, an engine, a supply: chosen the same way, and walked by proofs), `automatic`
    (settled by its rule), `fixed` (ordinary, except in the one extra walk it is there for).

    Rules, as one word and perhaps a port:

    - "coil:PORT" (automatic; states open, closed): the second state while PORT is energised, else the first.
    - "live:PORT" (automatic): the first state while PORT is energised, else the second.
    - "transfer" (automatic; states off, inverting, passing): an inverter-charger.  Variable `hand` off: off.
      Else passing while port `ac-in` is energised by another source than itself; else inverting while `hand`
      is on and port `dc` is energised; else off.
    - "inverting" (automatic; states off, inverting): an inverter.  Inverting while `hand` is on and port `dc`
      is energised.
    - "bms" (a battery's own management: automatic; states normal, open): normal until the battery's current,
      voltage or temperature passes its figures.  An outside management: outside; states normal, warn, open.
    - "voltage-sensing" (automatic; states open, closed): closed while either side is held up by a charging
      source (alternator, charger), whichever side the kind's word `senses` names.
    - "run-by" (outside): the variable of the rig that the part's word `run-by` names (`engine-running`), with
      these states; the graph gives it that id.  Without the word it is the part's own.
    - "rig" (outside): one variable of the whole rig, with this name and no part before it: `sun`.
    - "unknown" (outside): nobody knows which state holds.  Both are walked; what depends on it cannot be told
      and the part's word of the same name is what is missing.
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


#: Units of figures that may be negative.
BELOW_ZERO = ("degC", "%/K", "V/K", "A/K")
#: By unit: figures at whose zero nothing works and nothing can be worked out.
NEVER_ZERO = {
    "A": ("rated", "output_current", "short_circuit", "max_power_current", "discharge_max", "charge_max"),
    "V": ("voltage", "ac_voltage", "dc_nominal", "nominal_voltage", "charge_voltage", "charge_voltage_max", "output_voltage", "open_circuit", "max_power_voltage", "max_pv_voltage"),
    "W": ("power",),
    "VA": ("apparent_power",),
    "Ah": ("capacity",),
    "Hz": ("frequency",),
    "1": ("efficiency", "efficiency_peak", "efficiency_full", "usable", "power_factor"),
}  # fmt: skip


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
    may_be_zero: bool = True

    def refused(self, name: str, value: float) -> tuple[str, str] | None:
        """Why a number can be no such figure, and what to write instead."""
        if value < 0 and self.unit not in BELOW_ZERO:
            return "is less than 0", "write 0 or more"
        if value == 0 and (not self.may_be_zero or name in NEVER_ZERO.get(self.unit, ())):
            return "cannot be 0", "write what its page says, or unknown"
        if value > 1 and name.startswith("efficiency"):
            return "is more than 100 %", "write the part that comes out, for instance 92 %"
        return None


@dataclass(frozen=True, slots=True)
class WordSpec:
    """A word that a kind needs: chemistry, class, polarised. `allowed` empty takes any text."""

    meaning: str
    allowed: tuple[str, ...] = ()
    default: str = ""


#: What `inside` may look at: the part's words as text, the file's over the record's: its own keys (`run-by`),
#: what stands under `fitted:` (`ac-out-bond`), settings whose key is a word of the kind (`ground-relay`), and for
#: a split panel the poles of way N as `way-N` ("L1", "L1+L2", "L1+L2+N").  Hyphen and underscore are the same.
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
    "min_cable": FigureSpec("mm2", "smallest conductor the maker allows at full rating"),
    "max_cable": FigureSpec("mm2", "largest conductor its terminals take"),
    "ambient_max": FigureSpec("degC", "highest ambient at which it may work"),
    "ambient_min": FigureSpec("degC", "lowest ambient at which it may work"),
    "storage_min": FigureSpec("degC", "lowest storage temperature"),
    "terminal_class": FigureSpec("degC", "temperature class marked on its terminals"),
}

COMMON_WORDS: dict[str, WordSpec] = {
    "size": WordSpec("width x height x depth, with unit"),
    "clearance": WordSpec("free space it needs around it, with unit"),
    "fixing": WordSpec("holes of its foot, centred on its outline: 4 holes 5.5 mm, 300 x 200 mm apart"),
    "ip": WordSpec("degree of protection after IEC 60529"),
    "ignition_protected": WordSpec("proved for use in petrol or LP space", ("yes", "no", "unknown")),
}
