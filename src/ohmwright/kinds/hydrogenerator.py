"""A generator driven by the boat's way through the water."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import by_speed


def _inside(_: Words) -> Inside:
    return Inside(
        (Port("", DC),),
        (
            Inner(
                "winding", "source", "+", "-", "hydrogenerator", "resistance", (("run", frozenset({"yes"})),)
            ),
        ),
        (Variable("run", ("no", "yes"), "outside", "run-by"),),
    )


KIND = Kind(
    "hydrogenerator",
    "hydrogenerator",
    "G",
    {
        "power": FigureSpec("W", "electrical power", "kn"),
        "power_max": FigureSpec("W", "most it can ever give"),
        **by_speed("kn"),
        "open_circuit": FigureSpec("V", "voltage without load", "kn"),
        "limit": FigureSpec("A", "most current it can ever push"),
        "resistance": FigureSpec("ohm", "source resistance"),
    },
    _inside,
    {
        "run_by": WordSpec("the outside variable that says the boat moves"),
        "stows": WordSpec("how it is taken out of the water"),
    },
)
