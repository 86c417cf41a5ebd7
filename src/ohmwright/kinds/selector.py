"""A hand selector: one common side, two ways, perhaps an off position. Make and break: never both."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS, named, poles_of, said
from ohmwright.kinds.specs import RESISTANCE, TRISTATE

WORDS = {
    **SERIES_WORDS,
    "off": WordSpec("has it an off position", ("yes", "no"), "yes"),
    "load_break": WordSpec("may it be turned under load", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    poles = poles_of(words, WORDS)
    takes = int(said(words, WORDS, "takes"))
    of = "ac" if said(words, WORDS, "current") == "ac" else "dc"
    ports = tuple(Port(p, poles, "ac" if of == "ac" else "dc", takes=takes) for p in ("common", "a", "b"))
    inner = tuple(
        Inner(
            named(f"to-{way}", p),
            "switch",
            named(way, p),
            named("common", p),
            "contact",
            "resistance",
            (("", frozenset({way})),),
        )
        for way in ("a", "b")
        for p in poles
    )
    states = ("a", "b", "off") if said(words, WORDS, "off") == "yes" else ("a", "b")
    return Inside(ports, inner, (Variable("", states, "hand"),))


KIND = Kind(
    "selector",
    "selector switch",
    "Q",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "intermittent": FigureSpec("A", "current it carries for a few minutes", "s"),
        "cranking": FigureSpec("A", "current it carries while an engine is cranked", "s"),
        "voltage": FigureSpec("V", "highest voltage it may make and break"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
)
