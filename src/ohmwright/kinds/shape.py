"""What the insides of several kinds have in common: reading a word, and devices that stand in a conductor."""

from collections.abc import Mapping, Sequence
from typing import Literal

from ohmwright.kinds.base import Inner, Inside, Pole, Port, Variable, When, Words, WordSpec

Specs = Mapping[str, WordSpec]

DC: tuple[Pole, ...] = ("+", "-")
AC: tuple[Pole, ...] = ("L", "N", "PE")
SPLIT: tuple[Pole, ...] = ("L1", "L2", "N", "PE")

#: Words of a device that stands in a conductor.
SERIES_WORDS: dict[str, WordSpec] = {
    "poles": WordSpec("how many conductors it breaks", ("1", "2", "3", "4"), "1"),
    "current": WordSpec("what it is made to carry", ("dc", "ac"), "dc"),
    "takes": WordSpec("how many conductors one of its terminals takes", ("1", "2", "3", "4"), "1"),
}


def said(words: Words, specs: Specs, name: str) -> str:
    """The word `name` of the part, or the default of its spec; ValueError when it is none of those allowed."""
    spec = specs[name]
    text = words.get(name, words.get(name.replace("_", "-"), "")).strip() or spec.default
    if text.startswith("unknown") and "unknown" in spec.allowed:
        return "unknown"
    if spec.allowed and text and text not in spec.allowed:
        raise ValueError(
            f"{name.replace('_', '-')} '{text}' is none of its words; write {' or '.join(spec.allowed)}"
        )
    return text


def number_of(words: Words, specs: Specs, name: str, most: int) -> int:
    """A count among the words: ways, studs, strings."""
    text = said(words, specs, name)
    if not text.isdecimal() or not 1 <= int(text) <= most:
        raise ValueError(
            f"{name.replace('_', '-')} '{text}' is no count; write a whole number from 1 to {most}"
        )
    return int(text)


def poles_of(words: Words, specs: Specs = SERIES_WORDS) -> tuple[Pole, ...]:
    """The poles of a device in a conductor: one pole takes its name from what it stands in."""
    n = int(said(words, specs, "poles"))
    if n == 1:
        return ("",)
    if said(words, specs, "current") == "dc":
        if n > 2:
            raise ValueError(f"poles '{n}' on direct current: write 1 or 2, and the word poles-in-series")
        return DC
    return {2: ("L", "N"), 3: ("L1", "L2", "N"), 4: ("L1", "L2", "L3", "N")}[n]


def named(port: str, pole: Pole) -> str:
    """The local name of a terminal."""
    return ".".join(w for w in (port, pole) if w)


def in_line(
    poles: Sequence[Pole],
    *,
    role: str,
    kind: Literal["conductor", "switch"] = "switch",
    when: When = (),
    ohm: str = "resistance",
    takes: int = 1,
    sides: tuple[str, str] = ("line", "load"),
    current: str = "dc",
) -> tuple[tuple[Port, Port], tuple[Inner, ...]]:
    """The two ports of a device that stands in a conductor, and one element a pole between them."""
    of: Literal["dc", "ac"] = "ac" if current == "ac" else "dc"
    a, b = sides
    ports = (Port(a, tuple(poles), of, takes=takes), Port(b, tuple(poles), of, takes=takes))
    inner = tuple(Inner(named(role, p), kind, named(a, p), named(b, p), role, ohm, when) for p in poles)
    return ports, inner


def hand_switch(words: Words, specs: Specs = SERIES_WORDS, *, role: str = "contact") -> Inside:
    """A device that a hand opens and closes: variable of its own, closed or open."""
    ports, inner = in_line(
        poles_of(words, specs),
        role=role,
        when=(("", frozenset({"closed"})),),
        takes=int(said(words, specs, "takes")),
        current=said(words, specs, "current"),
    )
    return Inside(ports, inner, (Variable("", ("closed", "open"), "hand"),))


def nothing(_: Words) -> Inside:
    """The inside of something that no current passes."""
    return Inside((), ())
