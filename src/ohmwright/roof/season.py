"""Snow and dirt by month: class values, common practice without a source, for energy only.

They are not part of the shade factors; an energy year that counts dirt of its own must not take both.
"""

#: Part of a month's light kept from a flat module that nobody clears, by mean air temperature: below -5, -5 to 0, 0 to 3.
SNOW_LOST = ((-5.0, 0.90), (0.0, 0.50), (3.0, 0.15))
#: What is left of that loss where somebody brushes the modules off each day.
CLEARED_part = 0.2
#: Snow slides: half of the loss at 35 degrees, none to speak of from 60.
_SLIDES_deg, _BARE_deg = 35.0, 60.0
#: Dirt: no rain runs off below 5 degrees; under trees, resin, pollen and leaves add to it.
DIRT_FLAT_ratio, DIRT_STEEP_ratio, DIRT_TREES_ratio = 0.06, 0.03, 0.04
_RUNS_OFF_deg = 5.0
_POLLEN_AND_LEAVES = (3, 4, 9, 10)


def snow_kept_ratio(month_air_degC: float, tilt_deg: float, *, cleared: bool) -> float:
    """Part of the light that snow leaves in a month of that mean air temperature.

    >>> snow_kept_ratio(-8.0, 0.0, cleared=False), snow_kept_ratio(10.0, 0.0, cleared=False)
    (0.1, 1.0)
    """
    lost = next((share for below, share in SNOW_LOST if month_air_degC < below), 0.0)
    if tilt_deg >= _BARE_deg:
        slide = 0.0
    elif tilt_deg <= _SLIDES_deg:
        slide = 1.0 - 0.5 * tilt_deg / _SLIDES_deg
    else:
        slide = 0.5 * (_BARE_deg - tilt_deg) / (_BARE_deg - _SLIDES_deg)
    return round(1.0 - lost * slide * (CLEARED_part if cleared else 1.0), 12)


def dirt_kept_ratio(month: int, tilt_deg: float, *, under_trees: bool, southern: bool = False) -> float:
    """Part of the light that dirt leaves in month 0..11; under trees half of the extra outside pollen and leaf fall.

    >>> dirt_kept_ratio(6, 0.0, under_trees=False), dirt_kept_ratio(9, 30.0, under_trees=True)
    (0.94, 0.93)
    """
    lost = DIRT_FLAT_ratio if tilt_deg < _RUNS_OFF_deg else DIRT_STEEP_ratio
    if under_trees:
        season = (month + 6) % 12 if southern else month
        lost += DIRT_TREES_ratio * (1.0 if season in _POLLEN_AND_LEAVES else 0.5)
    return round(1.0 - lost, 12)
