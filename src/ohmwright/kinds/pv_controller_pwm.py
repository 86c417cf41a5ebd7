"""A PV controller that only switches the array to the battery: not a converter, so current can flow back."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, SELF_USE, TRISTATE

WORDS = {
    **CHARGER_WORDS,
    "backfeed": WordSpec("can battery current flow back to the array through it", TRISTATE, "unknown"),
    "common": WordSpec("which pole runs through it unswitched", ("negative", "positive"), "negative"),
    "battery_first": WordSpec("must the battery be connected before the array", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    switched, through = ("+", "-") if said(words, WORDS, "common") == "negative" else ("-", "+")
    return Inside(
        (Port("pv", DC, "pv"), Port("bat", DC), Port("case", ("PE",), "case", may_stay_free=True)),
        (
            Inner(
                "pulse",
                "switch",
                f"pv.{switched}",
                f"bat.{switched}",
                "pulse",
                when=(("", frozenset({"closed"})),),
            ),
            Inner("common", "conductor", f"pv.{through}", f"bat.{through}", "common"),
        ),
        (Variable("", ("closed", "open"), "outside"),),
    )


KIND = Kind(
    "pv-controller-pwm",
    "PV controller, pulse width",
    "U",
    {
        "max_pv_voltage": FigureSpec("V", "array voltage that destroys it when passed"),
        "max_pv_short_circuit": FigureSpec("A", "array short-circuit current it may be wired to"),
        "output_current": FigureSpec("A", "largest output current", "degC"),
        "derate": FigureSpec("%/K", "loss of output above its rated temperature"),
        "drop": FigureSpec("V", "drop from array to battery while it conducts", default="0.4 V"),
        "battery_voltage_max": FigureSpec("V", "highest battery voltage it is made for"),
        **CHARGER,
        **SELF_USE,
    },
    _inside,
    WORDS,
)
