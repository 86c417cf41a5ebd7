"""A DC-DC supply: it feeds loads at another voltage, or at a steady one. It charges nothing."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import SELF_USE

WORDS = {"isolated": WordSpec("are its two sides apart", ("yes", "no"), "no")}


def _inside(words: Words) -> Inside:
    inner = [Inner("supply", "converter", "in.+", "in.-", "dcdc-supply", out_a="out.+", out_b="out.-")]
    if said(words, WORDS, "isolated") == "no":
        inner.append(Inner("common", "conductor", "in.-", "out.-", "common"))
    return Inside(
        (Port("in", DC), Port("out", DC), Port("case", ("PE",), "case", may_stay_free=True)), tuple(inner)
    )


KIND = Kind(
    "dcdc-supply",
    "DC-DC supply",
    "U",
    {
        "output_current": FigureSpec("A", "largest output current", "degC"),
        "output_voltage": FigureSpec("V", "output voltage"),
        "output_peak": FigureSpec("A", "output current for a short time", "s"),
        "input_current": FigureSpec("A", "largest input current"),
        "input_voltage_min": FigureSpec("V", "lowest input voltage"),
        "input_voltage_max": FigureSpec("V", "highest input voltage"),
        "efficiency": FigureSpec("1", "power out over power in", default="90 %"),
        **SELF_USE,
    },
    _inside,
    WORDS,
)
