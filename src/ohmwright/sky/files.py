"""Open weather files: typical-year and one-year hourly files in the EPW, TMY2 and TMY3 layouts.

Their hours end at the stamp; here hours begin at the index, so the first row of 1 January (hour 1, 01:00) is
index 0.  A leap day is left out.  What does not look like a year of weather is refused with its line.
"""

import csv
import math
from collections.abc import Callable
from dataclasses import dataclass

from ohmwright.sky.months import DAYS_IN_MONTH, CLASS_WIND_m_per_s
from ohmwright.sky.sift import year_of
from ohmwright.sky.types import WeatherYear
from ohmwright.working import FileError, Position

MAX_BYTES = 20_000_000
#: So many missing values of one column are filled between their neighbours; more are refused.
MAX_FILLED = 48
HOURS = 8760


@dataclass(frozen=True, slots=True)
class Header:
    """Where the file is from."""

    name: str
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    utc_offset_h: float


@dataclass(frozen=True, slots=True)
class Row:
    """One hour as written, with the line it stands on; None is a missing value."""

    line: int
    month: int
    day: int
    hour: int
    ghi: float | None
    dni: float | None
    dhi: float | None
    air: float | None
    wind: float | None


@dataclass(frozen=True, slots=True)
class _Layout:
    """How one kind of file is read: its name, its header, the number of header lines, one row."""

    kind: str
    header: Callable[[list[str], str], Header]
    first: int
    row: Callable[[str, int, str, list[str]], Row]


def read_weather(data: bytes, name: str) -> WeatherYear:
    """The year of weather in a file; `name` is the file's name for messages and for the source.

    Raises FileError with the line and what to do for anything that is not a whole, plausible year.
    """
    lines = _lines(data, name)
    layout = _layout(lines, name)
    header = layout.header(lines, name)
    _check_header(header, name)
    rows = [
        layout.row(line, n, name, lines)
        for n, line in enumerate(lines[layout.first :], layout.first + 1)
        if line.strip()
    ]
    leap = len(rows) == HOURS + 24 and any((r.month, r.day) == (2, 29) for r in rows)
    kept = [r for r in rows if (r.month, r.day) != (2, 29)] if leap else rows
    _check_order(kept, name)
    columns = {
        key: _filled([getattr(r, key) for r in kept], kept, key, name)
        for key in ("ghi", "dni", "dhi", "air", "wind")
    }
    windless = all(r.wind is None for r in kept)
    filled = sum(getattr(r, key) is None for r in kept for key in columns if not (windless and key == "wind"))
    said = f"{layout.kind} file {name}"
    said += "; 29 February left out" if leap else ""
    said += f"; no wind in it, {CLASS_WIND_m_per_s:g} m/s throughout" if windless else ""
    said += f"; {filled} missing values filled between their neighbours" if filled else ""
    return year_of(
        columns,
        said,
        name,
        header.name,
        header.latitude_deg,
        header.longitude_deg,
        header.altitude_m,
        header.utc_offset_h,
    )


def _lines(data: bytes, name: str) -> list[str]:
    if len(data) > MAX_BYTES:
        raise FileError(
            f"{len(data)} bytes: too large for a year of hours",
            at=_at(name),
            remedy=f"give a file of at most {MAX_BYTES // 1_000_000} MB",
        )
    if b"\0" in data[:4096] or data.startswith((b"\xff\xfe", b"\xfe\xff", b"PK", b"\x1f\x8b")):
        raise FileError("this is no text file", at=_at(name, 1), remedy="unpack it, or save it as plain text")
    text = data.removeprefix(b"\xef\xbb\xbf").decode("latin-1")
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if any(len(line) > 4000 for line in lines[:9000]):
        raise FileError(
            "a line of more than 4000 characters",
            at=_at(name),
            remedy="give an hourly weather file in the EPW, TMY2 or TMY3 layout",
        )
    if len(lines) > 60_000:
        raise FileError(
            f"{len(lines)} lines", at=_at(name), remedy="give hourly values of one year: 8760 rows"
        )
    return lines


def _layout(lines: list[str], name: str) -> _Layout:
    first, second = lines[0], lines[1] if len(lines) > 1 else ""
    if first.startswith("LOCATION,"):
        return _Layout("EPW", _epw_header, _epw_first(lines, name), _epw_row)
    if second.startswith("Date (MM/DD/YYYY)"):
        return _Layout("TMY3", _tmy3_header, 2, _tmy3_row)
    if len(first) < 80 and len(second) >= 135 and second[1:9].strip().isdigit():
        return _Layout("TMY2", _tmy2_header, 1, _tmy2_row)
    raise FileError(
        "neither of the layouts that are read here",
        at=_at(name, 1),
        remedy="give an EPW, TMY2 or TMY3 file with its header lines",
        text=first[:60],
    )


def _at(name: str, line: int = 0, column: int = 1) -> Position:
    return Position(name, line, column if line else 0)


def _number(text: str, what: str, name: str, line: int, missing: float | None = None) -> float | None:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or "_" in text:
        raise FileError(
            f"{what} is '{text.strip()[:20]}'", at=_at(name, line), remedy="write a number", text=text[:20]
        )
    return None if missing is not None and value >= missing else value


def _sure(text: str, what: str, name: str, line: int) -> float:
    value = _number(text, what, name, line)
    assert value is not None  # without a code for missing there is always a number
    return value


def _whole(text: str, what: str, name: str, line: int) -> int:
    value = _sure(text, what, name, line)
    if value != int(value):
        raise FileError(
            f"{what} is '{text.strip()[:20]}'",
            at=_at(name, line),
            remedy="write a whole number",
            text=text[:20],
        )
    return int(value)


def _fields(line: str, least: int, name: str, n: int) -> list[str]:
    fields = next(csv.reader([line]))
    if len(fields) < least:
        raise FileError(
            f"{len(fields)} columns, at least {least} are wanted",
            at=_at(name, n),
            remedy="the line is cut short; get the file again",
        )
    return fields


def _epw_header(lines: list[str], name: str) -> Header:
    f = _fields(lines[0], 10, name, 1)
    numbers = [
        _sure(f[k], what, name, 1)
        for k, what in ((6, "latitude"), (7, "longitude"), (9, "altitude"), (8, "time zone"))
    ]
    return Header(", ".join(p.strip() for p in (f[1], f[3]) if p.strip(" -")), *numbers)


def _epw_first(lines: list[str], name: str) -> int:
    for n, line in enumerate(lines[:60]):
        if line.startswith("DATA PERIODS"):
            f = line.split(",")
            if len(f) > 2 and f[2].strip() not in ("", "1"):
                raise FileError(
                    f"{f[2].strip()} records an hour",
                    at=_at(name, n + 1),
                    remedy="give a file with one record an hour",
                )
            return n + 1
    raise FileError("no line DATA PERIODS", at=_at(name, 1), remedy="give the file with all its header lines")


def _epw_row(line: str, n: int, name: str, _: list[str]) -> Row:
    f = _fields(line, 22, name, n)
    when = [_whole(f[k], what, name, n) for k, what in ((1, "month"), (2, "day"), (3, "hour"))]
    values = [_number(f[k], what, name, n, gone) for k, what, gone in _EPW]
    return Row(n, *when, *values)


_EPW = (
    (13, "global irradiation", 9999),
    (14, "direct irradiation", 9999),
    (15, "diffuse irradiation", 9999),
    (6, "air temperature", 99.9),
    (21, "wind", 999),
)


def _tmy3_header(lines: list[str], name: str) -> Header:
    f = _fields(lines[0], 7, name, 1)
    numbers = [
        _sure(f[k], what, name, 1)
        for k, what in ((4, "latitude"), (5, "longitude"), (6, "altitude"), (3, "time zone"))
    ]
    return Header(f"{f[1].strip().title()}, {f[2].strip()}", *numbers)


_TMY3 = (("GHI (W/m^2)", "global irradiation"), ("DNI (W/m^2)", "direct irradiation"), ("DHI (W/m^2)", "diffuse irradiation"),
         ("Dry-bulb (C)", "air temperature"), ("Wspd (m/s)", "wind"))  # fmt: skip


def _tmy3_row(line: str, n: int, name: str, lines: list[str]) -> Row:
    titles = lines[1].split(",")
    f = _fields(line, len(titles) - 1, name, n)
    date, clock = f[0].split("/"), f[1].split(":")
    if len(date) != 3 or len(clock) < 2 or clock[1].strip() not in ("00", "0"):
        raise FileError(
            f"'{f[0]} {f[1]}' is no full hour", at=_at(name, n, 1), remedy="write MM/DD/YYYY,HH:00"
        )
    when = [
        _whole(t, what, name, n) for t, what in ((date[0], "month"), (date[1], "day"), (clock[0], "hour"))
    ]
    values = []
    for title, what in _TMY3:
        if title not in titles:
            raise FileError(
                f"no column '{title}'", at=_at(name, 2), remedy="give the file with all its columns"
            )
        value = _sure(f[titles.index(title)], what, name, n)
        values.append(None if value <= -9900 else value)
    return Row(n, *when, *values)


def _tmy2_header(lines: list[str], name: str) -> Header:
    line = lines[0]
    try:
        city, state, rest = line[7:29].strip().title(), line[29:33].strip(), line[33:].split()
        offset, ns, la, la_min, ew, lo, lo_min, height = rest[-8:]
        latitude = (float(la) + float(la_min) / 60) * (1 if ns == "N" else -1)
        longitude = (float(lo) + float(lo_min) / 60) * (1 if ew == "E" else -1)
        return Header(f"{city} {state}".strip(), latitude, longitude, float(height), float(offset))
    except ValueError:
        raise FileError(
            "a header that cannot be read",
            at=_at(name, 1),
            remedy="give station, offset, latitude, longitude, altitude",
            text=line[:60],
        ) from None


_TMY2 = ((17, 21, "global irradiation", 1.0, 9999), (23, 27, "direct irradiation", 1.0, 9999), (29, 33, "diffuse irradiation", 1.0, 9999),
         (67, 71, "air temperature", 0.1, 9999), (95, 98, "wind", 0.1, 999))  # fmt: skip


def _tmy2_row(line: str, n: int, name: str, _: list[str]) -> Row:
    if len(line) < 98:
        raise FileError(
            f"{len(line)} characters, 142 are wanted",
            at=_at(name, n),
            remedy="the line is cut short; get the file again",
        )
    when = [
        _whole(line[a:b], what, name, n) for a, b, what in ((3, 5, "month"), (5, 7, "day"), (7, 9, "hour"))
    ]
    values = []
    for a, b, what, scale, gone in _TMY2:
        value = _number(line[a:b], what, name, n, gone)
        values.append(None if value is None else value * scale)
    return Row(n, *when, *values)


def _check_header(header: Header, name: str) -> None:
    if not (
        -90 <= header.latitude_deg <= 90
        and -180 <= header.longitude_deg <= 180
        and -430 <= header.altitude_m <= 6000
    ):
        raise FileError(
            f"a station at {header.latitude_deg:g}, {header.longitude_deg:g}, {header.altitude_m:g} m",
            at=_at(name, 1),
            remedy="write latitude, longitude and altitude of a place on earth",
        )
    if not -12 <= header.utc_offset_h <= 14:
        raise FileError(
            f"a time zone of {header.utc_offset_h:g} hours", at=_at(name, 1), remedy="write -12 to 14"
        )
    away_h = (header.utc_offset_h - header.longitude_deg / 15 + 12) % 24 - 12
    if abs(away_h) > 3.5:
        raise FileError(
            f"a time zone of {header.utc_offset_h:g} hours at longitude {header.longitude_deg:g}: {abs(away_h):.1f} hours from the sun",
            at=_at(name, 1),
            remedy="west is negative, and hours are those ahead of UTC",
        )


def _check_order(rows: list[Row], name: str) -> None:
    expected = (
        (m, d, h) for m, days in enumerate(DAYS_IN_MONTH, 1) for d in range(1, days + 1) for h in range(1, 25)
    )
    for row, (month, day, hour) in zip(rows, expected, strict=False):
        if (row.month, row.day, row.hour) != (month, day, hour):
            raise FileError(
                f"month {row.month}, day {row.day}, hour {row.hour} where month {month}, day {day}, hour {hour} is due",
                at=_at(name, row.line),
                remedy="give every hour of the year once, in order, hours 1 to 24 in standard time",
            )
    if len(rows) != HOURS:
        raise FileError(
            f"{len(rows)} hours, {HOURS} are wanted",
            at=_at(name, rows[-1].line if rows else 1),
            remedy="give a whole year; the file may be cut short",
        )


def _filled(values: list[float | None], rows: list[Row], key: str, name: str) -> list[float]:
    """The column with its few gaps filled on a straight line between the neighbours."""
    known = [k for k, v in enumerate(values) if v is not None]
    gaps = len(values) - len(known)
    what = {
        "ghi": "global irradiation",
        "dni": "direct irradiation",
        "dhi": "diffuse irradiation",
        "air": "air temperature",
        "wind": "wind",
    }[key]
    if key == "wind" and not known:
        return [CLASS_WIND_m_per_s] * len(values)
    if gaps > MAX_FILLED:
        line = next(r.line for r, v in zip(rows, values, strict=True) if v is None)
        raise FileError(
            f"{gaps} missing values of {what}",
            at=_at(name, line),
            remedy=f"give a file with at most {MAX_FILLED}",
        )
    out = [v if v is not None else math.nan for v in values]
    for k, value in enumerate(values):
        if value is None:
            before = max((i for i in known if i < k), default=known[0])
            after = min((i for i in known if i > k), default=known[-1])
            part = (k - before) / (after - before) if after > before else 0.0
            out[k] = out[before] + part * (out[after] - out[before])
    return out
