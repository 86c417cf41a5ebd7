"""How loads scatter: from user to user, from day to day, and with the weather.

All are about what is written: the means stay as they are.  The factors belong to seed and number of a year, so that two
plans meet the same users and the same days.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.loop import HOURS, MONTH_OF_DAY
from ohmwright.energy.plan import EnergyPlan
from ohmwright.energy.series import by_day_hour, indoors_of, place_of_day
from ohmwright.sky.hours import hours_of_air
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import synthetic_years

Floats = NDArray[np.float64]
_USERS = 3
#: Lognormal spread of a user's use about what was written down, and of a day about his mean (common practice, no source).
USER_ratio, DAY_ratio = 0.20, 0.20
#: A compressor fridge takes so much more for each kelvin around it (common practice, no source).
FRIDGE_per_K = 0.045
#: Heating is asked for below this.
HEATING_degC = 18.0
_REFERENCE_years = 32
_LEAST_K = 0.5
_UNHEATED_degC = -99.0
MONTH_BY_HOUR = np.repeat(np.array(MONTH_OF_DAY), 24)


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations of the logarithm of use."""

    user_ratio: float = USER_ratio
    day_ratio: float = DAY_ratio


def factors_of(spread: Spread, seed: int, first: int, count: int) -> Floats:
    """Factor on what people use, by year and day (count, 365); its mean is 1."""
    out = np.empty((count, 365))
    for k in range(count):
        noise = np.random.default_rng((seed, first + k, _USERS)).standard_normal(366)
        user = spread.user_ratio * noise[365] - spread.user_ratio**2 / 2
        out[k] = np.exp(user + spread.day_ratio * noise[:365] - spread.day_ratio**2 / 2)
    return out


@dataclass(frozen=True, slots=True)
class WeatherLoads:
    """What fridges and heating ask by hour as written, and the mean of the month for which it is written.

    A fridge follows the room around it, heating the degrees below 18.  `indoors_degC` is far below all air where nobody heats.
    """

    chilled_W: Floats
    warmed_W: Floats
    indoors_degC: Floats
    room_degC: Floats
    below_K: Floats

    def more_W(self, air_degC: Floats) -> Floats:
        """What they take at the bus beyond what is written, in that air (years, 8760)."""
        out = np.zeros_like(air_degC)
        for watts, part in ((self.chilled_W, self._warmer), (self.warmed_W, self._colder)):
            hours = np.flatnonzero(watts)
            if hours.size == HOURS:
                out += watts * part(air_degC, slice(None))
            elif hours.size:
                out[:, hours] += watts[hours] * part(air_degC[:, hours], hours)
        return out

    def _warmer(self, air: Floats, hours: slice | NDArray[np.intp]) -> Floats:
        room = np.fmax(air, self.indoors_degC[hours])
        out: Floats = np.maximum(FRIDGE_per_K * (room - self.room_degC[hours]), -0.9)
        return out

    def _colder(self, air: Floats, hours: slice | NDArray[np.intp]) -> Floats:
        below = np.maximum(HEATING_degC - air, 0.0)
        usual = self.below_K[hours]
        out: Floats = np.where(usual > _LEAST_K, below / np.maximum(usual, _LEAST_K) - 1.0, 0.0)
        return out


def weather_loads(plan: EnergyPlan, spots: tuple[Spot, ...]) -> WeatherLoads | None:
    """The fridges and the heating of a plan under the spots of its stays; None where there are none."""
    chilled, warmed = by_day_hour(plan, "chilled_W"), by_day_hour(plan, "warmed_W")
    if not chilled.any() and not warmed.any():
        return None
    indoors = np.array([_UNHEATED_degC if x is None else x for x in indoors_of(plan)])
    where = np.repeat(np.array(place_of_day(plan.stays)), 24)
    room, below = np.zeros(HOURS), np.zeros(HOURS)
    for k, spot in enumerate(spots):
        here = where == k
        for inside in np.unique(indoors[here]):
            rooms, belows = _reference(spot, float(inside))
            hours = here & (indoors == inside)
            room[hours] = rooms[MONTH_BY_HOUR[hours]]
            below[hours] = belows[MONTH_BY_HOUR[hours]]
    return WeatherLoads(chilled, warmed, indoors, room, below)


def weather_load_W(plan: EnergyPlan, spots: tuple[Spot, ...], air_degC: Floats) -> Floats | None:
    """What fridges and heating take at the bus beyond what is written, in that air (years, 8760); None where there are none."""
    loads = weather_loads(plan, spots)
    return None if loads is None else loads.more_W(air_degC)


@lru_cache(maxsize=64)
def _reference(spot: Spot, indoors_degC: float) -> tuple[Floats, Floats]:
    """By month: mean of the room's temperature, and of the degrees below 18 outside; always the same years."""
    made = synthetic_years(spot, _REFERENCE_years, 0)
    hours = hours_of_air(spot, made.air_degC, made.clearness).astype(np.float64)
    room, below = np.maximum(hours, indoors_degC), np.maximum(HEATING_degC - hours, 0.0)
    return (
        np.array([room[:, m == MONTH_BY_HOUR].mean() for m in range(12)]),
        np.array([below[:, m == MONTH_BY_HOUR].mean() for m in range(12)]),
    )
