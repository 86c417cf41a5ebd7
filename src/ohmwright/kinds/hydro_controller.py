"""A charge controller of a hydrogenerator or wind generator; what the bank does not take goes to a dump load."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, SELF_USE, TRISTATE


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("in", DC), Port("out", DC), Port("case", ("PE",), "case", may_stay_free=True)),
        (
            Inner("charger", "converter", "in.+", "in.-", "dcdc", out_a="out.+", out_b="out.-"),
            Inner("common", "conductor", "in.-", "out.-", "common"),
        ),
    )


KIND = Kind(
    "hydro-controller",
    "hydro or wind generator controller",
    "U",
    {
        "output_current": FigureSpec("A", "largest output current", "degC"),
        "dump_power": FigureSpec("W", "power its dump load takes"),
        "efficiency": FigureSpec("1", "power out over power in", default="92 %"),
        **CHARGER,
        **SELF_USE,
    },
    _inside,
    {**CHARGER_WORDS, "dump": WordSpec("has it a dump load", TRISTATE, "unknown")},
)
