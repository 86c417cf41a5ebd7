"""An engine's alternator. A frame-return one gives its current between its stud and its case."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "returns_by": WordSpec("where its current returns", ("case", "stud", "unknown"), "case"),
    "regulator": WordSpec(
        "who sets its voltage", ("fixed", "variable-voltage", "outside", "unknown"), "unknown"
    ),
    "run_by": WordSpec("the outside variable that says its engine runs"),
    "battery_loss": WordSpec(
        "what it does when its battery is cut off", ("survives", "fails", "unknown"), "unknown"
    ),
    "charges": WordSpec(
        "the chemistry its regulator is set for", ("lfp", "lead", "any", "none", "unknown"), "lead"
    ),
    "temperature_sensor": WordSpec("does its regulator read its temperature", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    when = (("run", frozenset({"running"})),)
    runs = (Variable("run", ("stopped", "running"), "outside", "run-by"),)
    if said(words, WORDS, "returns_by") == "stud":
        ports = (Port("", ("+", "-")), Port("case", ("PE",), "case", may_stay_free=True))
        return Inside(ports, (Inner("winding", "source", "+", "-", "alternator", "resistance", when),), runs)
    ports = (Port("", ("+",)), Port("case", ("-",), "case", may_stay_free=True))
    return Inside(ports, (Inner("winding", "source", "+", "case.-", "alternator", "resistance", when),), runs)


KIND = Kind(
    "alternator",
    "alternator",
    "G",
    {
        "rated": FigureSpec("A", "current cold at its rated speed", "rpm"),
        "output_hot_idle": FigureSpec("A", "current hot at idle", "rpm"),
        "output_hot_cruise": FigureSpec("A", "current hot at cruise", "rpm"),
        "limit": FigureSpec("A", "most current it can ever push"),
        "voltage": FigureSpec("V", "regulated voltage", "degC"),
        "voltage_min": FigureSpec("V", "lowest voltage of a variable-voltage one"),
        "resistance": FigureSpec("ohm", "source resistance"),
        "continuous": FigureSpec("1", "part of its output it may give for ever"),
        "case_max": FigureSpec("degC", "highest case temperature"),
        "efficiency": FigureSpec("1", "power out over shaft power", default="55 %"),
    },
    _inside,
    WORDS,
)
