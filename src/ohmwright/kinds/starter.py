"""A starter motor. A frame-return one takes its current between its stud and its case."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC, said

WORDS = {"returns_by": WordSpec("where its current returns", ("case", "stud"), "case")}


def _inside(words: Words) -> Inside:
    if said(words, WORDS, "returns_by") == "stud":
        return Inside((Port("", DC),), (Inner("motor", "load", "+", "-", "starter"),))
    return Inside(
        (Port("", ("+",)), Port("case", ("-",), "case", may_stay_free=True)),
        (Inner("motor", "load", "+", "case.-", "starter"),),
    )


KIND = Kind(
    "starter",
    "starter motor",
    "D",
    {
        "power": FigureSpec("W", "shaft power"),
        "running_current": FigureSpec("A", "current while it turns the engine"),
        "stall_current": FigureSpec("A", "current at the first moment"),
        "voltage": FigureSpec("V", "nominal voltage"),
        "min_voltage": FigureSpec("V", "lowest voltage at which it turns the engine"),
    },
    _inside,
    WORDS,
)
