"""A battery: one case with two posts. Its management sits inside, outside, or there is none."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import DC, said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "chemistry": WordSpec(
        "what its cells are", ("lfp", "agm", "gel", "flooded", "start", "unknown"), "unknown"
    ),
    "bms": WordSpec("where its management sits", ("inside", "outside", "none", "unknown"), "unknown"),
    "probe_fault": WordSpec(
        "what its management does when a temperature probe fails", ("blocks", "charges", "unknown"), "unknown"
    ),
    "series_allowed": WordSpec("may it be wired in series with its like", TRISTATE, "unknown"),
    "recovery": WordSpec("how it wakes after an under-voltage cut, in the maker's words"),
    "upright_only": WordSpec("must it stand upright", TRISTATE, "unknown"),
    "vented": WordSpec("does it give off gas in ordinary charging", TRISTATE, "unknown"),
}


def _inside(words: Words) -> Inside:
    chemistry, bms = said(words, WORDS, "chemistry"), said(words, WORDS, "bms")
    if bms == "unknown" and chemistry not in ("lfp", "unknown"):
        bms = "none"
    ports: tuple[Port, ...] = (Port("", DC, takes=2),)
    if bms == "outside":
        return Inside(
            (*ports, Port("bms", ("sig",), "data")),
            (Inner("cells", "source", "+", "-", "cell", "resistance"),),
        )
    if bms == "none":
        return Inside(ports, (Inner("cells", "source", "+", "-", "cell", "resistance"),))
    return Inside(
        ports,
        (Inner("cells", "source", "+", "-", "cell", "resistance", (("bms", frozenset({"normal"})),)),),
        (Variable("bms", ("normal", "open"), "automatic", "bms"),),
    )


KIND = Kind(
    "battery",
    "battery",
    "B",
    {
        "nominal_voltage": FigureSpec("V", "nominal voltage"),
        "capacity": FigureSpec("Ah", "rated capacity"),
        "capacity_hours": FigureSpec("s", "discharge time at which the capacity is rated"),
        "resistance": FigureSpec("ohm", "internal resistance, management included", may_be_zero=False),
        "short_circuit_current": FigureSpec("A", "current into a bolted fault at its posts"),
        "charge_max": FigureSpec("A", "largest continuous charging current", "degC"),
        "charge_recommended": FigureSpec("A", "charging current the maker recommends"),
        "discharge_max": FigureSpec("A", "largest continuous discharging current", "degC"),
        "discharge_peak": FigureSpec("A", "largest current for a short time", "s"),
        "discharge_peak_2": FigureSpec("A", "the same for another time", "s"),
        "charge_voltage": FigureSpec("V", "charging voltage (absorption)"),
        "charge_voltage_max": FigureSpec("V", "voltage never to be passed; its management opens there"),
        "equalise_voltage": FigureSpec("V", "equalising voltage of a flooded battery"),
        "float_voltage": FigureSpec("V", "holding voltage"),
        "cutoff_voltage": FigureSpec("V", "voltage at which its management stops discharge"),
        "charge_min_temperature": FigureSpec(
            "degC", "temperature below which its management blocks charging"
        ),
        "charge_max_temperature": FigureSpec(
            "degC", "temperature above which its management blocks charging"
        ),
        "cell_charge_min_temperature": FigureSpec(
            "degC", "temperature below which the cell maker forbids charging"
        ),
        "discharge_min_temperature": FigureSpec("degC", "lowest temperature for discharge"),
        "discharge_max_temperature": FigureSpec("degC", "highest temperature for discharge"),
        "sensor_error": FigureSpec("K", "error of the management's temperature sensing"),
        "usable": FigureSpec("1", "part of the capacity that may be used", default="80 %"),
        "self_discharge": FigureSpec("%/month", "what it loses by itself", default="3 %/month"),
        "bms_draw": FigureSpec("W", "what its management takes", default="0.4 W"),
        "heater_power": FigureSpec("W", "its own heater"),
        "coulombic": FigureSpec("1", "charge out over charge in", default="99 %"),
        "peukert": FigureSpec("1", "Peukert exponent", default="1.05"),
        "series_max": FigureSpec("1", "most in series"),
        "parallel_max": FigureSpec("1", "most in parallel"),
        "cycle_life": FigureSpec("1", "cycles to 80 % capacity", "%"),
        "cranking": FigureSpec("A", "cold cranking current (flooded lead-acid only)"),
        "storage_soc": FigureSpec("1", "state of charge for storage"),
        "storage_max": FigureSpec("degC", "highest storage temperature"),
        "gas_current": FigureSpec("1", "gassing current, A per Ah, for ventilation after IEC 62485-2"),
        "cell_count": FigureSpec("1", "cells in series"),
    },
    _inside,
    WORDS,
)
