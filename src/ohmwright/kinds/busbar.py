"""A busbar: one piece of metal with studs."""

from ohmwright.kinds.bars import bar, bar_words
from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.specs import RESISTANCE, TRISTATE

KIND = Kind(
    "busbar",
    "busbar",
    "X",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "voltage": FigureSpec("V", "insulation voltage of its base"),
        "studs": FigureSpec("1", "number of studs"),
        "spacing": FigureSpec("m", "distance from stud to stud"),
        "withstand": FigureSpec("A", "short-circuit current it withstands", "s"),
        **RESISTANCE,
    },
    bar("stud"),
    {
        **bar_words("6"),
        "material": WordSpec("what the bar is made of"),
        "covered": WordSpec("are its live parts covered", TRISTATE, "unknown"),
    },
)
