"""A monitor or gateway: it reads the other devices and keeps the log."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import SELF_USE, TRISTATE


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("supply", DC), Port("data", ("sig",), "data", takes=4, may_stay_free=True)),
        (Inner("electronics", "load", "supply.+", "supply.-", "electronics"),),
    )


KIND = Kind(
    "monitor",
    "monitor",
    "A",
    {
        **SELF_USE,
        "sample_period": FigureSpec("s", "time between two samples"),
        "store": FigureSpec("s", "how long it keeps samples without a network"),
    },
    _inside,
    {
        "speaks": WordSpec("the open protocols it speaks"),
        "exports": WordSpec("the open formats it gives"),
        "offline": WordSpec("does it work without a network", TRISTATE, "unknown"),
    },
)
