"""What holds modules to a roof, wall or arch."""

from ohmwright.kinds.base import FigureSpec, Kind, WordSpec
from ohmwright.kinds.shape import nothing

KIND = Kind(
    "mounting",
    "mounting",
    "X",
    {
        "pull_out": FigureSpec("N", "pull-out force of one fastener in its substrate"),
        "gap": FigureSpec("m", "air gap under the module"),
        "feet": FigureSpec("1", "feet a module"),
    },
    nothing,
    {
        "system": WordSpec(
            "how it holds", ("screwed", "bonded", "rail", "tilt", "clamp", "unknown"), "unknown"
        ),
        "substrate": WordSpec("what it is fastened to"),
        "material": WordSpec("what it is made of"),
    },
)
