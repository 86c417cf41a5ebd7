"""A small hand switch: a coil, a lamp, a remote cut."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Words
from ohmwright.kinds.shape import SERIES_WORDS, hand_switch
from ohmwright.kinds.specs import RESISTANCE


def _inside(words: Words) -> Inside:
    return hand_switch(words)


KIND = Kind(
    "switch",
    "switch",
    "Q",
    {
        "rated": FigureSpec("A", "current it carries and breaks", "V"),
        "voltage": FigureSpec("V", "highest voltage it may break"),
        **RESISTANCE,
    },
    _inside,
    SERIES_WORDS,
    series=True,
)
