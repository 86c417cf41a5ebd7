"""A box where the strings of an array meet, with or without a fuse a string."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC, number_of, said
from ohmwright.kinds.specs import INTERRUPT

WORDS = {
    "strings": WordSpec("how many strings it takes", (), "2"),
    "fused": WordSpec("has each string a fuse in its plus", ("yes", "no"), "no"),
}


def _inside(words: Words) -> Inside:
    letters = "abcdefghijkl"[: number_of(words, WORDS, "strings", 12)]
    fused = said(words, WORDS, "fused") == "yes"
    ports = (*(Port(c, DC, "pv") for c in letters), Port("out", DC, "pv", takes=2))
    inner = [
        Inner(f"string-{c}", "conductor", f"{c}.+", "out.+", "string-fuse" if fused else "bar", "resistance")
        for c in letters
    ]
    inner += [Inner(f"return-{c}", "conductor", f"{c}.-", "out.-", "bar", "resistance") for c in letters]
    return Inside(ports, tuple(inner))


KIND = Kind(
    "string-join",
    "string box",
    "X",
    {
        "rated": FigureSpec("A", "current of its output", "degC"),
        "voltage": FigureSpec("V", "highest DC voltage"),
        "string_fuse": FigureSpec("A", "rating of the string fuses fitted"),
        **INTERRUPT,
        "resistance": FigureSpec("ohm", "resistance of a string's path"),
    },
    _inside,
    WORDS,
)
