"""Open weather files: against pvlib's readers, and with everything that can be wrong with one."""

import io
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.sky.files import read_weather
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import WeatherYear
from ohmwright.working import FileError

DATA = Path(pvlib.__file__).parent / "data"
TMY3, TMY2 = "723170TYA.CSV", "12839.tm2"


@lru_cache(maxsize=4)
def raw(name: str) -> bytes:
    return (DATA / name).read_bytes()


@lru_cache(maxsize=4)
def read(name: str) -> WeatherYear:
    return read_weather(raw(name), name)


@lru_cache(maxsize=1)
def as_epw() -> bytes:
    """The Greensboro year in the EPW layout (EnergyPlus, auxiliary programs document, columns by number)."""
    year = read(TMY3)
    head = "LOCATION,Greensboro,NC,USA,TMY3,723170,36.1,-79.95,-5.0,273.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n"
    head += "GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1\nCOMMENTS 2\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n"
    rows, hour = [], 0
    for month, days in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), 1):
        for day in range(1, days + 1):
            for h in range(1, 25):
                f = ["1990", str(month), str(day), str(h), "60", "?9?9", f"{year.air_degC[hour]:.1f}", "5.0", "50", "100000", "0", "0", "300",
                     f"{year.ghi_W_m2[hour]:.0f}", f"{year.dni_W_m2[hour]:.0f}", f"{year.dhi_W_m2[hour]:.0f}", "0", "0", "0", "0", "180",
                     f"{year.wind_m_per_s[hour]:.1f}", "5", "5", "20", "2000", "9", "999999999", "10", "0.1", "0", "88", "0.2", "0", "0"]  # fmt: skip
                rows.append(",".join(f))
                hour += 1
    return (head + "\n".join(rows) + "\n").encode()


def test_a_tmy3_file_is_read_as_the_reference_library_reads_it() -> None:
    theirs, about = pvlib.iotools.read_tmy3(DATA / TMY3, coerce_year=1990, map_variables=True)
    ours = read(TMY3)

    for mine, column in (
        (ours.ghi_W_m2, "ghi"),
        (ours.dni_W_m2, "dni"),
        (ours.dhi_W_m2, "dhi"),
        (ours.air_degC, "temp_air"),
        (ours.wind_m_per_s, "wind_speed"),
    ):
        assert np.allclose(mine, theirs[column].to_numpy())
    assert (ours.spot.latitude_deg, ours.spot.longitude_deg, ours.spot.altitude_m) == (
        about["latitude"],
        about["longitude"],
        about["altitude"],
    )
    assert ours.utc_offset_h == -5
    assert ours.is_real
    assert "TMY3" in ours.source


def test_a_tmy2_file_is_read_as_the_reference_library_reads_it() -> None:
    theirs, about = pvlib.iotools.read_tmy2(str(DATA / TMY2))
    ours = read(TMY2)

    for mine, column, scale in (
        (ours.ghi_W_m2, "GHI", 1),
        (ours.dni_W_m2, "DNI", 1),
        (ours.dhi_W_m2, "DHI", 1),
        (ours.air_degC, "DryBulb", 10),
        (ours.wind_m_per_s, "Wspd", 10),
    ):
        assert np.allclose(mine, theirs[column].to_numpy() / scale)
    assert ours.spot.latitude_deg == pytest.approx(about["latitude"])
    assert ours.spot.longitude_deg == pytest.approx(about["longitude"])
    assert ours.spot.name == "Miami FL"


def test_an_epw_file_is_read_as_the_reference_library_reads_it() -> None:
    theirs, about = (
        pvlib.iotools.parse_epw(io.StringIO(as_epw().decode()))
        if hasattr(pvlib.iotools, "parse_epw")
        else pvlib.iotools.read_epw(io.StringIO(as_epw().decode()))
    )
    ours = read_weather(as_epw(), "greensboro.epw")

    for mine, column in (
        (ours.ghi_W_m2, "ghi"),
        (ours.dni_W_m2, "dni"),
        (ours.dhi_W_m2, "dhi"),
        (ours.air_degC, "temp_air"),
        (ours.wind_m_per_s, "wind_speed"),
    ):
        assert np.allclose(mine, theirs[column].to_numpy())
    assert ours.spot.latitude_deg == about["latitude"]
    assert ours.utc_offset_h == about["TZ"]


# Published sums of the same file (kWh/m2 and day), December and June.
def test_the_months_of_a_file_become_those_of_its_spot() -> None:
    spot = read(TMY3).spot

    assert spot.ghi_kWh_m2_day[11] == pytest.approx(2.24, abs=0.005)
    assert spot.ghi_kWh_m2_day[5] == pytest.approx(6.25, abs=0.005)
    assert spot.method == "weather file"


def test_a_typical_year_does_not_hide_the_record_night() -> None:
    year = read(TMY3)

    assert year.spot.coldest_degC == spot_at(36.1, -79.95, 273).coldest_degC < min(year.air_degC)


def test_noon_of_the_file_is_noon_of_the_sun() -> None:
    """Hours that end at their stamp are moved to where they begin: the middle of the light lies at the true noon."""
    year = read(TMY3)
    ghi = np.array(year.ghi_W_m2).reshape(365, 24)
    middle = float((ghi * (np.arange(24) + 0.5)).sum() / ghi.sum())

    assert middle == pytest.approx(12 + (-75 + 79.95) / 15, abs=0.15)


def edited(old: bytes, new: bytes, count: int = 1) -> bytes:
    assert old in raw(TMY3)
    return raw(TMY3).replace(old, new, count)


def lines_of(data: bytes) -> list[bytes]:
    return data.split(b"\r\n") if b"\r\n" in data else data.split(b"\n")


def with_column(change: Callable[[float], float], column: int) -> bytes:
    lines = as_epw().split(b"\n")
    out = lines[:8]
    for line in lines[8:]:
        if line:
            f = line.split(b",")
            f[column] = f"{change(float(f[column])):.1f}".encode()
            line = b",".join(f)
        out.append(line)
    return b"\n".join(out)


def test_a_file_cut_short_is_refused_with_its_last_line() -> None:
    data = b"\n".join(lines_of(raw(TMY3))[:5000]) + b"\n"
    with pytest.raises(FileError, match="4998 hours, 8760 are wanted") as refused:
        read_weather(data, "cut.csv")
    assert refused.value.at.line == 5000


def test_a_line_cut_short_is_refused_where_it_stands() -> None:
    lines = lines_of(raw(TMY3))
    lines[99] = lines[99][:60]
    with pytest.raises(FileError, match="columns, at least") as refused:
        read_weather(b"\n".join(lines), "short.csv")
    assert str(refused.value).startswith("short.csv:100:1:")


def test_an_hour_twice_or_missing_is_refused_where_it_stands() -> None:
    lines = lines_of(raw(TMY3))
    with pytest.raises(FileError, match="where month 1, day 5, hour 3 is due") as refused:
        read_weather(b"\n".join(lines[:100] + lines[99:]), "twice.csv")
    assert refused.value.at.line == 101
    with pytest.raises(FileError, match="where month 1, day 5, hour 2 is due"):
        read_weather(b"\n".join(lines[:99] + lines[100:]), "gap.csv")


def test_a_word_where_a_number_is_due_is_refused() -> None:
    for bad in (b"n/a", b"nan", b"1e999", b"inf", b"12_3", b""):
        lines = as_epw().split(b"\n")
        f = lines[20].split(b",")
        f[13] = bad
        lines[20] = b",".join(f)
        with pytest.raises(FileError, match="global irradiation is") as refused:
            read_weather(b"\n".join(lines), "word.epw")
        assert refused.value.at.line == 21


def test_few_missing_values_are_filled_and_said_and_many_refused() -> None:
    lines = as_epw().split(b"\n")
    for n in range(2000, 2003):
        f = lines[n].split(b",")
        f[6] = b"99.9"
        lines[n] = b",".join(f)
    year = read_weather(b"\n".join(lines), "gaps.epw")
    assert "3 missing values" in year.source
    hour = 2000 - 8
    assert year.air_degC[hour + 1] == pytest.approx((year.air_degC[hour - 1] + year.air_degC[hour + 3]) / 2)

    with pytest.raises(FileError, match="8760 missing values of air temperature"):
        read_weather(with_column(lambda _: 99.9, 6), "none.epw")


def test_a_file_without_wind_says_so() -> None:
    year = read_weather(with_column(lambda _: 999, 21), "still.epw")

    assert "no wind in it" in year.source
    assert "missing" not in year.source
    assert set(year.wind_m_per_s) == {2.0}


def test_a_leap_day_is_left_out_and_said() -> None:
    lines = as_epw().split(b"\n")
    february = 8 + (31 + 28) * 24
    leap = [
        b",".join([b"1992", b"2", b"29", str(h).encode(), *lines[february - 25 + h].split(b",")[4:]])
        for h in range(1, 25)
    ]
    year = read_weather(b"\n".join(lines[:february] + leap + lines[february:]), "leap.epw")

    assert "29 February" in year.source
    assert len(year.ghi_W_m2) == 8760


# Files of places with half-hour clocks are found whose header holds the whole hour: India's clock is 5.5 h, they say 5.
def test_a_clock_half_an_hour_off_is_read_by_the_sun_and_said() -> None:
    half = read_weather(as_epw().replace(b"36.1,-79.95,-5.0", b"36.1,-79.95,-5.5"), "half.epw")
    right = read_weather(as_epw(), "right.epw")

    if (
        half.utc_offset_h != -5.5
    ):  # the sun tells half an hour only in bright dawns; where it does not, nothing is changed
        assert half.utc_offset_h == -5.0
        assert "half an hour off" in half.source
    assert half.ghi_W_m2 == right.ghi_W_m2
    assert "half an hour" not in right.source


@pytest.mark.parametrize("factor", [1.35, 3.6, 0.0])
def test_irradiation_in_another_unit_is_refused(factor: float) -> None:
    with pytest.raises(
        FileError, match=r"brighter than any sky|without sun|global irradiation of|times that of a sky"
    ):
        read_weather(with_column(lambda v: v * factor, 13), "unit.epw")


def test_a_wrong_clock_hemisphere_or_side_of_greenwich_is_refused() -> None:
    moved = as_epw().replace(b"36.1,-79.95,-5.0", b"36.1,-79.95,-8.0")
    with pytest.raises(FileError, match="falls in the night") as refused:
        read_weather(moved, "clock.epw")
    assert "UTC-5" in refused.value.remedy  # what the sun says of its clock
    with pytest.raises(FileError, match="hours from the sun"):
        read_weather(as_epw().replace(b"36.1,-79.95,-5.0", b"36.1,79.95,-5.0"), "east.epw")
    with pytest.raises(FileError, match=r"brighter than any sky|times that of|in the night"):
        read_weather(as_epw().replace(b"36.1,-79.95", b"-46.1,-79.95"), "south.epw")
    with pytest.raises(FileError, match="a station at"):
        read_weather(as_epw().replace(b"36.1,-79.95", b"136.1,-79.95"), "off.epw")


def test_a_file_in_half_hours_is_refused() -> None:
    with pytest.raises(FileError, match="2 records an hour"):
        read_weather(as_epw().replace(b"DATA PERIODS,1,1", b"DATA PERIODS,1,2"), "half.epw")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\n",
        b"hello\nworld\n",
        b"PK\x03\x04zip",
        "LOCATION,x".encode("utf-16"),
        b"LOCATION,a\n",
        b"LOCATION," + b"x" * 10_000,
        b"a\n" * 70_000,
    ],
)
def test_what_is_no_weather_file_is_refused_with_a_remedy(data: bytes) -> None:
    with pytest.raises(FileError) as refused:
        read_weather(data, "other.txt")
    assert refused.value.remedy


def test_a_huge_file_is_refused_before_it_is_read() -> None:
    with pytest.raises(FileError, match="too large"):
        read_weather(b"0" * 20_000_001, "huge.epw")


@given(st.integers(0, 60_000), st.binary(min_size=1, max_size=6))
@settings(max_examples=40, deadline=None)
def test_a_file_with_a_broken_spot_is_read_or_refused_never_worse(at: int, put: bytes) -> None:
    data = bytearray(as_epw())
    data[at : at + len(put)] = put
    try:
        year = read_weather(bytes(data), "broken.epw")
    except FileError as refused:
        told = refused
        assert told.remedy
        return
    assert len(year.ghi_W_m2) == 8760
