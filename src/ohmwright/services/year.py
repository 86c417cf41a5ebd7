"""An energy year of a rig, in the weather of the places where it goes."""

import os
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ohmwright.energy.types import Month, Year
from ohmwright.rig.model import Stay
from ohmwright.services.answers import envelope, finite
from ohmwright.services.opening import Opened, open_rig
from ohmwright.sky.places import place
from ohmwright.sky.spots import spot_at, with_typed
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.store.reading import read
from ohmwright.store.save import save
from ohmwright.working import FileError, OhmwrightError, known

if TYPE_CHECKING:
    from ohmwright.energy.one_year import OneYear
    from ohmwright.services.year_shade import Snow

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


def year(
    where: str,
    *,
    weather: str | None = None,
    years: int | None = None,
    seed: int | None = None,
    snow: "Snow" = "lies",
    guests_ratio: float = 0.0,
    step_min: int = 60,
    with_charts: bool = False,
    at_once: Callable[[tuple[Month, ...]], None] | None = None,
) -> YearDone:
    """Run the years of a rig: one in the weather of a file, else as many made ones as the printed errors need.

    `at_once` gets the months of the typical year as soon as they are there.
    """
    from ohmwright.energy.year import ENOUGH

    many = years if years is not None else 1 if weather else ENOUGH
    return year_of_opened(
        open_rig(where), weather=weather, years=many, seed=seed, snow=snow, guests_ratio=guests_ratio,
        step_min=step_min, with_charts=with_charts, with_sizes=with_charts, with_buys=many != 1, at_once=at_once,
    )  # fmt: skip


def year_of_opened(
    opened: Opened,
    *,
    weather: str | None = None,
    years: int | None = None,
    seed: int | None = None,
    snow: "Snow" = "lies",
    guests_ratio: float = 0.0,
    step_min: int = 60,
    with_charts: bool = False,
    with_sizes: bool = False,
    with_buys: bool = False,
    for_page: bool = False,
    at_once: Callable[[tuple[Month, ...]], None] | None = None,
) -> YearDone:
    """The year of an opened rig: one plain year unless more are asked for (0: as many as it takes).

    `step_min` is the step in minutes, with one shorter than an hour comes how far it moves the answer.
    `with_charts` adds the hours of the bad week, `with_sizes` nights lost against array and bank, `with_buys` what would buy
    nights back; `for_page` what the energy page draws.
    """
    from ohmwright.energy.year import year_of
    from ohmwright.services.year_shade import shading_of

    given = _from_file(weather) if weather else None

    def weather_for(stay: Stay) -> WeatherYear:
        return given if given is not None else _normal(spot_of(stay))

    many = 1 if years is None else years
    if many != 1 or step_min < 60:
        from ohmwright.energy.kernel import prepare

        prepare(kernel_folder())
    told = year_of(
        opened.rig, weather_for, years=many, seed=seed, shade=shading_of(opened.rig, snow),
        guests_ratio=guests_ratio, step_min=step_min, with_charts=with_charts, with_sizes=with_sizes, with_buys=with_buys,
        for_page=for_page, at_once=at_once,
    )  # fmt: skip
    return YearDone(opened, told)


def typical_year(opened: Opened) -> "OneYear":
    """The one typical year of an opened rig, hour by hour."""
    from ohmwright.energy.year import one_year
    from ohmwright.services.year_shade import shading_of

    return one_year(opened.rig, lambda stay: _normal(spot_of(stay)), shading_of(opened.rig))


def kernel_folder() -> str:
    """Where the compiled years are kept: OHMWRIGHT_CACHE, else the user's cache; "" where nothing can be written."""
    own = os.environ.get("OHMWRIGHT_CACHE")
    home = os.environ.get("XDG_CACHE_HOME") or str(Path("~").expanduser() / ".cache")
    folder = Path(own or Path(home) / "ohmwright") / "kernel"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return ""
    return str(folder) if os.access(folder, os.W_OK) else ""


def _from_file(weather: str) -> WeatherYear:
    from ohmwright.sky.files import read_weather

    return read_weather(read(weather, most=MOST_WEATHER_BYTES).data, weather)


@lru_cache(maxsize=16)
def _normal(spot: Spot) -> WeatherYear:
    from ohmwright.sky.weather import normal_year

    return normal_year(spot)


def normal_weather(stay: Stay) -> WeatherYear:
    """A normal year at a stay's place."""
    return _normal(spot_of(stay))


def spot_of(stay: Stay) -> Spot:
    """The climate of a stay's place; a passage has the mean of its two ends. What the file types beats the table."""
    if stay.latitude_deg is not None and stay.longitude_deg is not None:
        spot = _climate(stay.latitude_deg, stay.longitude_deg, stay.altitude_m, stay.place)
    elif stay.start and stay.end:
        spot = _between(_named(stay, stay.start), _named(stay, stay.end))
    else:
        spot = _named(stay, stay.place or stay.end or stay.start)
    coldest, hottest = known(stay.coldest), known(stay.hottest)
    return with_typed(
        spot, coldest_degC=coldest.value if coldest else None, hottest_degC=hottest.value if hottest else None
    )


def _named(stay: Stay, name: str) -> Spot:
    if not name:
        raise FileError(
            "the stay has no place",
            at=stay.position,
            remedy="write place: a town with its state or country, or at-coordinates: 46.8 N 92.1 W 200 m",
        )
    try:
        found = place(name)
    except OhmwrightError as error:
        raise FileError(error.message, at=stay.position, remedy=error.remedy) from None
    return _climate(found.latitude_deg, found.longitude_deg, found.altitude_m, found.full_name)


def _climate(latitude_deg: float, longitude_deg: float, altitude_m: float | None, name: str) -> Spot:
    """From the table; at sea and on far islands the clearness of the nearest land, which its method and band say."""
    try:
        return spot_at(latitude_deg, longitude_deg, altitude_m, name)
    except OhmwrightError:
        return spot_at(latitude_deg, longitude_deg, altitude_m, name, far=True)


def _between(a: Spot, b: Spot) -> Spot:
    """A passage: half its days belong to each end."""

    def mean(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, ...]:
        return tuple((p + q) / 2 for p, q in zip(x, y, strict=True))

    return replace(
        a,
        name=f"between {a.name} and {b.name}",
        latitude_deg=(a.latitude_deg + b.latitude_deg) / 2,
        longitude_deg=(a.longitude_deg + b.longitude_deg) / 2,
        ghi_kWh_m2_day=mean(a.ghi_kWh_m2_day, b.ghi_kWh_m2_day),
        air_degC=mean(a.air_degC, b.air_degC),
        coldest_degC=min(a.coldest_degC, b.coldest_degC),
        hottest_degC=max(a.hottest_degC, b.hottest_degC),
        cell_km=max(a.cell_km, b.cell_km),
        method=f"mean of two coasts: {a.method}; {b.method}"
        if a.method != b.method
        else f"mean of two coasts, {a.method}",
        band_percent=max(a.band_percent, b.band_percent),
    )


def year_charts(done: YearDone) -> dict[str, str]:
    """The year's charts as SVG by file name; only the months where one year alone was run."""
    from ohmwright.drawing.svg import svg_of
    from ohmwright.drawing.year_charts import bad_week_chart, months_chart, sizes_chart

    told = year_json(done)
    chances = told["by_chance"]
    sheets = [months_chart(told["months"])]
    if chances.get("bad_week"):
        sheets.append(bad_week_chart(chances["bad_week"]))
    if chances.get("sizes"):
        sheets += [sizes_chart(chances["sizes"], "nights"), sizes_chart(chances["sizes"], "chance")]
    return {f"{sheet.name}.svg": svg_of(sheet) for sheet in sheets}


def save_charts(done: YearDone, folder: str) -> tuple[str, ...]:
    """Write the charts into a folder, made if it is not there; returns their paths."""
    out = []
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
        for name, text in year_charts(done).items():
            out.append(str(Path(folder) / name))
            save(out[-1], text.encode("utf-8"))
    except OSError as why:
        raise OhmwrightError(
            f"the charts cannot be written into {folder}: {why.strerror}",
            remedy="name a folder that can be written",
        ) from why
    return tuple(out)


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
                "name": s.name,
                "mode": s.mode,
                "days": s.days,
                "load_Wh_per_day": finite(s.load_Wh_per_day),
                "lived_days": s.lived_days,
                "lived_load_Wh_per_day": finite(s.lived_load_Wh_per_day),
                "between_load_Wh_per_day": finite(s.between_load_Wh_per_day),
                "array_Wh_per_day": finite(s.array_Wh_per_day),
                "unserved_kWh": finite(s.unserved_kWh),
                "soc_min": finite(s.soc_min),
                "shortfall_Wh_per_day": finite(s.shortfall_Wh_per_day),
                "short_days": s.short_days,
                "notes": list(s.notes),
            }
            for s in y.stays
        ],
        "nights_lost": {k: finite(y.nights_lost.get(k)) for k in ("p50", "p90", "p95", "mc_error")},
        "promises": [{"name": p.name, "asked": p.asked, "got": p.got, "kept": p.kept} for p in y.promises],
        "balance_error": finite(y.balance_error),
        "ledger_kWh": {k: finite(v) for k, v in y.ledger_kWh.items()},
        "verdict": list(y.verdict),
        "by_chance": dict(y.by_chance),
        "bought": [asdict(b) for b in y.bought],
        "darkest": asdict(y.darkest) if y.darkest else None,
        "ageing": asdict(y.ageing) if y.ageing else None,
        "storage": [asdict(s) for s in y.storage],
        "step_min": y.step_min,
        "steps": asdict(y.steps) if y.steps else None,
        "second_banks": [asdict(b) for b in y.second_banks],
        "notes": list(y.notes),
        "assumptions": list(y.assumptions),
    }
