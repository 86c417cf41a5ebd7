"""The tow vehicle's auxiliary supply at the hitch. It is there while the plug is in."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("aux", DC),),
        (Inner("tow", "source", "aux.+", "aux.-", "tow-vehicle", "resistance", (("", frozenset({"in"})),)),),
        (Variable("", ("out", "in"), "hand"),),
    )


KIND = Kind(
    "tow-socket",
    "tow socket",
    "J",
    {
        "rated": FigureSpec("A", "current its contacts carry for ever"),
        "voltage": FigureSpec("V", "voltage while the tow vehicle's engine runs"),
        "resistance": FigureSpec("ohm", "source and loop resistance at the socket"),
        "fuse": FigureSpec("A", "fuse at the tow vehicle's battery"),
        "limit": FigureSpec("A", "most current it can ever push"),
    },
    _inside,
    {"own": WordSpec("is it ours", ("yes", "no"), "no")},
)
