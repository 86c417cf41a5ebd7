"""An energy year of a rig, in the weather of the places where it goes."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from ohmwright.energy.types import Year
from ohmwright.rig.model import Stay
from ohmwright.services.answers import envelope, finite
from ohmwright.services.opening import Opened, open_rig
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.store.reading import read
from ohmwright.working import FileError, Figure, Position

MOST_WEATHER_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class YearDone:
    """A year with the rig it belongs to."""

    opened: Opened
    year: Year

    @property
    def open(self) -> bool:
        """True when a promise is not kept."""
        return any(p.kept is False for p in self.year.promises)


def year(where: str, *, weather: str | None = None, years: int | None = None, seed: int | None = None) -> YearDone:
    """Run the year of a rig: in the weather of a file, or of its stays' places."""
    return year_of_opened(open_rig(where), weather=weather, years=years, seed=seed)


def year_of_opened(opened: Opened, *, weather: str | None = None, years: int | None = None, seed: int | None = None) -> YearDone:
    """The year of an opened rig."""
    from ohmwright.energy.year import year_of

    given = _from_file(weather) if weather else None

    def weather_for(stay: Stay) -> WeatherYear:
        return given if given is not None else _normal(spot_of(stay))

    return YearDone(opened, year_of(opened.rig, weather_for, years=years or 1, seed=seed))


def _from_file(weather: str) -> WeatherYear:
    from ohmwright.sky.files import read_weather

    return read_weather(read(weather, most=MOST_WEATHER_BYTES).data, weather)


@lru_cache(maxsize=16)
def _normal(spot: Spot) -> WeatherYear:
    from ohmwright.sky.weather import normal_year

    return normal_year(spot)


def spot_of(stay: Stay) -> Spot:
    """The climate of a stay's place; what the file types beats the table."""
    from ohmwright.sky.places import find
    from ohmwright.sky.spots import spot_at

    name = stay.place or stay.end or stay.start
    if stay.latitude_deg is not None and stay.longitude_deg is not None:
        spot = spot_at(stay.latitude_deg, stay.longitude_deg, stay.altitude_m, name)
    else:
        found = find(name) if name else None
        if found is None:
            raise FileError(
                f"where '{name}' lies is not known" if name else "the stay has no place",
                at=stay.position if stay.position.line else Position("", 0, 0),
                remedy="write a town with its state or country, or at-coordinates: 46.8 N 92.1 W 200 m",
            )
        spot = spot_at(found[0], found[1], found[2], found[3])
    if isinstance(stay.coldest, Figure):
        spot = replace(spot, coldest_degC=stay.coldest.value)
    return spot


def year_json(done: YearDone) -> dict[str, Any]:
    """The answer of `year --json`."""
    y = done.year
    return {
        **envelope(done.opened),
        "years": y.years,
        "seed": y.seed,
        "place": dict(y.place),
        "months": [
            {
                "month": m.month,
                "irradiation_kWh_m2": finite(m.irradiation_kWh_m2),
                "array_kWh": finite(m.array_kWh),
                "load_kWh": finite(m.load_kWh),
                "unserved_kWh": finite(m.unserved_kWh),
                "unserved_kWh_p90": finite(m.unserved_kWh_p90),
                "curtailed_kWh": finite(m.curtailed_kWh),
                "soc_min": finite(m.soc_min),
                "soc_min_p05": finite(m.soc_min_p05),
            }
            for m in y.months
        ],
        "stays": [
            {
                "name": s.name, "mode": s.mode, "days": s.days, "load_Wh_per_day": finite(s.load_Wh_per_day), "array_Wh_per_day": finite(s.array_Wh_per_day),
                "unserved_kWh": finite(s.unserved_kWh), "soc_min": finite(s.soc_min), "shortfall_Wh_per_day": finite(s.shortfall_Wh_per_day), "notes": list(s.notes),
            }
            for s in y.stays
        ],  # fmt: skip
        "nights_lost": {k: finite(y.nights_lost.get(k)) for k in ("p50", "p90", "p95", "mc_error")},
        "promises": [{"name": p.name, "asked": p.asked, "got": p.got, "kept": p.kept} for p in y.promises],
        "balance_error": finite(y.balance_error),
        "ledger_kWh": {k: finite(v) for k, v in y.ledger_kWh.items()},
        "notes": list(y.notes),
        "assumptions": list(y.assumptions),
    }

