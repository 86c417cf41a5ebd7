"""Light on the planes of an array, hour by hour."""

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.plan import Plane
from ohmwright.sky.plane import on_plane_W_m2
from ohmwright.sky.sun_hours import SunHours

#: The headings that stand for all when the host lies as it likes.
HEADINGS = tuple(22.5 + 45.0 * k for k in range(8))


def plane_W_m2(
    plane: Plane,
    albedo_ratio: float,
    sun: SunHours,
    ghi_W_m2: NDArray[np.float64],
    dhi_W_m2: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Irradiance of a plane over whole years (..., 8760): as it falls, and as it gets through the glass.

    A flat plane takes the global irradiance as it is given.  A plane whose heading is not known takes the mean
    over all headings.
    """
    faces = (0.0,) if plane.tilt_deg == 0.0 else HEADINGS if plane.faces_deg is None else (plane.faces_deg,)
    falls, through = np.zeros_like(ghi_W_m2), np.zeros_like(ghi_W_m2)
    for face in faces:
        falls += on_plane_W_m2(
            sun, ghi_W_m2, dhi_W_m2, plane.tilt_deg, face, albedo_ratio=albedo_ratio
        ) / len(faces)
        through += on_plane_W_m2(
            sun, ghi_W_m2, dhi_W_m2, plane.tilt_deg, face, albedo_ratio=albedo_ratio, glass=True
        ) / len(faces)
    return falls, through
