"""A flat plane against the best tilt."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from ohmwright.roof.tilt import TILTS_deg, against_best
from ohmwright.sky.types import WeatherYear


def test_lying_flat_costs_most_in_winter_and_little_in_june(duluth: WeatherYear) -> None:
    flat = against_best(duluth)

    assert max(flat) <= 1.0
    assert flat[11] < 0.65
    assert flat[5] > 0.97
    assert against_best(duluth, 45.0, 180.0)[0] > 0.9


@pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear")  # inside pvlib
def test_the_best_tilt_is_that_of_the_reference_library(duluth: WeatherYear) -> None:
    """December by pvlib with its own sun and transposition: 5 %, for the two treat sun lower than five degrees differently."""
    when = pd.date_range("2023-01-01 00:30", periods=8760, freq="1h", tz="Etc/GMT+6")
    place = pvlib.solarposition.get_solarposition(when, 46.8, -92.1)
    ghi, dhi = np.array(duluth.ghi_W_m2), np.array(duluth.dhi_W_m2)
    dni = np.array(duluth.dni_W_m2)
    month = when.month.to_numpy() == 12
    sums = []
    for tilt in TILTS_deg:
        made = pvlib.irradiance.get_total_irradiance(
            tilt, 180.0, place["zenith"], place["azimuth"], dni, ghi, dhi,
            dni_extra=pvlib.irradiance.get_extra_radiation(when), airmass=pvlib.atmosphere.get_relative_airmass(place["zenith"]),
            albedo=0.2, model="perez",
        )  # fmt: skip
        sums.append(float(made["poa_global"].fillna(0)[month].sum()))

    assert against_best(duluth)[11] == pytest.approx(ghi[month].sum() / max(sums), rel=0.05)
