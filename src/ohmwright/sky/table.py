"""The packaged climate table: land cells of half a degree, read a row at a time without numpy.

File: magic, length of the header (4 bytes), header (JSON), then packed rows and two coarse grids.  A row holds
the column numbers and 28 figures by cell; `scripts/make_sky_table.py` writes it.
"""

import json
import math
import sys
import zlib
from array import array
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from typing import Any

from ohmwright.working import packaged

MAGIC = b"OWSKY1\n"
LAND, ISLAND, NO_SUN = 0, 1, 2
EARTH_RADIUS_km = 6371.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of the table: centre, monthly figures, extremes, mean altitude; `ghi` is empty where no source reaches."""

    latitude_deg: float
    longitude_deg: float
    ghi_kWh_m2_day: tuple[float, ...]  # noqa: N815
    air_degC: tuple[float, ...]
    coldest_degC: float
    hottest_degC: float
    altitude_m: float
    kind: int


@lru_cache(maxsize=1)
def _file() -> tuple[dict[str, Any], memoryview]:
    data = packaged("ohmwright.sky", "climate.bin")
    if not data.startswith(MAGIC):
        raise ValueError("climate.bin is no climate table")
    at = len(MAGIC)
    length = int.from_bytes(data[at : at + 4], "little")
    header: dict[str, Any] = json.loads(data[at + 4 : at + 4 + length])
    return header, memoryview(data)[at + 4 + length :]


def table_id() -> str:
    """The version of the table: it goes into every answer that used it."""
    return str(_file()[0]["id"])


def table_sources() -> dict[str, str]:
    """What the table was made of, for the list of sources."""
    return dict(_file()[0]["sources"])


@lru_cache(maxsize=64)
def row(i: int) -> dict[int, Cell]:
    """The cells of row `i` (0 is the southernmost) by column number."""
    header, body = _file()
    if not 0 <= i < len(header["rows"]):
        return {}
    at, length, count = header["rows"][i]
    if not count:
        return {}
    halves = zlib.decompress(body[at : at + length])
    n = len(halves) // 2
    whole = bytearray(2 * n)
    whole[0::2], whole[1::2] = halves[:n], halves[n:]
    numbers = array("h")
    numbers.frombytes(bytes(whole))
    if sys.byteorder == "big":
        numbers.byteswap()
    planes = [
        [_wrapped(v) for v in accumulate(numbers[k * count : (k + 1) * count])]
        for k in range(header["figures"] + 1)
    ]
    scales, missing, step = header["scales"], header["missing"], header["cell_deg"]
    latitude = header["south_deg"] + (i + 0.5) * step
    cells = {}
    for k, column in enumerate(planes[0]):
        f = [round(plane[k] * scale, 3) for plane, scale in zip(planes[1:], scales, strict=True)]
        ghi = () if planes[1][k] == missing else tuple(f[:12])
        cells[column] = Cell(
            latitude,
            header["west_deg"] + (column + 0.5) * step,
            ghi,
            tuple(f[12:24]),
            f[24],
            f[25],
            f[26],
            int(f[27]),
        )
    return cells


def _wrapped(value: int) -> int:
    return (value + 32768) % 65536 - 32768


def cells_around(latitude_deg: float, longitude_deg: float) -> list[tuple[float, Cell]]:
    """The cells of the four centres round a point that hold irradiation, with their bilinear weights (not summing to 1)."""
    y, x = _fractional(latitude_deg, longitude_deg)
    i, j = math.floor(y), math.floor(x)
    columns = int(_file()[0]["columns"])
    found = []
    for di, dj in ((0, 0), (0, 1), (1, 0), (1, 1)):
        cell = row(i + di).get((j + dj) % columns)
        weight = (1 - abs(y - i - di)) * (1 - abs(x - j - dj))
        if cell is not None and cell.ghi_kWh_m2_day and weight > 0:
            found.append((weight, cell))
    return found


def own_cell(latitude_deg: float, longitude_deg: float) -> Cell | None:
    """The cell that holds the point, with or without irradiation."""
    y, x = _fractional(latitude_deg, longitude_deg)
    return row(math.floor(y + 0.5)).get(math.floor(x + 0.5) % int(_file()[0]["columns"]))


def nearest_cell(latitude_deg: float, longitude_deg: float, within_km: float) -> tuple[float, Cell] | None:
    """The nearest cell with irradiation and its distance, or None within that distance."""
    header, _ = _file()
    middle = round(_fractional(latitude_deg, longitude_deg)[0])
    best: tuple[float, Cell] | None = None
    row_km = math.radians(header["cell_deg"]) * EARTH_RADIUS_km
    for away in range(len(header["rows"])):
        if (away - 1) * row_km > (best[0] if best else within_km):
            break
        for i in {middle - away, middle + away}:
            for cell in row(i).values():
                if cell.ghi_kWh_m2_day and (
                    km := distance_km(latitude_deg, longitude_deg, cell.latitude_deg, cell.longitude_deg)
                ) < (best[0] if best else within_km):
                    best = (km, cell)
    return best


def distance_km(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float
) -> float:
    """Great-circle distance between two points.

    >>> round(distance_km(0, 0, 0, 90))
    10008
    """
    a, b = math.radians(latitude_1_deg), math.radians(latitude_2_deg)
    half = (
        math.sin((a - b) / 2) ** 2
        + math.cos(a) * math.cos(b) * math.sin(math.radians(longitude_1_deg - longitude_2_deg) / 2) ** 2
    )
    return 2 * EARTH_RADIUS_km * math.asin(min(1.0, math.sqrt(half)))


def turbidity(latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    """Linke turbidity by month: means over 2.5 degrees."""
    return _coarse("turbidity", latitude_deg, longitude_deg)


def day_spread(latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    """Standard deviation over mean of daily clearness in MERRA-2, by month, 3 degree cells; empty over the open sea."""
    found = _coarse("spread", latitude_deg, longitude_deg)
    return found if any(found) else ()


def _coarse(name: str, latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    grid = _file()[0]["grids"][name]
    i = min(max(int((latitude_deg - grid["south_deg"]) / grid["step_deg"]), 0), grid["rows"] - 1)
    j = int((longitude_deg - grid["west_deg"]) / grid["step_deg"]) % grid["columns"]
    size = grid["rows"] * grid["columns"]
    values = _coarse_bytes(name)
    return tuple(values[m * size + i * grid["columns"] + j] / grid["scale"] for m in range(12))


@lru_cache(maxsize=2)
def _coarse_bytes(name: str) -> bytes:
    header, body = _file()
    grid = header["grids"][name]
    return zlib.decompress(body[grid["at"] : grid["at"] + grid["length"]])


def _fractional(latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Row and column of the point, counted from the centres of the cells."""
    header, _ = _file()
    return (latitude_deg - header["south_deg"]) / header["cell_deg"] - 0.5, (
        longitude_deg - header["west_deg"]
    ) / header["cell_deg"] - 0.5
