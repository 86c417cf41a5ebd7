"""Light on the planes of an array, hour by hour."""

import math

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.plan import Plane
from ohmwright.physics.sky_tilt import glass_ratio, ground_incidence_deg, sky_incidence_deg
from ohmwright.sky.plane import on_plane_W_m2
from ohmwright.sky.sun_hours import SunHours

Floats = NDArray[np.float64]

#: The headings that stand for all when the host lies as it likes.
HEADINGS = tuple(22.5 + 45.0 * k for k in range(8))
#: Below five degrees of elevation beam is no longer divided by less than this sine.
LOWEST_SINE = math.cos(math.radians(85.0))
_ANGLES_deg = np.arange(0.0, 90.5, 0.5)
_THROUGH = np.array([glass_ratio(float(a)) for a in _ANGLES_deg])


def plane_W_m2(
    plane: Plane, albedo_ratio: float, sun: SunHours, ghi_W_m2: Floats, dhi_W_m2: Floats
) -> tuple[Floats, Floats]:
    """Irradiance of a plane over whole years (..., 8760): as it falls, and as it gets through the glass.

    A flat plane takes the global irradiance as it is given.  A plane whose heading is not known takes the mean
    over all headings.
    """
    if plane.tilt_deg > 0.0 and plane.faces_deg is None:
        return _loose(plane.tilt_deg, albedo_ratio, sun, ghi_W_m2, dhi_W_m2)
    face = plane.faces_deg or 0.0
    falls = (
        _level(sun, ghi_W_m2)
        if plane.tilt_deg == 0.0
        else on_plane_W_m2(sun, ghi_W_m2, dhi_W_m2, plane.tilt_deg, face, albedo_ratio=albedo_ratio)
    )
    through = on_plane_W_m2(
        sun, ghi_W_m2, dhi_W_m2, plane.tilt_deg, face, albedo_ratio=albedo_ratio, glass=True
    )
    return falls.astype(np.float64), through.astype(np.float64)


def _level(sun: SunHours, ghi_W_m2: Floats) -> Floats:
    """Global irradiance while the sun is up."""
    out: Floats = ghi_W_m2 * (sun.cos_zenith > 1e-6)
    return out


def _loose(
    tilt_deg: float, albedo_ratio: float, sun: SunHours, ghi_W_m2: Floats, dhi_W_m2: Floats
) -> tuple[Floats, Floats]:
    """The mean over all headings, with the sky of Hay and Davies: its parts are straight in what depends on heading."""
    zenith = np.radians(sun.zenith_deg)
    tilt = math.radians(tilt_deg)
    onto = np.zeros_like(sun.cos_zenith)
    onto_glass = np.zeros_like(sun.cos_zenith)
    for face in HEADINGS:
        toward = np.cos(zenith) * math.cos(tilt) + np.sin(zenith) * math.sin(tilt) * np.cos(
            np.radians(sun.azimuth_deg - face)
        )
        toward = np.where(sun.cos_zenith > 0.0, np.clip(toward, 0.0, 1.0), 0.0)
        onto += toward / len(HEADINGS)
        onto_glass += toward * np.interp(np.degrees(np.arccos(toward)), _ANGLES_deg, _THROUGH) / len(HEADINGS)
    height = np.maximum(np.cos(zenith), LOWEST_SINE)
    diffuse = np.minimum(dhi_W_m2, ghi_W_m2)
    normal = np.minimum((ghi_W_m2 - diffuse) / height, sun.outside_W_m2)
    around = normal / sun.outside_W_m2
    direct = normal + diffuse * around / height
    dome = diffuse * (1.0 - around) * ((1.0 + math.cos(tilt)) / 2.0)
    ground = ghi_W_m2 * (albedo_ratio * (1.0 - math.cos(tilt)) / 2.0)
    falls = direct * onto + dome + ground
    through = (
        direct * onto_glass
        + dome * glass_ratio(sky_incidence_deg(tilt_deg))
        + ground * glass_ratio(ground_incidence_deg(tilt_deg))
    )
    return falls, through
