"""The one unit table.

The quantity grammar, the JSON Schema, the naming lint and the work sheets all read it.  A unit belongs to a
dimension; every dimension has one *base* unit in which the program computes, and that base unit has the
suffix that a plain float of it carries in its name (`_A`, `_degC`).
"""

from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as people write it: value in base units = written * factor + offset."""

    symbol: str
    dimension: str
    factor: float
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """What is measured, its base unit, and the suffix of a float in base units."""

    name: str
    base: str
    suffix: str


DIMENSIONS: dict[str, Dimension] = {
    d.name: d
    for d in (
        Dimension("current", "A", "_A"),
        Dimension("voltage", "V", "_V"),
        Dimension("power", "W", "_W"),
        Dimension("apparent power", "VA", "_VA"),
        Dimension("energy", "Wh", "_Wh"),
        Dimension("charge", "Ah", "_Ah"),
        Dimension("resistance", "ohm", "_ohm"),
        Dimension("inductance", "H", "_H"),
        Dimension("length", "m", "_m"),
        Dimension("area", "mm2", "_mm2"),
        Dimension("temperature", "degC", "_degC"),
        Dimension("temperature difference", "K", "_K"),
        Dimension("time", "s", "_s"),
        Dimension("mass", "kg", "_kg"),
        Dimension("frequency", "Hz", "_Hz"),
        Dimension("force", "N", "_N"),
        Dimension("torque", "Nm", "_Nm"),
        Dimension("angle", "deg", "_deg"),
        Dimension("ratio", "1", "_ratio"),
        Dimension("relative coefficient", "%/K", "_percent_per_K"),
        Dimension("voltage coefficient", "V/K", "_V_per_K"),
        Dimension("current coefficient", "A/K", "_A_per_K"),
        Dimension("speed", "m/s", "_m_per_s"),
        Dimension("irradiance", "W/m2", "_W_m2"),
        Dimension("irradiation", "kWh/m2", "_kWh_m2"),
        Dimension("volume", "L", "_L"),
        Dimension("volume flow", "m3/h", "_m3_per_h"),
        Dimension("fuel flow", "L/h", "_L_per_h"),
        Dimension("pressure", "Pa", "_Pa"),
        Dimension("heat conductance", "W/K", "_W_per_K"),
        Dimension("heat capacity", "J/K", "_J_per_K"),
        Dimension("daily energy", "Wh/day", "_Wh_per_day"),
        Dimension("daily charge", "Ah/day", "_Ah_per_day"),
        Dimension("let-through", "A2s", "_A2s"),
        Dimension("rotation", "rpm", "_rpm"),
        Dimension("linear resistance", "ohm/m", "_ohm_per_m"),
        Dimension("linear mass", "kg/m", "_kg_per_m"),
        Dimension("rate", "%/month", "_percent_per_month"),
    )
}

_TABLE: tuple[tuple[str, str, float, float], ...] = (
    ("A", "current", 1, 0),
    ("mA", "current", 1e-3, 0),
    ("kA", "current", 1e3, 0),
    ("V", "voltage", 1, 0),
    ("mV", "voltage", 1e-3, 0),
    ("kV", "voltage", 1e3, 0),
    ("W", "power", 1, 0),
    ("mW", "power", 1e-3, 0),
    ("kW", "power", 1e3, 0),
    ("VA", "apparent power", 1, 0),
    ("kVA", "apparent power", 1e3, 0),
    ("Wh", "energy", 1, 0),
    ("kWh", "energy", 1e3, 0),
    ("J", "energy", 1 / 3600, 0),
    ("MJ", "energy", 1e6 / 3600, 0),
    ("Ah", "charge", 1, 0),
    ("mAh", "charge", 1e-3, 0),
    ("ohm", "resistance", 1, 0),
    ("mohm", "resistance", 1e-3, 0),
    ("uohm", "resistance", 1e-6, 0),
    ("kohm", "resistance", 1e3, 0),
    ("Mohm", "resistance", 1e6, 0),
    ("H", "inductance", 1, 0),
    ("mH", "inductance", 1e-3, 0),
    ("uH", "inductance", 1e-6, 0),
    ("m", "length", 1, 0),
    ("mm", "length", 1e-3, 0),
    ("cm", "length", 1e-2, 0),
    ("km", "length", 1e3, 0),
    ("in", "length", 0.0254, 0),
    ("ft", "length", 0.3048, 0),
    ("mm2", "area", 1, 0),
    ("cm2", "area", 1e2, 0),
    ("m2", "area", 1e6, 0),
    ("kcmil", "area", 0.5067074790974977, 0),
    ("ft2", "area", 92903.04, 0),
    ("degC", "temperature", 1, 0),
    ("degF", "temperature", 5 / 9, -160 / 9),
    ("K", "temperature difference", 1, 0),
    ("s", "time", 1, 0),
    ("ms", "time", 1e-3, 0),
    ("min", "time", 60, 0),
    ("h", "time", 3600, 0),
    ("day", "time", 86400, 0),
    ("days", "time", 86400, 0),
    ("kg", "mass", 1, 0),
    ("g", "mass", 1e-3, 0),
    ("t", "mass", 1e3, 0),
    ("lb", "mass", 0.45359237, 0),
    ("Hz", "frequency", 1, 0),
    ("N", "force", 1, 0),
    ("kN", "force", 1e3, 0),
    ("Nm", "torque", 1, 0),
    ("lbf-ft", "torque", 1.3558179483314004, 0),
    ("lbf-in", "torque", 0.1129848290276167, 0),
    ("deg", "angle", 1, 0),
    ("%", "ratio", 1e-2, 0),
    ("%/K", "relative coefficient", 1, 0),
    ("V/K", "voltage coefficient", 1, 0),
    ("mV/K", "voltage coefficient", 1e-3, 0),
    ("A/K", "current coefficient", 1, 0),
    ("mA/K", "current coefficient", 1e-3, 0),
    ("m/s", "speed", 1, 0),
    ("km/h", "speed", 1 / 3.6, 0),
    ("kn", "speed", 1852 / 3600, 0),
    ("W/m2", "irradiance", 1, 0),
    ("kWh/m2", "irradiation", 1, 0),
    ("L", "volume", 1, 0),
    ("m3", "volume", 1000, 0),
    ("m3/h", "volume flow", 1, 0),
    ("L/h", "fuel flow", 1, 0),
    ("Pa", "pressure", 1, 0),
    ("mbar", "pressure", 100, 0),
    ("W/K", "heat conductance", 1, 0),
    ("J/K", "heat capacity", 1, 0),
    ("kJ/K", "heat capacity", 1e3, 0),
    ("Wh/day", "daily energy", 1, 0),
    ("kWh/day", "daily energy", 1e3, 0),
    ("Ah/day", "daily charge", 1, 0),
    ("A2s", "let-through", 1, 0),
    ("rpm", "rotation", 1, 0),
    ("ohm/m", "linear resistance", 1, 0),
    ("mohm/m", "linear resistance", 1e-3, 0),
    ("ohm/km", "linear resistance", 1e-3, 0),
    ("ohm/kft", "linear resistance", 1 / 304.8, 0),
    ("kg/m", "linear mass", 1, 0),
    ("%/month", "rate", 1, 0),
)

UNITS: dict[str, Unit] = {symbol: Unit(symbol, dim, factor, offset) for symbol, dim, factor, offset in _TABLE}

#: Other ways people write a unit, and the way of the table.
SPELLINGS: dict[str, str] = {
    "Ω": "ohm",
    "mΩ": "mohm",
    "µΩ": "uohm",
    "kΩ": "kohm",
    "MΩ": "Mohm",
    "Ohm": "ohm",
    "mOhm": "mohm",
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "mm²": "mm2",
    "cm²": "cm2",
    "m²": "m2",
    "W/m²": "W/m2",
    "kWh/m²": "kWh/m2",
    "N.m": "Nm",
    "N·m": "Nm",
    "sec": "s",
    "second": "s",
    "seconds": "s",
    "hour": "h",
    "hours": "h",
    "volt": "V",
    "volts": "V",
    "amp": "A",
    "amps": "A",
    "watt": "W",
    "watts": "W",
    "l": "L",
    "percent": "%",
    "°": "deg",
}

#: Suffixes that a float may also carry in a name: written in another unit than the base one, on purpose.
OTHER_SUFFIXES: tuple[str, ...] = (
    "_mA", "_kA", "_mV", "_kW", "_kWh", "_MJ", "_mm", "_cm", "_cm2", "_m2", "_h", "_min", "_day", "_days",
    "_uH", "_mohm", "_percent", "_rad", "_Wh_m2", "_MJ_m2", "_mohm_per_m", "_per_K", "_per_h", "_ohm_mm2_per_m",
    "_per_m2", "_J_per_K_mm3", "_mAh_per_Ah", "_Ah_per_h", "_V2", "_W_per_m2_K", "_eV", "_kJ_per_mol", "_J_per_kg_K", "_mbar", "_km",
    "_N_m2", "_kg_m", "_kg_m2", "_per_s", "_years", "_months", "_Vs", "_uohm", "_W2", "_per_year", "_per_W", "_au", "_var", "_ohm_per_A",
)  # fmt: skip

#: Suffixes for numbers without a unit.
PLAIN_SUFFIXES: tuple[str, ...] = ("_ratio", "_count", "_factor", "_exponent", "_index")


def unit(symbol: str) -> Unit | None:
    """The unit that people mean by `symbol`, or None.

    >>> unit("mΩ").symbol
    'mohm'
    """
    return UNITS.get(SPELLINGS.get(symbol, symbol))


@lru_cache(maxsize=1024)
def base_of(symbol: str) -> str:
    """The base unit of the dimension of `symbol`.

    >>> base_of("kA")
    'A'
    """
    if symbol in ("", "1"):
        return "1"
    found = unit(symbol)
    if found is None:
        raise KeyError(symbol)
    return DIMENSIONS[found.dimension].base


def convert(value: float, symbol: str, to: str) -> float:
    """`value` of unit `symbol` in the unit `to` of the same dimension.

    >>> round(convert(-34, "degC", "degF"), 1)
    -29.2
    """
    if symbol == to:
        return value
    a, b = unit(symbol), unit(to)
    if symbol == "1" and b is not None and b.dimension == "ratio":
        return value / b.factor
    if to == "1" and a is not None and a.dimension == "ratio":
        return value * a.factor
    if a is None or b is None or a.dimension != b.dimension:
        raise ValueError(f"{symbol} cannot be told in {to}")
    return (value * a.factor + a.offset - b.offset) / b.factor


@lru_cache(maxsize=1024)
def suffix_unit(name: str) -> str | None:
    """The base unit that the suffix of a parameter name stands for: "1" for a plain number, None if no suffix.

    >>> suffix_unit("open_circuit_V"), suffix_unit("coefficient_percent_per_K"), suffix_unit("modules_count")
    ('V', '%/K', '1')
    >>> suffix_unit("loss_per_Nm") is None
    True
    """
    best: tuple[int, str] | None = None
    for d in DIMENSIONS.values():
        if name.endswith(d.suffix) and (best is None or len(d.suffix) > best[0]):
            best = (len(d.suffix), d.base)
    for s in (*OTHER_SUFFIXES, *PLAIN_SUFFIXES):
        if name.endswith(s) and (best is None or len(s) > best[0]):
            best = (len(s), "1" if s in PLAIN_SUFFIXES else "")
    if best is None or name[: -best[0]].endswith("_per"):
        return None  # a loss per watt is no power
    return best[1]
