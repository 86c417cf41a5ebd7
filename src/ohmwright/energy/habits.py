"""Habits of the trade that an energy year falls back on when a file does not say: seasons, hours of use, losses.

Everything here is common practice without a source, unless a line says otherwise.  What is used is listed in the
year's assumptions.
"""

from collections.abc import Mapping

SUMMER, SHOULDER, WINTER = "summer", "shoulder", "winter"

#: Season by month north of the equator; the south has the same half a year later.
SEASON_NORTH: tuple[str, ...] = (
    WINTER, WINTER, SHOULDER, SHOULDER, SHOULDER, SUMMER, SUMMER, SUMMER, SHOULDER, SHOULDER, SHOULDER, WINTER,
)  # fmt: skip


def season_of(month: int, southern: bool) -> str:
    """Season of month 0..11: summer June-August, winter December-February, shoulder between; south half a year on."""
    return SEASON_NORTH[(month + 6) % 12 if southern else month]


def _spread(*hours: int) -> tuple[float, ...]:
    return tuple(hours.count(h) / len(hours) for h in range(24))


EVENLY = tuple(1 / 24 for _ in range(24))
EVENING = _spread(18, 19, 20, 20, 21, 21, 22, 22)
MEALS = _spread(7, 7, 12, 18, 18, 19)
WASHING = _spread(7, 8, 12, 18, 19, 21)
WORKING = _spread(9, 10, 11, 13, 14, 15, 16, 20)
NIGHT = _spread(21, 22, 23, 0, 1, 2, 3, 4, 5)
MIDDAY = _spread(10, 11, 12, 13, 14, 15)

#: When loads run, by a piece of their name; the first that fits holds, else evenly over the day.
HOURS_OF_USE: tuple[tuple[tuple[float, ...], tuple[str, ...]], ...] = (
    (
        EVENLY,
        (
            "fridge",
            "freezer",
            "router",
            "detector",
            "alarm",
            "standby",
            "bms",
            "instrument",
            "pilot",
            "ais",
            "radar",
            "plotter",
        ),
    ),
    (NIGHT, ("nav-light", "anchor-light", "blanket")),
    (EVENING, ("light", "lamp", "tv", "stereo", "cabin")),
    (MEALS, ("induction", "cook", "hob", "kettle", "coffee", "microwave", "toast", "range", "oven")),
    (WASHING, ("pump", "shower", "wash", "water-heater")),
    (WORKING, ("laptop", "charger", "usb", "tool", "outlet", "computer", "device")),
    (MIDDAY, ("watermaker", "dry")),
    (NIGHT, ("furnace", "heater", "circulator", "blower")),
)


def shape_of(name: str) -> tuple[float, ...]:
    """Share of a day's energy by hour for a load of that name."""
    for shape, words in HOURS_OF_USE:
        if any(w in name for w in words):
            return shape
    return EVENLY


#: Mounting by King, Boyson and Kratochvil, SAND2004-3535 (2004), table 1: a, b, lift (values as in pvlib's table).
MOUNTINGS: Mapping[str, tuple[float, float, float]] = {
    "open rack": (-3.47, -0.0594, 3.0),
    "close to the roof": (-2.98, -0.0471, 1.0),
    "bonded, insulated behind": (-2.81, -0.0455, 0.0),
}


def mounting_of(gap_m: float | None, bonded: bool) -> str:
    """Which mounting a gap makes: none or bonded, up to 100 mm, more."""
    if bonded or (gap_m is not None and gap_m < 0.005):
        return "bonded, insulated behind"
    if gap_m is not None and gap_m > 0.1:
        return "open rack"
    return "close to the roof"


#: Loads that follow the weather, by a piece of their names.
FRIDGES = ("fridge", "freezer", "cool-box", "coolbox")
HEATERS = ("furnace", "circulator", "blower")

DIRT_FLAT, DIRT_STEEP, MISMATCH, WIRING, TRACKING = 0.95, 0.98, 0.98, 0.98, 0.995
STEEP_deg = 15.0

#: Hourly resistance of a battery of a class: ohm for one ampere-hour, for each volt of nominal voltage.
CLASS_RESISTANCE = {"lfp": 0.04, "lead": 0.10}
#: The same for a full lead-acid cell under current for hours, how it grows by each part of charge that is missing, and by how much
#: it resists more when charged, over the part that is missing and over its square, and less at any charge: Copetti, Lorenzo and Chenlo (1993), their
#: 0.27 s^-1.5 and 0.48 (1 - s)^-1.2 by least squares over 35 to 98 % and up to the ten-hour current, the taper at 2.4 V weighing most
#: (see `physics.lead_acid`; coefficients read second-hand; `tests/energy/test_lead.py` holds the distance).
LEAD_HOURS_RESISTANCE, LEAD_LOW_KNEE_ratio, LEAD_LOW_GAIN_ratio = 0.18, 1.0, 2.3
LEAD_STIFF_ratio, LEAD_SQUARE_ratio, LEAD_EASE_ratio = 2.23, 0.0441, 2.56
#: Volts between cut-off and return of an inverter that does not say, for 12 V (common practice, no source).
RETURN_V_per_12V = 2.0
#: Absorption voltage of a cell, charge and discharge limit in parts of the capacity per hour, lowest charge kept.
CLASS_SET_V = {"lfp": 3.55, "lead": 2.40}
CLASS_CHARGE = {"lfp": 0.5, "lead": 0.2}
CLASS_DISCHARGE = {"lfp": 1.0, "lead": 1.0}
CLASS_CELL_V = {"lfp": 3.2, "lead": 2.0}
LEAD_FLOOR = 0.5
#: Resistance of a cell at 5 % of its charge over that of a half-full one, and the charge below which it grows.
CLASS_AT_5_FACTOR, LOW_KNEE_ratio = 2.0, 0.2
INDOORS_degC = 18.0
ENGINE_HOURS_FROM = 10
#: What a hot alternator gives of its cold rating on the road and at idle (common practice, no source), and the volts of a 12 V one.
HOT_CRUISE_ratio, HOT_IDLE_ratio, CLASS_ALTERNATOR_V = 0.75, 0.50, 14.0
#: How often and how long a generator is run to keep it well.
EXERCISE_days = {"weekly": 7, "monthly": 30}
EXERCISE_h = 0.5

#: Fuel of a generator in L a kWh given and L an hour a kW of rating.  Diesel: Skarstein and Uhlen, Wind Engineering 13
#: (1989) 72-87 (figures from memory, unverified); petrol: common practice, no source.
FUEL_L_per_kWh = {"diesel": (0.246, 0.08145), "petrol": (0.40, 0.10)}
