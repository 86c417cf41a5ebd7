"""Cable by the metre. A run names its cable by size and words; the shelf gives its price, mass and outside diameter."""

from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.shape import nothing
from ohmwright.kinds.specs import TRISTATE

KIND = Kind(
    "cable",
    "cable",
    "W",
    {
        "area": FigureSpec("mm2", "cross-section of one conductor"),
        "cores": FigureSpec("1", "number of cores"),
        "insulation": FigureSpec("degC", "temperature class of its insulation"),
        "voltage": FigureSpec("V", "highest voltage"),
        "diameter": FigureSpec("m", "outside diameter"),
        "bend_radius": FigureSpec("m", "smallest bend"),
        "linear_mass": FigureSpec("kg/m", "mass a metre"),
        "linear_resistance": FigureSpec("ohm/m", "resistance a metre", "degC"),
    },
    nothing,
    {
        "material": WordSpec("what conducts", ("copper", "tinned", "cca", "unknown"), "unknown"),
        "strand_class": WordSpec("strand class", ("2", "5", "6", "unknown"), "unknown"),
        "marking": WordSpec("what is printed on it"),
        "use": WordSpec(
            "what it is for", ("battery", "pv", "ac", "flexible", "earth", "general", "unknown"), "unknown"
        ),
        "sunlight": WordSpec("does its sheath withstand sunlight", TRISTATE, "unknown"),
        "size_name": WordSpec("its size as the trade says it"),
    },
)
