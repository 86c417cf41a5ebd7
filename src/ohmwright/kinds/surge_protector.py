"""A supply guard: it lets a supply through only while voltage, frequency and earth are right."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import AC, SPLIT, said

WORDS = {"split": WordSpec("two legs and a neutral", ("yes", "no"), "no")}


def _inside(words: Words) -> Inside:
    poles = SPLIT if said(words, WORDS, "split") == "yes" else AC
    when = (("", frozenset({"closed"})),)
    inner = tuple(
        Inner(
            f"guard-{p}",
            "conductor" if p == "PE" else "switch",
            f"in.{p}",
            f"out.{p}",
            "through" if p == "PE" else "contact",
            when=() if p == "PE" else when,
        )
        for p in poles
    )
    return Inside(
        (Port("in", poles, "ac"), Port("out", poles, "ac")),
        inner,
        (Variable("", ("closed", "open"), "automatic", "live:in"),),
    )


KIND = Kind(
    "surge-protector",
    "supply guard",
    "K",
    {
        "rated": FigureSpec("A", "current it carries for ever"),
        "voltage_low": FigureSpec("V", "voltage below which it opens"),
        "voltage_high": FigureSpec("V", "voltage above which it opens"),
        "delay": FigureSpec("s", "time it waits before it closes"),
    },
    _inside,
    WORDS,
)
