"""A heater pad under or around a battery."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words
from ohmwright.kinds.shape import DC


def _inside(_: Words) -> Inside:
    return Inside((Port("", DC),), (Inner("element", "load", "+", "-", "resistive"),))


KIND = Kind(
    "pad-heater",
    "heater pad",
    "E",
    {
        "power": FigureSpec("W", "power at its rated voltage"),
        "voltage": FigureSpec("V", "rated voltage"),
        "surface_max": FigureSpec("degC", "hottest it can become"),
    },
    _inside,
)
