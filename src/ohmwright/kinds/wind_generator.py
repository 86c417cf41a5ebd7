"""A generator driven by the wind."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import by_speed


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("", DC),),
        (
            Inner(
                "winding", "source", "+", "-", "wind-generator", "resistance", (("run", frozenset({"yes"})),)
            ),
        ),
        (Variable("run", ("no", "yes"), "outside", "run-by"),),
    )


KIND = Kind(
    "wind-generator",
    "wind generator",
    "G",
    {
        "power": FigureSpec("W", "rated electrical power", "m/s"),
        "power_max": FigureSpec("W", "most it can ever give"),
        **by_speed("m/s"),
        "open_circuit": FigureSpec("V", "voltage without load", "m/s"),
        "limit": FigureSpec("A", "most current it can ever push"),
        "resistance": FigureSpec("ohm", "source resistance"),
    },
    _inside,
    {
        "run_by": WordSpec("the outside variable that says the wind turns it"),
        "stopped_by": WordSpec("how it is stopped"),
    },
)
