"""A residual-current breaker with overcurrent protection."""

from ohmwright.kinds.base import Inside, Kind, Words, WordSpec
from ohmwright.kinds.residual import FIGURES
from ohmwright.kinds.residual import WORDS as RESIDUAL
from ohmwright.kinds.shape import hand_switch
from ohmwright.kinds.specs import BREAKER

WORDS = {**RESIDUAL, "curve": WordSpec("trip curve", ("b", "c", "d", "unknown"), "unknown")}


def _inside(words: Words) -> Inside:
    return hand_switch(words, WORDS, role="rcd")


KIND = Kind(
    "rcbo",
    "residual-current breaker with overcurrent",
    "Q",
    {**FIGURES, **BREAKER},
    _inside,
    WORDS,
    series=True,
)
