"""An anchor windlass: a motor whose direction follows its polarity. Paying out it can push current back."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.specs import TRISTATE


def _inside(_: Words) -> Inside:
    return Inside((Port("", ("A", "B")),), (Inner("motor", "load", "A", "B", "motor"),))


KIND = Kind(
    "windlass",
    "windlass",
    "D",
    {
        "power": FigureSpec("W", "rated power"),
        "running_current": FigureSpec("A", "current at working load"),
        "stall_current": FigureSpec("A", "current when it stalls"),
        "voltage": FigureSpec("V", "nominal voltage"),
        "min_voltage": FigureSpec("V", "lowest voltage the maker allows at its terminals"),
        "breaker": FigureSpec("A", "breaker the maker names"),
    },
    _inside,
    {"regenerates": WordSpec("can it push current back while it pays out", TRISTATE, "unknown")},
)
