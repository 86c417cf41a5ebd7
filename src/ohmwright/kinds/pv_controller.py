"""A PV controller that seeks the maximum power point: a converter, one way."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, SELF_USE, TRISTATE

WORDS = {
    **CHARGER_WORDS,
    "backfeed": WordSpec("can battery current flow back to the array through it", TRISTATE, "unknown"),
    "negative": WordSpec(
        "is the array's minus joined to the battery's inside", ("common", "separate", "unknown"), "common"
    ),
    "battery_first": WordSpec("must the battery be connected before the array", TRISTATE, "unknown"),
    "ground_fault": WordSpec("does it watch for a ground fault of the array", TRISTATE, "unknown"),
    "surplus": WordSpec(
        "has it a free contact that closes when there is power to spare", ("yes", "no"), "no"
    ),
    "probe": WordSpec("battery temperature probe", ("fitted", "none", "unknown"), "unknown"),
}


def _inside(words: Words) -> Inside:
    ports = [Port("pv", DC, "pv"), Port("bat", DC), Port("case", ("PE",), "case", may_stay_free=True)]
    inner = [Inner("tracker", "converter", "pv.+", "pv.-", "tracker", out_a="bat.+", out_b="bat.-")]
    variables: list[Variable] = []
    if said(words, WORDS, "negative") != "separate":
        inner.append(Inner("common", "conductor", "pv.-", "bat.-", "common"))
    if said(words, WORDS, "surplus") == "yes":
        ports += [
            Port("surplus.line", ("",), "signal", may_stay_free=True),
            Port("surplus.load", ("",), "signal", may_stay_free=True),
        ]
        inner.append(
            Inner(
                "surplus",
                "switch",
                "surplus.line",
                "surplus.load",
                "contact",
                when=(("surplus", frozenset({"on"})),),
            )
        )
        variables.append(Variable("surplus", ("off", "on"), "outside"))
    return Inside(tuple(ports), tuple(inner), tuple(variables))


KIND = Kind(
    "pv-controller",
    "PV controller, maximum power point",
    "U",
    {
        "max_pv_voltage": FigureSpec("V", "array voltage that destroys it when passed"),
        "max_pv_short_circuit": FigureSpec("A", "array short-circuit current it may be wired to"),
        "max_pv_power": FigureSpec("W", "array power it can use"),
        "output_current": FigureSpec("A", "largest output current", "degC"),
        "start_margin": FigureSpec("V", "volts above the battery at which it starts"),
        "run_margin": FigureSpec("V", "volts above the battery that it needs to go on"),
        "efficiency": FigureSpec("1", "power out over power in", default="97 %"),
        "derate": FigureSpec("%/K", "loss of output above its rated temperature"),
        "battery_voltage_max": FigureSpec("V", "highest battery voltage it is made for"),
        "fuse_max": FigureSpec("A", "largest overcurrent device at its battery side"),
        **CHARGER,
        **SELF_USE,
    },
    _inside,
    WORDS,
)
