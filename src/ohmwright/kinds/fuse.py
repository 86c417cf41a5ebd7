"""A fuse with its holder. Interrupt ratings stand at each printed DC voltage, lowest voltage first."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Words, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS, in_line, said
from ohmwright.kinds.specs import HOLDS, INTERRUPT, RESISTANCE, TRIPS, TRISTATE

WORDS = {
    "takes": SERIES_WORDS["takes"],
    "class": WordSpec(
        "class of the fuse",
        (
            "class-t",
            "class-j",
            "nh",
            "gpv",
            "dc-power",
            "bolt",
            "strip",
            "terminal-post",
            "blade",
            "audio",
            "unknown",
        ),
        "unknown",
    ),
    "holder": WordSpec("the holder it sits in"),
    "covered": WordSpec("are its live parts covered", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    said(words, WORDS, "class")
    ports, inner = in_line(("",), role="fuse", kind="conductor", takes=int(said(words, WORDS, "takes")))
    return Inside(ports, inner)


KIND = Kind(
    "fuse",
    "fuse",
    "F",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "voltage": FigureSpec("V", "highest DC voltage it may break"),
        **INTERRUPT,
        "melting": FigureSpec("A2s", "melting integral"),
        "clearing": FigureSpec("A2s", "clearing integral at its rated voltage"),
        **TRIPS,
        "holds_at_110": FigureSpec("s", "shortest time at 110 % of its rating"),
        **HOLDS,
        "derate": FigureSpec("%/K", "loss of its rating above its rated temperature"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
    series=True,
)
