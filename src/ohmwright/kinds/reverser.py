"""A reversing box for a motor: up, down, off. Four contacts, two at a time."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words
from ohmwright.kinds.shape import DC
from ohmwright.kinds.specs import RESISTANCE


def _inside(_: Words) -> Inside:
    ways = (("up", "+", "A"), ("up", "-", "B"), ("down", "+", "B"), ("down", "-", "A"))
    return Inside(
        (Port("line", DC), Port("motor", ("A", "B"))),
        tuple(
            Inner(
                f"{way}.{pole}",
                "switch",
                f"line.{pole}",
                f"motor.{end}",
                "contact",
                "resistance",
                (("", frozenset({way})),),
            )
            for way, pole, end in ways
        ),
        (Variable("", ("off", "up", "down"), "hand"),),
    )


KIND = Kind(
    "reverser",
    "reversing contactors",
    "K",
    {
        "rated": FigureSpec("A", "current it carries", "s"),
        "voltage": FigureSpec("V", "highest voltage it may break"),
        "coil_power": FigureSpec("W", "power its coils take while it runs"),
        **RESISTANCE,
    },
    _inside,
)
