"""What an inverter and an inverter-charger have in common."""

from ohmwright.kinds.base import FigureSpec, Inner, Variable, When, Words, WordSpec
from ohmwright.kinds.shape import said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "split": WordSpec("two legs half a turn apart with a neutral between", ("yes", "no"), "no"),
    "ac_out_bond": WordSpec(
        "what joins neutral and earth at its output", ("relay", "fitted", "none", "unknown"), "unknown"
    ),
    "ground_relay": WordSpec(
        "setting of its neutral-earth relay", ("enabled", "disabled", "unknown"), "unknown"
    ),
    "cutoff_load_corrected": WordSpec("does its cut-off allow for the drop of the load", TRISTATE, "unknown"),
    "waveform": WordSpec("shape of its output", ("sine", "modified", "unknown"), "unknown"),
}

FIGURES = {
    "power": FigureSpec("W", "continuous power", "degC"),
    "power_40": FigureSpec("W", "continuous power at 40 degC", "degC"),
    "power_60": FigureSpec("W", "continuous power at 60 degC", "degC"),
    "apparent_power": FigureSpec("VA", "continuous apparent power", "degC"),
    "surge": FigureSpec("W", "power for a short time", "s"),
    "surge_2": FigureSpec("W", "the same for another time", "s"),
    "idle": FigureSpec("W", "power it takes with no load", default="20 W"),
    "idle_sensing": FigureSpec("W", "the same in idle sensing"),
    "efficiency_peak": FigureSpec("1", "best efficiency", default="93 %"),
    "efficiency_full": FigureSpec("1", "efficiency at full continuous power", default="88 %"),
    "cutoff_voltage": FigureSpec("V", "DC voltage at which it stops, as delivered"),
    "voltage_max": FigureSpec("V", "highest DC voltage at its terminals"),
    "ripple_max": FigureSpec("V", "DC ripple it allows, peak to peak"),
    "dc_nominal": FigureSpec("V", "DC system voltage"),
    "ac_voltage": FigureSpec("V", "output voltage, line to neutral"),
    "frequency": FigureSpec("Hz", "output frequency"),
    "power_factor_min": FigureSpec("1", "lowest load power factor"),
    "fault_stop": FigureSpec(
        "s", "longest time in which a fault brings its output below 50 V AC, where it stays"
    ),
    "min_bank": FigureSpec("Ah", "smallest bank the maker allows"),
    "fuse_dc": FigureSpec("A", "DC fuse the maker names"),
    "airflow": FigureSpec("m3/h", "air its fan moves"),
    "noise": FigureSpec("1", "noise, dB(A) at 1 m"),
    "altitude_max": FigureSpec("m", "height above sea for full power"),
}


def legs(split: bool, when: When = (("", frozenset({"inverting"})),)) -> tuple[Inner, ...]:
    """The converters from the DC side to the output."""
    if not split:
        return (
            Inner(
                "inverter",
                "converter",
                "dc.+",
                "dc.-",
                "inverter",
                when=when,
                out_a="ac-out.L",
                out_b="ac-out.N",
            ),
        )
    return (
        Inner(
            "inverter-1",
            "converter",
            "dc.+",
            "dc.-",
            "inverter",
            when=when,
            out_a="ac-out.L1",
            out_b="ac-out.N",
        ),
        Inner(
            "inverter-2",
            "converter",
            "dc.+",
            "dc.-",
            "inverter-half-turn",
            when=when,
            out_a="ac-out.L2",
            out_b="ac-out.N",
        ),
    )


def bond(words: Words, when: When) -> tuple[tuple[Inner, ...], tuple[Variable, ...]]:
    """The neutral-earth join at the output: a relay while `when` holds, a fixed link, none, or nobody knows."""
    kind, setting = said(words, WORDS, "ac_out_bond"), said(words, WORDS, "ground_relay")
    n, pe = "ac-out.N", "ac-out.PE"
    if kind == "none" or (kind == "relay" and setting == "disabled"):
        return (), ()
    if kind == "fitted":
        return (Inner("bond", "conductor", n, pe, "bond"),), ()
    if kind == "relay" and setting == "enabled":
        return (Inner("bond", "switch", n, pe, "bond", when=when),), ()
    missing = "ground-relay" if kind == "relay" else "ac-out-bond"
    closed: When = ((missing, frozenset({"closed"})),)
    found = when + closed if kind == "relay" else closed
    return (Inner("bond", "switch", n, pe, "bond", when=found),), (
        Variable(missing, ("closed", "open"), "outside", "unknown"),
    )
