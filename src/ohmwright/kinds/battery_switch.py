"""A battery switch."""

from ohmwright.kinds.base import FigureSpec, Inside, Kind, Words, WordSpec
from ohmwright.kinds.shape import SERIES_WORDS, hand_switch
from ohmwright.kinds.specs import RESISTANCE, TRISTATE

WORDS = {
    **SERIES_WORDS,
    "poles": WordSpec("how many conductors it breaks", ("1", "2"), "1"),
    "load_break": WordSpec("may it be opened under load", TRISTATE, "unknown"),
    "field_disconnect": WordSpec(
        "has it a contact that takes an alternator's field off first", TRISTATE, "unknown"
    ),
    "lockable": WordSpec("can it be locked open", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    return hand_switch(words, WORDS)


KIND = Kind(
    "battery-switch",
    "battery switch",
    "Q",
    {
        "rated": FigureSpec("A", "current it carries for ever", "degC"),
        "intermittent": FigureSpec("A", "current it carries for a few minutes", "s"),
        "cranking": FigureSpec("A", "current it carries while an engine is cranked", "s"),
        "voltage": FigureSpec("V", "highest voltage it may make and break"),
        "withstand": FigureSpec("A", "short-circuit current it withstands", "s"),
        **RESISTANCE,
    },
    _inside,
    WORDS,
    series=True,
)
