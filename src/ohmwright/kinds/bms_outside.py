"""A battery management outside the batteries: it holds a contactor while the bank is well.

Its holding output is a high-side contact from its own supply: current returns through the supply's minus.
"""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, number_of
from ohmwright.kinds.specs import SELF_USE

WORDS = {
    "batteries": WordSpec("how many batteries it watches", (), "2"),
    "watches": WordSpec("the bank it watches"),
    "wakes": WordSpec("what brings it back after it has opened, in the maker's words"),
}


def _inside(words: Words) -> Inside:
    leads = tuple(
        Port(f"b{i}", ("sig",), "data") for i in range(1, number_of(words, WORDS, "batteries", 16) + 1)
    )
    return Inside(
        (
            Port("supply", DC),
            Port("hold", ("+",), "signal"),
            Port("stop-charge", ("sig",), "signal", may_stay_free=True),
            Port("stop-loads", ("sig",), "signal", may_stay_free=True),
            *leads,
        ),
        (
            Inner(
                "hold", "switch", "supply.+", "hold.+", "hold", when=(("", frozenset({"normal", "warn"})),)
            ),
            Inner("electronics", "load", "supply.+", "supply.-", "electronics"),
        ),
        (Variable("", ("normal", "warn", "open"), "outside", "bms"),),
    )


KIND = Kind(
    "bms-outside",
    "battery management, outside the batteries",
    "A",
    {
        **SELF_USE,
        "hold_current": FigureSpec("A", "most its holding output can give"),
        "warns_before": FigureSpec("s", "time between its warning and its opening"),
        "charge_min_temperature": FigureSpec("degC", "temperature below which it stops charging"),
    },
    _inside,
    WORDS,
)
