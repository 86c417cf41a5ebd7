"""Light on a plane of any tilt over whole years, behind glass or not: the leaves of `physics.sky_tilt`, many hours at a time."""

import math
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ohmwright.physics import sky_light, sky_tilt
from ohmwright.sky.sun_hours import SunHours

Reals: TypeAlias = NDArray[np.floating]
Sky = Literal["even", "hay-davies", "perez"]
GRASS_ratio = 0.2
#: Below five degrees of elevation the Perez picture gives way to Hay and Davies, and beam ratios stop growing.
_LOW_SUN_deg = 85.0


def diffuse_W_m2(sun: SunHours, ghi_W_m2: Reals) -> Reals:
    """Diffuse part of hourly global irradiance (..., 8760), after Erbs; the same type of float as given."""
    out = np.zeros_like(ghi_W_m2)
    ghi = ghi_W_m2[..., sun.lit]
    k = np.clip(ghi / (sun.outside_W_m2 * sun.cos_zenith)[sun.lit].astype(ghi.dtype), 0, 1)
    middle = 0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * ghi.dtype.type(12.336))))
    out[..., sun.lit] = ghi * np.where(
        k <= 0.22, 1 - ghi.dtype.type(0.09) * k, np.where(k <= 0.8, middle, ghi.dtype.type(0.165))
    )
    return out


def beam_W_m2(sun: SunHours, ghi_W_m2: Reals, dhi_W_m2: Reals) -> Reals:
    """Direct irradiance facing the sun, from the level parts; held to what there is outside the air."""
    out = np.zeros_like(ghi_W_m2)
    level = np.maximum(ghi_W_m2 - dhi_W_m2, 0)[..., sun.lit]
    out[..., sun.lit] = np.minimum(
        level / np.maximum(sun.cos_zenith[sun.lit], 0.01), sun.outside_W_m2[sun.lit]
    )
    return out


def on_plane_W_m2(
    sun: SunHours,
    ghi_W_m2: Reals,
    dhi_W_m2: Reals,
    tilt_deg: float,
    azimuth_deg: float,
    *,
    sky: Sky = "perez",
    albedo_ratio: float = GRASS_ratio,
    glass: bool = False,
) -> Reals:
    """Hourly irradiance on a plane (..., 8760), W/m2, from global and diffuse on the level.

    Lying flat and without glass it is the global irradiance itself.  With `glass` the reflection at the cover
    is taken off: the beam by its angle, sky and ground by one effective angle each.
    """
    out = np.zeros_like(ghi_W_m2)
    lit = sun.lit
    ghi, dhi = ghi_W_m2[..., lit], np.minimum(dhi_W_m2[..., lit], ghi_W_m2[..., lit])
    one = ghi.dtype.type
    zenith, azimuth = np.radians(sun.zenith_deg[lit]), np.radians(sun.azimuth_deg[lit] - azimuth_deg)
    b = np.radians(tilt_deg)
    toward = np.cos(zenith) * np.cos(b) + np.sin(zenith) * np.sin(b) * np.cos(azimuth)
    through_beam, through_sky, through_ground = (
        _glass(toward, tilt_deg) if glass else (np.ones(lit.size), 1.0, 1.0)
    )
    beam_ratio = _beam_ratio(zenith, toward, tilt_deg)
    level = ghi - dhi
    total = level * (beam_ratio * through_beam).astype(one)
    if tilt_deg == 0:
        total += dhi * one(through_sky)
    else:
        normal = np.minimum(
            level / np.maximum(np.cos(zenith), 0.01).astype(one), sun.outside_W_m2[lit].astype(one)
        )
        around, rest = _sky_parts(sky, dhi, normal, sun.outside_W_m2[lit], zenith, toward, tilt_deg)
        total += np.maximum(around * through_beam.astype(one) + rest * one(through_sky), 0)
        total += ghi * one(albedo_ratio * (1 - np.cos(b)) / 2 * through_ground)
    out[..., lit] = total
    return out


def _beam_ratio(zenith: Reals, toward: Reals, tilt_deg: float) -> Reals:
    """Beam on the plane over beam on the level; the level's cosine has a floor so that a dawn hour cannot explode."""
    if tilt_deg == 0:
        return np.ones_like(toward)
    return np.maximum(toward, 0) / np.maximum(np.cos(zenith), np.cos(np.radians(_LOW_SUN_deg)))


def _sky_parts(
    sky: Sky, dhi: Reals, normal: Reals, outside: Reals, zenith: Reals, toward: Reals, tilt_deg: float
) -> tuple[Reals, Reals]:
    """Sky diffuse on the plane in two parts: from around the sun, and from the rest of the dome."""
    one = dhi.dtype.type
    b = math.radians(tilt_deg)
    dome = float((1 + np.cos(b)) / 2)
    if sky == "even":
        return np.zeros_like(dhi), dhi * dome
    share = normal / outside.astype(one)
    near = (np.maximum(toward, 0) / np.maximum(np.cos(zenith), np.cos(np.radians(89)))).astype(one)
    if sky == "hay-davies":
        return dhi * share * near, dhi * (1 - share) * dome
    around, rest = _perez(dhi, normal, outside, zenith, toward, b, dome)
    low = zenith > np.radians(_LOW_SUN_deg)
    return np.where(low, dhi * share * near, around), np.where(low, dhi * (1 - share) * dome, rest)


def _perez(
    dhi: Reals, normal: Reals, outside: Reals, zenith: Reals, toward: Reals, b: float, dome: float
) -> tuple[Reals, Reals]:
    one = dhi.dtype.type
    k = (1.041 * zenith**3).astype(one)
    clearness = ((dhi + normal) / np.maximum(dhi, one(1e-6)) + k) / (1 + k)
    rows = np.searchsorted(np.array(sky_tilt.PEREZ_EDGES, dtype=one), clearness, side="right")
    f = np.array(sky_tilt.PEREZ, dtype=one).T[:, rows]
    z_deg = np.minimum(np.degrees(zenith), 90)
    mass = 1 / (np.cos(np.radians(z_deg)) + 0.50572 * (96.07995 - z_deg) ** -1.6364)
    brightness = dhi * (mass / outside).astype(one)
    z = zenith.astype(one)
    ring = np.maximum(f[0] + f[1] * brightness + f[2] * z, 0)
    band = f[3] + f[4] * brightness + f[5] * z
    near = (np.maximum(toward, 0) / np.maximum(np.cos(zenith), np.cos(np.radians(85)))).astype(one)
    return dhi * ring * near, dhi * ((1 - ring) * dome + band * one(np.sin(b)))


_ANGLES_deg = np.arange(0.0, 90.5, 0.5)


def _glass(toward: Reals, tilt_deg: float) -> tuple[Reals, float, float]:
    """What the cover lets through: of the beam by hour (half-degree table of the leaf), of the sky, of the ground."""
    passed = np.interp(np.degrees(np.arccos(np.clip(toward, 0, 1))), _ANGLES_deg, _glass_table())
    return (
        passed,
        sky_tilt.glass_ratio(sky_tilt.sky_incidence_deg(tilt_deg)),
        sky_tilt.glass_ratio(sky_tilt.ground_incidence_deg(tilt_deg)),
    )


def _glass_table() -> Reals:
    if not _TABLE:
        _TABLE.append(np.array([sky_tilt.glass_ratio(float(a)) for a in _ANGLES_deg]))
    return _TABLE[0]


_TABLE: list[Reals] = []


def clear_sky_W_m2(sun: SunHours, altitude_m: float, turbidity_by_hour: Reals) -> tuple[Reals, Reals]:
    """Global and diffuse hourly irradiance of the cloudless sky on the level, W/m2 (8760)."""
    ghi, dhi = np.zeros_like(sun.cos_zenith), np.zeros_like(sun.cos_zenith)
    lit = sun.lit
    pressure = sky_light.pressure_ratio(altitude_m)
    haze, outside, cosine = turbidity_by_hour[lit], sun.outside_W_m2[lit], sun.cos_zenith[lit]
    z = np.minimum(sun.zenith_deg[lit], 90)
    middle = np.maximum(np.cos(np.radians(z)), 0.01)
    mass = pressure / (np.cos(np.radians(z)) + 0.50572 * (96.07995 - z) ** -1.6364)
    high, low = np.exp(-altitude_m / 8000), np.exp(-altitude_m / 1250)
    ghi[lit] = (
        (5.09e-5 * altitude_m + 0.868)
        * outside
        * cosine
        * np.exp(-(3.92e-5 * altitude_m + 0.0387) * mass * (high + low * (haze - 1)))
    )
    through = outside * (0.664 + 0.163 / high) * np.exp(-0.09 * mass * (haze - 1))
    left = ghi[lit] * np.maximum(0, (1 - (0.1 - 0.2 * np.exp(-haze)) / (0.1 + 0.882 / high)) / middle)
    dhi[lit] = np.maximum(ghi[lit] - np.minimum(through, left) * cosine, 0)
    return ghi, dhi
