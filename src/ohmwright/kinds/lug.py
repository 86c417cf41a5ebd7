"""A cable lug."""

from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.shape import nothing

KIND = Kind(
    "lug",
    "lug",
    "X",
    {
        "area": FigureSpec("mm2", "conductor it is made for"),
        "width": FigureSpec("m", "width of its tongue"),
        "barrel": FigureSpec("m", "length of its barrel"),
        "pull": FigureSpec("N", "pull-test force of the standard for this size"),
    },
    nothing,
    {
        "tinned": WordSpec("is it tinned", ("yes", "no", "unknown"), "unknown"),
        "strand_class": WordSpec("conductor class it is made for"),
        "die": WordSpec("die its maker names"),
    },
)
