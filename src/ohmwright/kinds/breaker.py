"""A circuit breaker, DC or AC, of one or more poles."""

from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS, hand_switch
from ohmwright.kinds.specs import BREAKER, HOLDS, TRIPS, TRISTATE

WORDS = {
    **SERIES_WORDS,
    "polarised": WordSpec("does it break only one direction of current", TRISTATE, "unknown"),
    "poles_in_series": WordSpec(
        "how many of its poles break one conductor, as the page draws it",
        ("1", "2", "3", "4", "unknown"),
        "unknown",
    ),
    "curve": WordSpec("trip curve", ("b", "c", "d", "z", "hydraulic", "thermal", "unknown"), "unknown"),
    "switch_duty": WordSpec("may it be used as a switch", TRISTATE, "unknown"),
}

KIND = Kind(
    "breaker",
    "circuit breaker",
    "F",
    {
        **BREAKER,
        **TRIPS,
        **HOLDS,
        "instant_low": FigureSpec("1", "multiple of its rating at which it may trip at once"),
        "instant_high": FigureSpec("1", "multiple of its rating at which it must trip at once"),
    },
    hand_switch,
    WORDS,
    series=True,
)
