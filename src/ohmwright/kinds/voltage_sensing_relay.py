"""A relay that parallels two banks while one of them is being charged."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import in_line, said
from ohmwright.kinds.specs import RESISTANCE, SELF_USE

WORDS = {
    "senses": WordSpec("the side whose voltage closes it", ("line", "load", "both", "unknown"), "unknown"),
    "takes": WordSpec("how many conductors one of its terminals takes", ("1", "2", "3", "4"), "1"),
}


def _inside(words: Words) -> Inside:
    said(words, WORDS, "senses")
    ports, inner = in_line(
        ("",), role="contact", when=(("", frozenset({"closed"})),), takes=int(said(words, WORDS, "takes"))
    )
    reference = Port("reference", ("-",), "signal", may_stay_free=True)
    return Inside(
        (*ports, reference), inner, (Variable("", ("open", "closed"), "automatic", "voltage-sensing"),)
    )


KIND = Kind(
    "voltage-sensing-relay",
    "voltage-sensing relay",
    "K",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "closes_at": FigureSpec("V", "voltage at which it closes"),
        "opens_at": FigureSpec("V", "voltage at which it opens"),
        "delay": FigureSpec("s", "time it waits"),
        **RESISTANCE,
        **SELF_USE,
    },
    _inside,
    WORDS,
    series=True,
)
