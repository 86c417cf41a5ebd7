"""What the sky floor answers."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spot:
    """A point on land and what is known of its climate, by month January to December.

    `ghi_kWh_m2_day` is the mean daily irradiation on the horizontal, `air_degC` the mean temperature,
    corrected to `altitude_m`.  `cell_km` is the distance to the table cell used.  `band_percent` is the
    printed uncertainty of one month.  `day_spread` is the standard deviation of daily clearness over its
    mean, by month; `turbidity` the Linke turbidity, by month; empty where the table does not say.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    altitude_m: float | None
    ghi_kWh_m2_day: tuple[float, ...]  # noqa: N815
    air_degC: tuple[float, ...]
    coldest_degC: float
    hottest_degC: float
    cell_km: float
    method: str
    band_percent: float
    day_spread: tuple[float, ...] = ()
    turbidity: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class WeatherYear:
    """Hourly weather of one year (8760 values, hour beginning, local solar-independent UTC offset given).

    `source` names the file or the method; `is_real` tells measured or typical-year data from a year made of
    monthly normals.  Irradiance is on the horizontal: global, and diffuse where known.
    """

    spot: Spot
    utc_offset_h: float
    ghi_W_m2: tuple[float, ...]
    dhi_W_m2: tuple[float, ...]
    dni_W_m2: tuple[float, ...]
    air_degC: tuple[float, ...]
    wind_m_per_s: tuple[float, ...]
    source: str
    is_real: bool
