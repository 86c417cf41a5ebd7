"""An inlet: bare pins that a cord plugs onto. The cord and the fixed wiring meet on its terminals."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import AC, SPLIT, said

WORDS = {
    "split": WordSpec("two legs and a neutral", ("yes", "no"), "no"),
    "locking": WordSpec("does the plug lock or screw on", ("yes", "no", "unknown"), "unknown"),
}


def _inside(words: Words) -> Inside:
    poles = SPLIT if said(words, WORDS, "split") == "yes" else AC
    return Inside((Port("", poles, "ac", "pins", takes=2),), ())


KIND = Kind(
    "shore-inlet",
    "inlet",
    "J",
    {"rated": FigureSpec("A", "current it carries"), "voltage": FigureSpec("V", "its voltage")},
    _inside,
    WORDS,
)
