"""An AC outlet: wired at its back, a socket in front."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import AC, said

WORDS = {
    "gfci": WordSpec("has it its own residual-current protection", ("class-a", "none", "unknown"), "none"),
    "wet": WordSpec("is it in a wet place", ("yes", "no", "unknown"), "unknown"),
}


def _inside(words: Words) -> Inside:
    ports = (Port("", AC, "ac", takes=2), Port("socket", AC, "ac", "socket", may_stay_free=True))
    if said(words, WORDS, "gfci") == "class-a":
        when = (("", frozenset({"closed"})),)
        inner = tuple(Inner(f"trip-{p}", "switch", p, f"socket.{p}", "rcd", when=when) for p in ("L", "N"))
        return Inside(
            ports,
            (*inner, Inner("contact-PE", "conductor", "PE", "socket.PE", "through")),
            (Variable("", ("closed", "open"), "hand"),),
        )
    return Inside(ports, tuple(Inner(f"contact-{p}", "conductor", p, f"socket.{p}", "through") for p in AC))


KIND = Kind(
    "outlet",
    "outlet",
    "J",
    {"rated": FigureSpec("A", "current it carries"), "voltage": FigureSpec("V", "its voltage")},
    _inside,
    WORDS,
)
