"""A charger from one DC system to another: from an alternator or a tow vehicle to the house bank."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, When, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, SELF_USE, TRISTATE

WORDS = {
    **CHARGER_WORDS,
    "isolated": WordSpec("are its two sides apart", ("yes", "no"), "no"),
    "both_directions": WordSpec("can it also charge the other way", TRISTATE, "no"),
    "trigger": WordSpec("what starts it: ignition, engine voltage, always"),
    "run_by": WordSpec("the outside variable that starts it"),
}


def _inside(words: Words) -> Inside:
    runs: tuple[Variable, ...] = ()
    when: When = ()
    if said(words, WORDS, "run_by"):
        runs, when = (
            (Variable("run", ("stopped", "running"), "outside", "run-by"),),
            (("run", frozenset({"running"})),),
        )
    both = said(words, WORDS, "both_directions") == "yes"
    if said(words, WORDS, "isolated") == "yes":
        ports: tuple[Port, ...] = (Port("in", DC), Port("out", DC))
        in_b, out_b = "in.-", "out.-"
    else:
        ports = (Port("in", ("+",)), Port("out", ("+",)), Port("common", ("-",), takes=2))
        in_b = out_b = "common.-"
    return Inside(
        (*ports, Port("case", ("PE",), "case", may_stay_free=True)),
        (
            Inner(
                "charger",
                "converter",
                "in.+",
                in_b,
                "dcdc",
                when=when,
                out_a="out.+",
                out_b=out_b,
                both_ways=both,
            ),
        ),
        runs,
    )


KIND = Kind(
    "dcdc-charger",
    "DC-DC charger",
    "U",
    {
        "output_current": FigureSpec("A", "largest charging current", "degC"),
        "output_current_60": FigureSpec("A", "the same at 60 degC", "degC"),
        "input_current": FigureSpec("A", "largest input current"),
        "input_voltage_min": FigureSpec("V", "lowest input voltage"),
        "input_voltage_max": FigureSpec("V", "highest input voltage"),
        "output_voltage": FigureSpec("V", "nominal output voltage"),
        "efficiency": FigureSpec("1", "power out over power in", default="90 %"),
        "fuse_in": FigureSpec("A", "input fuse the maker names"),
        "fuse_out": FigureSpec("A", "output fuse the maker names"),
        **CHARGER,
        **SELF_USE,
    },
    _inside,
    WORDS,
)
