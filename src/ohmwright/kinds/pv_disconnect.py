"""A two-pole breaker or switch between array and controller."""

from ohmwright.kinds.base import Inside, Kind, Words, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS, hand_switch
from ohmwright.kinds.specs import BREAKER, TRISTATE

WORDS = {
    **SERIES_WORDS,
    "poles": WordSpec("how many conductors it breaks", ("1", "2"), "2"),
    "takes": WordSpec("how many conductors one of its terminals takes", ("1", "2", "3", "4"), "1"),
    "device": WordSpec("does it trip by itself", ("breaker", "switch", "unknown"), "unknown"),
    "polarised": WordSpec("does it break only one direction of current", TRISTATE, "unknown"),
    "poles_in_series": WordSpec(
        "how many of its poles break the string voltage together", ("1", "2", "4", "unknown"), "unknown"
    ),
}


def _inside(words: Words) -> Inside:
    return hand_switch(words, WORDS)


KIND = Kind("pv-disconnect", "PV disconnect", "Q", {**BREAKER}, _inside, WORDS, series=True)
