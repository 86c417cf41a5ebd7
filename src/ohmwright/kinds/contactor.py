"""A contactor or relay: closed while its coil is energised."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, SERIES_WORDS, in_line, poles_of, said
from ohmwright.kinds.specs import RESISTANCE, TRISTATE

WORDS = {
    **SERIES_WORDS,
    "coil": WordSpec("what its coil wants", ("dc", "ac"), "dc"),
    "polarised": WordSpec("does it break only one direction of current", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    ports, inner = in_line(
        poles_of(words, WORDS),
        role="contact",
        when=(("", frozenset({"closed"})),),
        takes=int(said(words, WORDS, "takes")),
        current=said(words, WORDS, "current"),
    )
    ac = said(words, WORDS, "coil") == "ac"
    coil = Port("coil", ("L", "N") if ac else DC, "ac" if ac else "dc")
    a, b = coil.terminals()
    return Inside(
        (*ports, coil),
        (*inner, Inner("coil", "load", a, b, "coil")),
        (Variable("", ("open", "closed"), "automatic", "coil:coil"),),
    )


KIND = Kind(
    "contactor",
    "contactor",
    "K",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "voltage": FigureSpec("V", "highest voltage it may break"),
        "break_current": FigureSpec("A", "most current it can break", "V"),
        "coil_power": FigureSpec("W", "power its coil takes while it holds"),
        "coil_voltage": FigureSpec("V", "coil voltage"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
    series=True,
)
