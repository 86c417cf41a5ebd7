"""A hand changeover between two AC sources: positions 1, 0, 2."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Variable, Words, WordSpec
from ohmwright.kinds.shape import said
from ohmwright.kinds.specs import RESISTANCE
from ohmwright.kinds.two_sources import WORDS as TWO
from ohmwright.kinds.two_sources import contacts

WORDS = {**TWO, "zero": WordSpec("has it a position between", ("yes", "no"), "yes")}


def _inside(words: Words) -> Inside:
    ports, inner = contacts(words, WORDS)
    states = ("1", "0", "2") if said(words, WORDS, "zero") == "yes" else ("1", "2")
    return Inside(ports, inner, (Variable("", states, "hand"),))


KIND = Kind(
    "changeover",
    "changeover switch",
    "Q",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "voltage": FigureSpec("V", "highest AC voltage"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
)
