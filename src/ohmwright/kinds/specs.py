"""Figures that several kinds share."""

from ohmwright.kinds.base import FigureSpec, WordSpec

INTERRUPT: dict[str, FigureSpec] = {
    "interrupt": FigureSpec("A", "most current it can break, at the lowest printed voltage", "V"),
    "interrupt_2": FigureSpec("A", "the same at the next printed voltage", "V"),
    "interrupt_3": FigureSpec("A", "the same at the third printed voltage", "V"),
}

RESISTANCE: dict[str, FigureSpec] = {
    "resistance": FigureSpec("ohm", "resistance from side to side, new and torqued")
}

#: The two edges of a device's curve, by multiples of its rating.
TRIPS: dict[str, FigureSpec] = {
    f"trips_at_{percent}": FigureSpec("s", f"longest time at {percent} % of its rating")
    for percent in (135, 200, 300, 600)
}
HOLDS: dict[str, FigureSpec] = {
    f"holds_at_{percent}": FigureSpec("s", f"shortest time at {percent} % of its rating")
    for percent in (135, 200, 300, 600)
}

BREAKER: dict[str, FigureSpec] = {
    "rated": FigureSpec("A", "current it carries for ever", "degC"),
    "voltage": FigureSpec("V", "highest voltage it may break, poles as the page draws them"),
    "voltage_per_pole": FigureSpec("V", "highest DC voltage a pole"),
    **INTERRUPT,
    **RESISTANCE,
}

#: Points of a turbine's table of power against speed, by names that a record writes them under.
SPEED_POINTS: tuple[str, ...] = ("power_at_speed", *(f"power_at_speed_{n}" for n in range(2, 13)))


def by_speed(unit: str) -> dict[str, FigureSpec]:
    """Figures of a turbine's table: its points, each at its speed, and where it ends."""
    first, *others = SPEED_POINTS
    return {
        first: FigureSpec("W", "power at the first speed of its page's table", unit),
        **{n: FigureSpec("W", "power at a further speed of that table", unit) for n in others},
        "cut_out": FigureSpec("m/s", "speed above which it gives nothing", may_be_zero=False),
    }


SELF_USE: dict[str, FigureSpec] = {"self_use": FigureSpec("W", "power it takes for itself")}

TRISTATE: tuple[str, ...] = ("yes", "no", "unknown")

CHARGER_WORDS: dict[str, WordSpec] = {
    "charges": WordSpec(
        "the chemistry it is set to charge", ("lfp", "lead", "any", "none", "unknown"), "any"
    ),
    "battery_loss": WordSpec(
        "what it does when its battery is cut off while it charges",
        ("survives", "fails", "unknown"),
        "unknown",
    ),
    "cold_cut": WordSpec("whether it stops charging by itself in the cold", TRISTATE, "unknown"),
    "probe_fault": WordSpec(
        "what it does when its temperature probe is open or shorted",
        ("blocks", "charges", "unknown"),
        "unknown",
    ),
}

CHARGER: dict[str, FigureSpec] = {
    "charge_min_temperature": FigureSpec("degC", "battery temperature below which it stops charging"),
    "absorption_max": FigureSpec("V", "highest charging voltage it can be set to"),
}
