"""An isolation transformer. Energy may enter at either side; no conductor passes."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Words, WordSpec
from ohmwright.kinds.shape import AC, said

WORDS = {
    "soft_start": WordSpec("does it limit its inrush", ("yes", "no", "unknown"), "unknown"),
    "bond": WordSpec("what joins neutral and earth at its secondary, inside it", ("none", "fitted"), "none"),
}


def _inside(words: Words) -> Inside:
    inner = [
        Inner(
            "windings",
            "converter",
            "primary.L",
            "primary.N",
            "transformer",
            out_a="secondary.L",
            out_b="secondary.N",
            both_ways=True,
        ),
        Inner("case", "conductor", "secondary.PE", "case.PE", "through"),
    ]
    if said(words, WORDS, "bond") == "fitted":
        inner.append(Inner("bond", "conductor", "secondary.N", "secondary.PE", "bond"))
    return Inside(
        (
            Port("primary", ("L", "N"), "ac"),
            Port("secondary", AC, "ac", takes=2),
            Port("screen", ("PE",), "earth"),
            Port("case", ("PE",), "case", may_stay_free=True),
        ),
        tuple(inner),
    )


KIND = Kind(
    "isolation-transformer",
    "isolation transformer",
    "T",
    {
        "apparent_power": FigureSpec("VA", "continuous apparent power", "degC"),
        "ac_voltage": FigureSpec("V", "voltage of both sides"),
        "ratio": FigureSpec("1", "secondary volts over primary volts, no load"),
        "resistance": FigureSpec("ohm", "short-circuit resistance seen from the secondary"),
        "reactance": FigureSpec("ohm", "short-circuit reactance seen from the secondary"),
        "idle": FigureSpec("W", "power with no load", default="20 W"),
        "efficiency": FigureSpec("1", "power out over power in", default="96 %"),
        "inrush": FigureSpec("A", "inrush current, peak", "s"),
    },
    _inside,
    WORDS,
)
