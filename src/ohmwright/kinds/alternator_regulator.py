"""A regulator outside the alternator, with its own sensing leads."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, SELF_USE, TRISTATE


def _inside(_: Words) -> Inside:
    return Inside(
        (
            Port("supply", DC),
            Port("field", ("+",), "signal"),
            Port("sense", DC, "signal", may_stay_free=True),
            Port("stop", ("sig",), "signal", may_stay_free=True),
        ),
        (Inner("electronics", "load", "supply.+", "supply.-", "electronics"),),
    )


KIND = Kind(
    "alternator-regulator",
    "alternator regulator",
    "A",
    {**CHARGER, **SELF_USE, "field_current": FigureSpec("A", "largest field current")},
    _inside,
    {
        **CHARGER_WORDS,
        "reads_alternator": WordSpec("does it read the alternator's temperature", TRISTATE, "unknown"),
    },
)
