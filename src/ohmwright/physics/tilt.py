"""Daily light on a plane that faces the equator, by month, from the light on the horizontal."""

import math

from ohmwright.working import formula


@formula(
    "1.391 - 3.560 * K + 4.189 * K ** 2 - 2.137 * K ** 3 if w <= 81.4 else 1.311 - 3.022 * K + 3.427 * K ** 2 - 1.821 * K ** 3",
    symbol="Hd_H", unit="1", clearness_ratio="K", sunset_deg="w", ranges={"clearness_ratio": (0.3, 0.8), "sunset_deg": (40, 140)},
)  # fmt: skip
def diffuse_of_month_ratio(clearness_ratio: float, sunset_deg: float) -> float:
    """Diffuse part of a month's light on the horizontal.

        Hd_H  1    returned
        K     1    light over that outside the air, 0.3 to 0.8 clearness_ratio
        w     deg  hour angle of sunset             sunset_deg

    Source: Erbs, Klein and Duffie, Solar Energy 28 (1982) 293 (coefficients from memory).
    """
    k = clearness_ratio
    if sunset_deg <= 81.4:
        return 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    return 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3


@formula(
    "(cos(rad(phi - s)) * cos(rad(d)) * sin(rad(w1)) + rad(w1) * sin(rad(phi - s)) * sin(rad(d))) / (cos(rad(phi)) * cos(rad(d)) * sin(rad(w)) + rad(w) * sin(rad(phi)) * sin(rad(d)))",
    symbol="Rb", unit="1", latitude_deg="phi", declination_deg="d", tilt_deg="s", sunset_deg="w", leaves_deg="w1",
    ranges={"latitude_deg": (0, 55), "declination_deg": (-23, 23), "tilt_deg": (0, 60), "sunset_deg": (60, 110), "leaves_deg": (50, 90)},
)  # fmt: skip
def beam_of_month_ratio(
    latitude_deg: float, declination_deg: float, tilt_deg: float, sunset_deg: float, leaves_deg: float
) -> float:
    """Direct light of a day on a plane that faces the equator over that on the horizontal.

        Rb   1    returned
        phi  deg  latitude, north or south of the equator counted positive latitude_deg
        d    deg  declination, positive in that half's summer declination_deg
        s    deg  tilt                              tilt_deg
        w    deg  hour angle of sunset              sunset_deg
        w1   deg  the smaller of w and where the sun leaves the plane leaves_deg

    Source: Liu and Jordan (1962) as in Duffie and Beckman, Solar Engineering of Thermal Processes (from memory).
    """
    phi, d, s = math.radians(latitude_deg), math.radians(declination_deg), math.radians(tilt_deg)
    w, w1 = math.radians(sunset_deg), math.radians(leaves_deg)
    above = math.cos(phi - s) * math.cos(d) * math.sin(w1) + w1 * math.sin(phi - s) * math.sin(d)
    return above / (math.cos(phi) * math.cos(d) * math.sin(w) + w * math.sin(phi) * math.sin(d))


@formula(
    "(1 - p) * Rb + p * (1 + cos(rad(s))) / 2 + a * (1 - cos(rad(s))) / 2",
    symbol="R", unit="1", rises=("beam_ratio",), diffuse_ratio="p", beam_ratio="Rb", tilt_deg="s", albedo_ratio="a",
    ranges={"diffuse_ratio": (0, 1)},
)  # fmt: skip
def tilted_of_month_ratio(
    diffuse_ratio: float, beam_ratio: float, tilt_deg: float, albedo_ratio: float
) -> float:
    """Light of a month on a tilted plane over that on the horizontal, sky evenly bright.

    R   1    returned
    p   1    diffuse part on the horizontal     diffuse_ratio
    Rb  1    direct light, tilted over flat     beam_ratio
    s   deg  tilt                               tilt_deg
    a   1    light thrown by the ground, 0.2    albedo_ratio
    """
    c = math.cos(math.radians(tilt_deg))
    return (1 - diffuse_ratio) * beam_ratio + diffuse_ratio * (1 + c) / 2 + albedo_ratio * (1 - c) / 2


@formula("1 / R", symbol="flat", unit="1", falls=("tilted_ratio",), tilted_ratio="R")
def flat_over_tilted_ratio(tilted_ratio: float) -> float:
    """Light on a flat plane over that on the best tilt."""
    return 1 / tilted_ratio
