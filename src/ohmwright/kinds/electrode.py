"""An earth electrode: `on: ground` bolts its buried end to the ground."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec


def _inside(_: Words) -> Inside:
    return Inside(
        (
            Port("rod", ("PE",), "earth", takes=2),
            Port("buried", ("PE",), "case", takes=0, may_stay_free=True),
        ),
        (Inner("soil", "conductor", "rod.PE", "buried.PE", "electrode", "resistance"),),
    )


KIND = Kind(
    "electrode",
    "earth electrode",
    "E",
    {
        "resistance": FigureSpec("ohm", "resistance to earth, as measured"),
        "length": FigureSpec("m", "length in the ground"),
        "diameter": FigureSpec("m", "diameter"),
    },
    _inside,
    {"material": WordSpec("what it is made of")},
)
