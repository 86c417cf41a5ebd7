"""A flat array's year against a pvlib chain, at three sites whose weather comes with pvlib."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pvlib
import pytest

from ohmwright.energy.plan import Array, Plane
from ohmwright.energy.series import array_power_W
from ohmwright.sky.types import WeatherYear

# pvlib asks pandas for a name that pandas is about to drop.
pytestmark = pytest.mark.filterwarnings("ignore:DatetimeIndex.dayofyear is deprecated")


def chain_kWh(array: Array, sky: WeatherYear, tilt_deg: float, faces_deg: float) -> np.ndarray:
    """Monthly yield of one kilowatt by pvlib: solar position, Perez, glass, cell temperature by mounting, PVWatts."""
    times = pd.date_range(
        "2025-01-01", periods=8760, freq="1h", tz=f"Etc/GMT{-int(sky.utc_offset_h):+d}"
    ) + pd.Timedelta("30min")
    spot = sky.spot
    sun = pvlib.solarposition.get_solarposition(
        times, spot.latitude_deg, spot.longitude_deg, spot.altitude_m or 0.0
    )
    ghi, dhi, dni = (pd.Series(x, times) for x in (sky.ghi_W_m2, sky.dhi_W_m2, sky.dni_W_m2))
    air, wind = pd.Series(sky.air_degC, times), pd.Series(sky.wind_m_per_s, times)
    onto = pvlib.irradiance.get_total_irradiance(
        tilt_deg, faces_deg, sun["apparent_zenith"], sun["azimuth"], dni, ghi, dhi, dni_extra=pvlib.irradiance.get_extra_radiation(times),
        albedo=array.albedo_ratio, model="perez", airmass=pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"]),
    ).fillna(0.0)  # fmt: skip
    aoi = pvlib.irradiance.aoi(tilt_deg, faces_deg, sun["apparent_zenith"], sun["azimuth"])
    diffuse = pvlib.iam.marion_diffuse("physical", tilt_deg)
    through = onto["poa_direct"] * pvlib.iam.physical(aoi) + onto["poa_sky_diffuse"] * diffuse["sky"]
    if tilt_deg > 0:
        through = through + onto["poa_ground_diffuse"] * diffuse["ground"]
    told = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
    cell = pvlib.temperature.sapm_cell(onto["poa_global"], air, wind, told["a"], told["b"], told["deltaT"])
    power = pvlib.pvsystem.pvwatts_dc(
        through.clip(lower=0), cell, 1000.0, array.coefficient_percent_per_K / 100
    )
    return np.asarray(power.groupby(times.month).sum()) / 1000


def ours_kWh(array: Array, sky: WeatherYear) -> np.ndarray:
    power, _, _ = array_power_W(array, sky)
    months = pd.date_range("2025-01-01", periods=8760, freq="1h").month
    return np.asarray(pd.Series(power).groupby(np.asarray(months)).sum()) / 1000


def one_kilowatt(tilt_deg: float, faces_deg: float | None) -> Array:
    # No low-light term and no losses: pvwatts_dc has none.
    return Array("M", 1000.0, -0.35, (Plane(tilt_deg, faces_deg),), 93.0, light=(0.0,) * 12)


@pytest.mark.parametrize("site", ["greensboro", "miami", "sand_point"])
def test_a_flat_kilowatt_yields_what_pvlib_says(site: str, request: pytest.FixtureRequest) -> None:
    # The chains differ in the glass of the sky (one angle against an integral) and in the sun of a typical year:
    # 1 % of the year, 3 % of any month.
    sky = request.getfixturevalue(site)
    array = one_kilowatt(0.0, None)
    theirs, ours = chain_kWh(array, sky, 0.0, 180.0), ours_kWh(array, sky)
    assert ours.sum() == pytest.approx(theirs.sum(), rel=0.01)
    assert ours == pytest.approx(theirs, rel=0.03)


@pytest.mark.parametrize("site", ["greensboro", "miami"])
@pytest.mark.parametrize(("tilt", "faces"), [(30.0, 180.0), (80.0, 180.0), (45.0, 90.0)])
def test_a_tilted_kilowatt_yields_what_pvlib_says(
    site: str, tilt: float, faces: float, request: pytest.FixtureRequest
) -> None:
    # The beam of low sun is held down where pvlib takes the file's own: 3 % of the year.
    sky = request.getfixturevalue(site)
    array = one_kilowatt(tilt, faces)
    assert ours_kWh(array, sky).sum() == pytest.approx(chain_kWh(array, sky, tilt, faces).sum(), rel=0.03)


def test_a_loose_heading_is_the_mean_of_the_fixed_ones(greensboro: WeatherYear) -> None:
    loose = ours_kWh(one_kilowatt(20.0, None), greensboro).sum()
    fixed = [ours_kWh(one_kilowatt(20.0, 22.5 + 45 * k), greensboro).sum() for k in range(8)]
    # The fixed ones have the sky of Perez, the mean that of Hay and Davies.
    assert loose == pytest.approx(sum(fixed) / 8, rel=0.02)
    # A tilt whose heading is left to chance gives less than lying flat.
    assert loose < ours_kWh(one_kilowatt(0.0, None), greensboro).sum()


def test_bonded_to_a_roof_costs_several_per_cent(miami: WeatherYear) -> None:
    # Flush against an open rack: 5-9 % of a year in a warm place (King's coefficients, computed).
    close = one_kilowatt(0.0, None)
    rack = replace(close, still_exponent=-3.47, wind_exponent=-0.0594, lift_K=3.0)
    bonded = replace(close, still_exponent=-2.81, wind_exponent=-0.0455, lift_K=0.0)
    lost = 1 - ours_kWh(bonded, miami).sum() / ours_kWh(rack, miami).sum()
    assert 0.04 < lost < 0.10
