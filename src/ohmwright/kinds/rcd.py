"""A residual-current device without overcurrent protection."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Words
from ohmwright.kinds.residual import FIGURES, WORDS
from ohmwright.kinds.shape import hand_switch
from ohmwright.kinds.specs import RESISTANCE


def _inside(words: Words) -> Inside:
    return hand_switch(words, WORDS, role="rcd")


KIND = Kind(
    "rcd",
    "residual-current device",
    "Q",
    {
        **FIGURES,
        "rated": FigureSpec("A", "current it carries for ever"),
        "voltage": FigureSpec("V", "highest voltage it may break"),
        "conditional": FigureSpec("A", "short-circuit current it stands with the fuse the maker names"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
    series=True,
)
