"""How fast the sun is: position, decomposition and a tilted plane for a year of hours, beside pvlib in the same run.

    python timings/sun.py

Told in processor time, best of several, interleaved, at a fresh latitude each round so that no cache answers.
Ours holds the mean of each hour (sunrise inside the hour is cut exactly); pvlib is asked at half past.
"""

import sys
import time
import warnings
from collections.abc import Callable

import numpy as np
import pandas as pd
import pvlib

from ohmwright.sky.plane import diffuse_W_m2, on_plane_W_m2
from ohmwright.sky.spots import spot_at
from ohmwright.sky.sun_hours import Floats, sun_hours
from ohmwright.sky.weather import hours_of, normal_year, synthetic_years

ROUNDS = 9
LONGITUDE_deg, OFFSET_h, TILT_deg, FACING_deg = -92.1, -6.0, 30.0, 180.0


def ours(latitude_deg: float, ghi: Floats) -> float:
    """Annual irradiation of the plane, kWh/m2."""
    sun = sun_hours(latitude_deg, LONGITUDE_deg, OFFSET_h)
    return float(on_plane_W_m2(sun, ghi, diffuse_W_m2(sun, ghi), TILT_deg, FACING_deg).sum()) / 1000


def theirs(latitude_deg: float, ghi: Floats, when: pd.DatetimeIndex) -> float:
    """The same through the reference library."""
    place = pvlib.solarposition.get_solarposition(when, latitude_deg, LONGITUDE_deg)
    parts = pvlib.irradiance.erbs(ghi, place["zenith"], when)
    outside = pvlib.irradiance.get_extra_radiation(when)
    mass = pvlib.atmosphere.get_relative_airmass(place["zenith"])
    plane = pvlib.irradiance.get_total_irradiance(
        TILT_deg,
        FACING_deg,
        place["zenith"],
        place["azimuth"],
        parts["dni"],
        ghi,
        parts["dhi"],
        dni_extra=outside,
        airmass=mass,
        albedo=0.2,
        model="perez",
    )
    return float(plane["poa_global"].fillna(0).sum()) / 1000


def best_ms(work: Callable[[float], object]) -> float:
    """Best processor time of several rounds, ms; the latitude differs each time."""
    taken = []
    for k in range(ROUNDS):
        began = time.process_time()
        work(46.0 + 0.01 * k)
        taken.append(time.process_time() - began)
    return 1000 * min(taken)


def main() -> None:
    """Print the table."""
    warnings.simplefilter("ignore")
    began = time.process_time()
    sun_hours(45.0, LONGITUDE_deg, OFFSET_h)
    first_ms = 1000 * (time.process_time() - began)
    ghi = np.array(normal_year(spot_at(46.8, LONGITUDE_deg, 186.0)).ghi_W_m2)
    when = pd.date_range("2023-01-01 00:30", periods=8760, freq="1h", tz="Etc/GMT+6")
    a, b = (
        best_ms(lambda latitude: ours(latitude, ghi)),
        best_ms(lambda latitude: theirs(latitude, ghi, when)),
    )
    spot = spot_at(46.8, LONGITUDE_deg, 186.0)
    days_ms = best_ms(lambda latitude: synthetic_years(spot, 1000, int(latitude * 1000)))
    hours_ms = best_ms(lambda latitude: hours_of(synthetic_years(spot, 100, int(latitude * 1000))))
    out = sys.stdout.write
    out(f"first year of sun in a process          {first_ms:8.1f} ms\n")
    out(f"position, diffuse part, plane, 8760 h   {a:8.2f} ms\n")
    out(f"the same in pvlib {pvlib.__version__:<20}  {b:8.2f} ms\n")
    out(f"ratio                                   {b / a:8.1f}\n")
    out(f"year on the plane, ours / pvlib         {ours(46.8, ghi) / theirs(46.8, ghi, when):8.4f}\n")
    out(f"1000 made years of days                 {days_ms:8.1f} ms\n")
    out(f"100 made years of hours                 {hours_ms:8.1f} ms\n")


if __name__ == "__main__":
    main()
