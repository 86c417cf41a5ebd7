"""Figures and words that residual-current devices share."""

from ohmwright.kinds.base import FigureSpec, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    **SERIES_WORDS,
    "poles": WordSpec("how many conductors it breaks", ("1", "2", "3", "4"), "2"),
    "current": WordSpec("what it is made to carry", ("ac",), "ac"),
    "type": WordSpec(
        "the residual currents it sees: after IEC 60755, or class A of UL 943",
        ("ac", "a", "f", "b", "class-a", "unknown"),
        "unknown",
    ),
    "needs_supply": WordSpec("does it need line and neutral alive to trip", TRISTATE, "unknown"),
}

FIGURES = {
    "residual": FigureSpec("A", "rated residual current"),
    "trips_within": FigureSpec("s", "longest time at its rated residual current"),
}
