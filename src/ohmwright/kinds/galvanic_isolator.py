"""A galvanic isolator in the shore earth: it blocks corrosion volts and passes fault current."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Words, WordSpec
from ohmwright.kinds.shape import in_line
from ohmwright.kinds.specs import RESISTANCE, TRISTATE


def _inside(_: Words) -> Inside:
    ports, inner = in_line(("PE",), role="galvanic-isolator", kind="conductor", current="ac")
    return Inside(ports, inner)


KIND = Kind(
    "galvanic-isolator",
    "galvanic isolator",
    "V",
    {
        "rated": FigureSpec("A", "fault current it passes for ever"),
        "blocks": FigureSpec("V", "DC volts it blocks"),
        "withstand": FigureSpec("A", "fault current it withstands", "s"),
        **RESISTANCE,
    },
    _inside,
    {
        "monitored": WordSpec("does it show its own failure", TRISTATE, "unknown"),
        "fail_safe": WordSpec("does it fail to a closed earth", TRISTATE, "unknown"),
    },
    series=True,
)
