"""A shunt with its battery monitor. It stands in the bank's minus: bank on one side, everything else on the other."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.specs import SELF_USE, TRISTATE

WORDS = {
    "counts": WordSpec("the bank whose current it counts"),
    "temperature_sensor": WordSpec("does it read the battery's temperature", TRISTATE, "unknown"),
}


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("bank", ("",)), Port("loads", ("",)), Port("supply", ("+",), "signal", may_stay_free=True)),
        (Inner("shunt", "conductor", "bank", "loads", "shunt", "resistance"),),
    )


KIND = Kind(
    "shunt",
    "shunt and battery monitor",
    "R",
    {
        "rated": FigureSpec("A", "current at which it drops its rated millivolts"),
        "millivolts": FigureSpec("V", "drop at rated current"),
        "resistance": FigureSpec("ohm", "rated millivolts over rated current"),
        "continuous": FigureSpec("A", "current it carries for ever", "degC"),
        "accuracy": FigureSpec("1", "error of its current reading"),
        "offset": FigureSpec("A", "error of its current reading at zero"),
        "dead_band": FigureSpec("A", "current below which it reads zero"),
        **SELF_USE,
    },
    _inside,
    WORDS,
    series=True,
)
