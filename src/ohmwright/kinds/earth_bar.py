"""An earth bar: studs on one piece of metal."""

from ohmwright.kinds.bars import bar, bar_words
from ohmwright.kinds.base import FigureSpec, Kind
from ohmwright.kinds.specs import RESISTANCE

KIND = Kind(
    "earth-bar",
    "earth bar",
    "X",
    {
        "studs": FigureSpec("1", "number of studs"),
        **RESISTANCE,
    },
    bar("earth"),
    bar_words("8"),
)
