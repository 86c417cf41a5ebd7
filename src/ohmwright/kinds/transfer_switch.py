"""An automatic transfer switch between two AC sources. Source 1 goes before source 2."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Variable, Words, WordSpec
from ohmwright.kinds.specs import RESISTANCE
from ohmwright.kinds.two_sources import WORDS as TWO
from ohmwright.kinds.two_sources import contacts

WORDS = {**TWO, "listed_for": WordSpec("where it is listed for: vehicle, boat, building")}


def _inside(words: Words) -> Inside:
    ports, inner = contacts(words, WORDS)
    return Inside(ports, inner, (Variable("", ("1", "2"), "automatic", "live:1"),))


KIND = Kind(
    "transfer-switch",
    "transfer switch",
    "K",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "voltage": FigureSpec("V", "highest AC voltage"),
        "transfer_time": FigureSpec("s", "time to change over"),
        "delay": FigureSpec("s", "time it waits before it takes a source"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
)
