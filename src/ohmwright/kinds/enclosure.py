"""An enclosure: it holds parts and carries no current."""

from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.shape import nothing
from ohmwright.kinds.specs import TRISTATE

KIND = Kind(
    "enclosure",
    "enclosure",
    "X",
    {
        "heat_conductance": FigureSpec("W/K", "heat it passes for each kelvin"),
        "vent_area": FigureSpec("mm2", "free area of its vents"),
        "airflow": FigureSpec("m3/h", "air that a fan in it moves"),
        "width": FigureSpec("m", "usable width"),
        "height": FigureSpec("m", "usable height"),
        "depth": FigureSpec("m", "usable depth"),
    },
    nothing,
    {
        "material": WordSpec("what it is made of"),
        "vented_outside": WordSpec("is it vented to the outside only", TRISTATE, "unknown"),
    },
)
