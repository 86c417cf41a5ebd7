"""A point on the map and its climate: from the packaged table, with what the user typed laid over it."""

import math
from collections.abc import Sequence
from dataclasses import replace

from ohmwright.physics.sky_light import air_at_altitude_degC
from ohmwright.sky import table
from ohmwright.sky.months import clear_sky_by_month, extraterrestrial_by_month
from ohmwright.sky.types import Spot
from ohmwright.working import OhmwrightError, grouped

#: Monthly figures over the cloudless sky: doubted above the first, refused above the second (shop rule, no
#: published source; the clear-sky model itself is good to about 5 %).
DOUBTED_RATIO, REFUSED_RATIO = 0.98, 1.10
LOW_SUN_kWh_m2 = 0.5
FAR_km = 111.0
#: Clearness from further away was never held against anything: the coasts of the table that were tried lie so far apart at most.
MOST_FAR_km = 2500.0
#: Nine months of ten in typical-year files of 44 places lie within this of the table: 35 to 50 degrees from the equator,
#: nearer to it, further from it. Set on 25 of the places, held since by 19 more.
LAND_percent, TROPICS_percent, NORTH_percent = 15.0, 20.0, 25.0
ISLAND_percent = 25.0
#: Against sunshine hours the table is up to 27 % too bright in high places of the tropics and 48 % on the coast of Peru.
HIGH_m, HIGH_percent = 1500.0, 30.0
FOG_COAST_deg, FOG_percent = ((-18.6, -5.5), (-82.0, -70.2)), 60.0
#: Clearness taken from so many km away: nine months of ten within this times their square root, over coasts of the table
#: up to 2,500 km apart (12, 20, 30, 38 % at 150, 550, 1,250, 2,000 km; computed here).
FAR_percent_of_root_km = 0.85
_METHOD = "B 2011-2018"
#: Standard deviation of daily clearness after Hollands and Huget (Solar Energy 30 (1983) 195) by mean clearness from
#: 0.05 in steps of 0.05; computed here from the law as `days` draws it.
UNIVERSAL_SPREAD = (
    0.0003, 0.0458, 0.0895, 0.1264, 0.1557, 0.1770, 0.1908, 0.1978, 0.1986, 0.1936, 0.1830, 0.1666, 0.1441, 0.1154, 0.0813, 0.0449, 0.02,
)  # fmt: skip
#: Shares of the spread of MERRA-2 and of that law in the spread of a place: least squares over 25 places with weather
#: files, 10 S to 65 N; each place left out in turn, its spread is met within 15 % (standard deviation).
MERRA_share, LAW_share = 0.30, 0.59
#: Share of the law alone, where MERRA-2 has no days (the same least squares): at sea.
LAW_ALONE_share = 0.83


def spot_at(
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float | None = None,
    name: str = "",
    *,
    far: bool = False,
) -> Spot:
    """The climate of a point on land from the table.

    Without an altitude that of the table is taken.  Further than a degree from every cell the point is refused,
    unless `far` asks for the clearness of the nearest cell, up to `MOST_FAR_km` away and with a band as wide as that is far.
    """
    if not -90 <= latitude_deg <= 90 or not -180 <= longitude_deg <= 180:
        raise OhmwrightError(
            f"no such place: latitude {latitude_deg:g}, longitude {longitude_deg:g}",
            remedy="write latitude -90 to 90 and longitude -180 to 180, for instance 46.8 N 92.1 W",
        )
    around = table.cells_around(latitude_deg, longitude_deg)
    reach_km = MOST_FAR_km if far else FAR_km
    nearest = table.nearest_cell(latitude_deg, longitude_deg, reach_km)
    if nearest is None:
        raise OhmwrightError(
            f"no climate within {grouped(reach_km)} km of {name or 'the place'} ({coordinates_text(latitude_deg, longitude_deg)})",
            remedy="give a weather file of the place or of a stretch of sea like it: --weather FILE"
            if far
            else "name a place nearer to a mainland, or give a weather file: --weather FILE",
        )
    away_km, cell = nearest
    if away_km > FAR_km:
        return _far(latitude_deg, longitude_deg, altitude_m, name, away_km, cell)
    return _near(latitude_deg, longitude_deg, altitude_m, name, around or [(1.0, cell)], nearest)


def _near(
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float | None,
    name: str,
    used: list[tuple[float, table.Cell]],
    nearest: tuple[float, table.Cell],
) -> Spot:
    total = sum(w for w, _ in used)
    height = sum(w * c.altitude_m for w, c in used) / total if altitude_m is None else altitude_m
    ghi = tuple(sum(w * c.ghi_kWh_m2_day[m] for w, c in used) / total for m in range(12))
    air = tuple(
        sum(w * air_at_altitude_degC(c.air_degC[m], c.altitude_m, height) for w, c in used) / total
        for m in range(12)
    )
    away_km, cell = nearest
    island = any(c.kind != table.LAND for _, c in used)
    method = f"{_METHOD}, island: MERRA-2 scaled by the nearest land" if island else _METHOD
    coldest, hottest = _extremes(cell, height)
    return _spot(
        latitude_deg,
        longitude_deg,
        height,
        name,
        ghi,
        air,
        coldest,
        hottest,
        away_km,
        method,
        max(ISLAND_percent if island else 0.0, land_band_percent(latitude_deg, longitude_deg, height)),
    )


def land_band_percent(latitude_deg: float, longitude_deg: float, altitude_m: float) -> float:
    """What nine months of ten keep within, by place.

    >>> [land_band_percent(*at) for at in ((46.8, -92.1, 200), (5.0, 20.0, 300), (-13.5, -72.0, 3400), (-12.1, -77.0, 150))]
    [15.0, 20.0, 30.0, 60.0]
    """
    away_deg = abs(latitude_deg)
    (south, north), (west, east) = FOG_COAST_deg
    if south <= latitude_deg <= north and west <= longitude_deg <= east and altitude_m < HIGH_m:
        return FOG_percent
    if away_deg < 25.0 and altitude_m >= HIGH_m:
        return HIGH_percent
    return LAND_percent if 35.0 <= away_deg < 50.0 else TROPICS_percent if away_deg < 35.0 else NORTH_percent


def _far(
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float | None,
    name: str,
    away_km: float,
    cell: table.Cell,
) -> Spot:
    """The clearness of a far cell under the sun of this latitude; air of the place itself where the table has it."""
    there = extraterrestrial_by_month(cell.latitude_deg)
    here = extraterrestrial_by_month(latitude_deg)
    ghi = tuple(
        g * h / t if t > 0.2 else 0.45 * h for g, h, t in zip(cell.ghi_kWh_m2_day, here, there, strict=True)
    )
    own = table.own_cell(latitude_deg, longitude_deg) or cell
    height = altitude_m if altitude_m is not None else own.altitude_m
    air = tuple(air_at_altitude_degC(t, own.altitude_m, height) for t in own.air_degC)
    coldest, hottest = _extremes(own, height)
    return _spot(
        latitude_deg,
        longitude_deg,
        height,
        name,
        ghi,
        air,
        coldest,
        hottest,
        away_km,
        f"{_METHOD}, clearness of a far cell",
        round(math.hypot(ISLAND_percent, FAR_percent_of_root_km * math.sqrt(away_km))),
    )


def _extremes(cell: table.Cell, altitude_m: float) -> tuple[float, float]:
    """Coldest and hottest, moved with the altitude only to the worse: a valley is not warmer in a frost than the slope."""
    moved_K = air_at_altitude_degC(0.0, cell.altitude_m, altitude_m)
    return cell.coldest_degC + min(0.0, moved_K), cell.hottest_degC + max(0.0, moved_K)


def _spot(
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float,
    name: str,
    ghi: tuple[float, ...],
    air: tuple[float, ...],
    coldest_degC: float,
    hottest_degC: float,
    away_km: float,
    method: str,
    band_percent: float,
) -> Spot:
    return Spot(
        name or coordinates_text(latitude_deg, longitude_deg),
        latitude_deg,
        longitude_deg,
        round(altitude_m),
        tuple(round(g, 3) for g in ghi),
        tuple(round(t, 2) for t in air),
        round(coldest_degC, 1),
        round(hottest_degC, 1),
        round(away_km, 1),
        method,
        band_percent,
        _day_spread(latitude_deg, longitude_deg, ghi),
        table.turbidity(latitude_deg, longitude_deg),
    )


def _day_spread(latitude_deg: float, longitude_deg: float, ghi: tuple[float, ...]) -> tuple[float, ...]:
    """Standard deviation over mean of daily clearness by month; of the law alone where MERRA-2 has no days."""
    merra = table.day_spread(latitude_deg, longitude_deg)
    out = []
    for m, (g, o) in enumerate(zip(ghi, extraterrestrial_by_month(latitude_deg), strict=True)):
        k = g / o if o > 0.02 and g > 0.01 else 0.3
        law = universal_spread(k) / k
        out.append(round(MERRA_share * merra[m] + LAW_share * law if merra else LAW_ALONE_share * law, 3))
    return tuple(out)


def universal_spread(clearness: float) -> float:
    """Standard deviation of daily clearness in a month of that mean, after Hollands and Huget.

    >>> round(universal_spread(0.475), 4)
    0.1961
    """
    at = min(max(clearness / 0.05 - 1.0, 0.0), len(UNIVERSAL_SPREAD) - 1.001)
    k = int(at)
    return UNIVERSAL_SPREAD[k] + (at - k) * (UNIVERSAL_SPREAD[k + 1] - UNIVERSAL_SPREAD[k])


def coordinates_text(latitude_deg: float, longitude_deg: float) -> str:
    """A point as people write it.

    >>> coordinates_text(46.8, -92.1)
    '46.80 N 92.10 W'
    """
    return f"{abs(latitude_deg):.2f} {'N' if latitude_deg >= 0 else 'S'} {abs(longitude_deg):.2f} {'E' if longitude_deg >= 0 else 'W'}"


def with_typed(
    spot: Spot,
    *,
    ghi: Sequence[float] | None = None,
    air_degC: Sequence[float] | None = None,
    coldest_degC: float | None = None,
    hottest_degC: float | None = None,
    day_spread: Sequence[float] | None = None,
) -> Spot:
    """The spot with typed figures in place of the table's; irradiation (kWh/m2 and day) is held against the cloudless sky."""
    told = spot
    if ghi is not None:
        told = replace(
            told,
            ghi_kWh_m2_day=_twelve(ghi, "irradiation", 0, 14),
            method="typed",
            band_percent=10.0,
            cell_km=0.0,
        )
        for month, ratio in zip(MONTHS, clear_sky_ratios(told), strict=True):
            if ratio > REFUSED_RATIO:
                raise OhmwrightError(
                    f"irradiation of {month} is {ratio:.2f} times that of a sky without a cloud",
                    remedy="give kilowatt-hours per square metre and day on the horizontal, January first",
                )
    if air_degC is not None:
        told = replace(told, air_degC=_twelve(air_degC, "air temperature", -70, 50))
    if day_spread is not None:
        told = replace(told, day_spread=_twelve(day_spread, "day-to-day spread", 0, 1))
    if coldest_degC is not None:
        told = replace(told, coldest_degC=_within(coldest_degC, "coldest air", -90, 40))
    if hottest_degC is not None:
        told = replace(told, hottest_degC=_within(hottest_degC, "hottest air", -30, 60))
    return told


MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def clear_sky_ratios(spot: Spot) -> tuple[float, ...]:
    """Irradiation over that of the cloudless sky, by month; 0 in the polar night.

    Where the cloudless sky gives less than half a kilowatt-hour a day its model does not hold, and three
    quarters of the irradiation outside the air stand in for it.
    """
    clear, outside = clear_sky_by_month(spot), extraterrestrial_by_month(spot.latitude_deg)
    bound = (c if c > LOW_SUN_kWh_m2 else 0.75 * o for c, o in zip(clear, outside, strict=True))
    return tuple(
        g / b if b > 0.02 else (0.0 if g < 0.05 else math.inf)
        for g, b in zip(spot.ghi_kWh_m2_day, bound, strict=True)
    )


def doubts(spot: Spot) -> tuple[str, ...]:
    """What looks wrong with the figures of a spot, in sentences."""
    said = []
    for month, ratio in zip(MONTHS, clear_sky_ratios(spot), strict=True):
        if ratio > DOUBTED_RATIO:
            said.append(
                f"irradiation of {month} is {ratio:.2f} of a sky without a cloud: hardly a mean of many years"
            )
    if spot.coldest_degC > min(spot.air_degC):
        said.append(
            f"the coldest air, {spot.coldest_degC:g} degC, is above the mean of the coldest month, {min(spot.air_degC):g} degC"
        )
    if spot.hottest_degC < max(spot.air_degC):
        said.append(
            f"the hottest air, {spot.hottest_degC:g} degC, is below the mean of the hottest month, {max(spot.air_degC):g} degC"
        )
    return tuple(said)


def _twelve(values: Sequence[float], what: str, low: float, high: float) -> tuple[float, ...]:
    if len(values) != 12:
        raise OhmwrightError(f"{len(values)} figures of {what}", remedy="write twelve, January first")
    return tuple(_within(v, what, low, high) for v in values)


def _within(value: float, what: str, low: float, high: float) -> float:
    if not low <= value <= high:
        raise OhmwrightError(
            f"{what} of {value:g} is out of the world's range",
            remedy=f"write a figure from {low:g} to {high:g}",
        )
    return float(value)
