"""A thermostat contact."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Variable, Words
from ohmwright.kinds.shape import in_line
from ohmwright.kinds.specs import RESISTANCE


def _inside(_: Words) -> Inside:
    ports, inner = in_line(("",), role="contact", when=(("", frozenset({"closed"})),))
    return Inside(ports, inner, (Variable("", ("open", "closed"), "outside"),))


KIND = Kind(
    "thermostat",
    "thermostat",
    "K",
    {
        "rated": FigureSpec("A", "current it breaks", "V"),
        "voltage": FigureSpec("V", "highest voltage it may break"),
        "accuracy": FigureSpec("K", "error of its set point"),
        **RESISTANCE,
    },
    _inside,
    series=True,
)
