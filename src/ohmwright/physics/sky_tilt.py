"""Light on a tilted plane: incidence, four pictures of the diffuse sky, and reflection at the cover glass.

Tilt counts from the horizontal, azimuths from north through east.
"""

import math

from ohmwright.working import formula


@formula("cos(rad(θz))*cos(rad(β)) + sin(rad(θz))*sin(rad(β))*cos(rad(γs - γ))", symbol="cosθ", unit="1",
         zenith_deg="θz", sun_azimuth_deg="γs", tilt_deg="β", plane_azimuth_deg="γ")  # fmt: skip
def cosine_of_incidence_ratio(
    zenith_deg: float, sun_azimuth_deg: float, tilt_deg: float, plane_azimuth_deg: float
) -> float:
    """Cosine of the angle between the sun and the normal of a plane; negative behind the plane.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.6.3.
    """
    z, b = math.radians(zenith_deg), math.radians(tilt_deg)
    return math.cos(z) * math.cos(b) + math.sin(z) * math.sin(b) * math.cos(
        math.radians(sun_azimuth_deg - plane_azimuth_deg)
    )


@formula(
    "D*(1 + cos(rad(β)))/2",
    symbol="Dβ",
    unit="W/m2",
    diffuse_W_m2="D",
    tilt_deg="β",
    rises=("diffuse_W_m2",),
)
def sky_isotropic_W_m2(diffuse_W_m2: float, tilt_deg: float) -> float:
    """Sky diffuse on a tilted plane under an even sky, W/m2: the lower bound for a plane that faces the sun.

    Source: Liu and Jordan, Solar Energy 7 (1963) 53.
    """
    return diffuse_W_m2 * (1 + math.cos(math.radians(tilt_deg))) / 2


@formula("G*ρ*(1 - cos(rad(β)))/2", symbol="Gr", unit="W/m2", global_W_m2="G", albedo_ratio="ρ", tilt_deg="β",
         rises=("global_W_m2", "albedo_ratio"))  # fmt: skip
def from_ground_W_m2(global_W_m2: float, albedo_ratio: float, tilt_deg: float) -> float:
    """Light from the ground on a tilted plane, W/m2; albedo 0.2 for grass and soil, 0.6 for snow (common practice, no source)."""
    return global_W_m2 * albedo_ratio * (1 - math.cos(math.radians(tilt_deg))) / 2


@formula("D*((1 - B/G0n)*(1 + cos(rad(β)))/2 + B/G0n*max(0, cosθ)/max(0.01745, cosθz))", symbol="Dβ", unit="W/m2",
         diffuse_W_m2="D", beam_W_m2="B", extraterrestrial_W_m2="G0n", cos_incidence_ratio="cosθ", cos_zenith_ratio="cosθz", tilt_deg="β")  # fmt: skip
def sky_hay_davies_W_m2(
    diffuse_W_m2: float,
    beam_W_m2: float,
    extraterrestrial_W_m2: float,
    cos_incidence_ratio: float,
    cos_zenith_ratio: float,
    tilt_deg: float,
) -> float:
    """Sky diffuse on a tilted plane, a part of it coming from around the sun, W/m2.

    Source: Hay and Davies, Proc. First Canadian Solar Radiation Data Workshop (1980) 59; the floor of the
    cosine (89 degrees) is that of the pvlib documentation.
    """
    around = beam_W_m2 / extraterrestrial_W_m2
    toward = max(0.0, cos_incidence_ratio) / max(0.01745, cos_zenith_ratio)
    return diffuse_W_m2 * ((1 - around) * (1 + math.cos(math.radians(tilt_deg))) / 2 + around * toward)


#: Perez brightness coefficients F11 F12 F13 F21 F22 F23 by clearness bin, and the upper edges of the bins:
#: Perez et al., Solar Energy 44 (1990) 271, table 6 (read in pvlib).
PEREZ: tuple[tuple[float, ...], ...] = (
    (-0.008, 0.588, -0.062, -0.060, 0.072, -0.022),
    (0.130, 0.683, -0.151, -0.019, 0.066, -0.029),
    (0.330, 0.487, -0.221, 0.055, -0.064, -0.026),
    (0.568, 0.187, -0.295, 0.109, -0.152, -0.014),
    (0.873, -0.392, -0.362, 0.226, -0.462, 0.001),
    (1.132, -1.237, -0.412, 0.288, -0.823, 0.056),
    (1.060, -1.600, -0.359, 0.264, -1.127, 0.131),
    (0.678, -0.327, -0.250, 0.156, -1.377, 0.251),
)
PEREZ_EDGES: tuple[float, ...] = (1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2)


@formula(
    "((D + B)/D + 1.041*rad(θz)**3)/(1 + 1.041*rad(θz)**3)",
    symbol="ε",
    unit="1",
    diffuse_W_m2="D",
    beam_W_m2="B",
    zenith_deg="θz",
)
def perez_clearness_ratio(diffuse_W_m2: float, beam_W_m2: float, zenith_deg: float) -> float:
    """Clearness of the sky that picks the Perez bin; 1 overcast, above 6.2 clear.

    Source: Perez et al., Solar Energy 44 (1990) 271, equation 1.
    """
    k = 1.041 * math.radians(zenith_deg) ** 3
    return ((diffuse_W_m2 + beam_W_m2) / diffuse_W_m2 + k) / (1 + k)


def sky_perez_W_m2(
    diffuse_W_m2: float,
    beam_W_m2: float,
    extraterrestrial_W_m2: float,
    air_mass_ratio: float,
    zenith_deg: float,
    cos_incidence_ratio: float,
    tilt_deg: float,
) -> float:
    """Sky diffuse on a tilted plane with a bright ring round the sun and a bright horizon, W/m2.

    Direct B faces the sun; the air mass is relative.  Source: Perez et al., Solar Energy 44 (1990) 271,
    equation 9 and table 6.
    """
    if diffuse_W_m2 <= 0:
        return 0.0
    clearness = perez_clearness_ratio(diffuse_W_m2, beam_W_m2, zenith_deg)
    row = PEREZ[sum(clearness >= edge for edge in PEREZ_EDGES)]
    brightness = diffuse_W_m2 * air_mass_ratio / extraterrestrial_W_m2
    z, b = math.radians(zenith_deg), math.radians(tilt_deg)
    ring = max(0.0, row[0] + row[1] * brightness + row[2] * z)
    band = row[3] + row[4] * brightness + row[5] * z
    toward = max(0.0, cos_incidence_ratio) / max(math.cos(math.radians(85)), math.cos(z))
    return max(0.0, diffuse_W_m2 * ((1 - ring) * (1 + math.cos(b)) / 2 + ring * toward + band * math.sin(b)))


#: Cover glass: refractive index, extinction per metre, thickness in m.  De Soto, Klein and Beckman, Solar
#: Energy 80 (2006) 78 (read in pvlib).
_INDEX, _EXTINCTION_per_m, _GLASS_m = 1.526, 4.0, 0.002


def glass_ratio(incidence_deg: float) -> float:
    """What cover glass lets through at an angle of incidence, over what it lets through straight on; 0 behind the plane.

    Fresnel reflection at one face and absorption.  Source: De Soto, Klein and Beckman, Solar Energy 80 (2006)
    78, equations 6 and 7.
    """
    if incidence_deg >= 90:
        return 0.0
    cos_in = math.cos(math.radians(incidence_deg))
    cos_glass = math.sqrt(1 - (1 - cos_in**2) / _INDEX**2)
    across = ((cos_in - _INDEX * cos_glass) / (cos_in + _INDEX * cos_glass)) ** 2
    along = ((cos_glass - _INDEX * cos_in) / (cos_glass + _INDEX * cos_in)) ** 2
    straight = (1 - ((1 - _INDEX) / (1 + _INDEX)) ** 2) * math.exp(-_EXTINCTION_per_m * _GLASS_m)
    return (1 - (across + along) / 2) * math.exp(-_EXTINCTION_per_m * _GLASS_m / cos_glass) / straight


@formula("59.7 - 0.1388*β + 0.001497*β**2", symbol="θd", unit="deg", tilt_deg="β")
def sky_incidence_deg(tilt_deg: float) -> float:
    """The one angle of incidence that stands for the whole sky, degrees.

    Source: Brandemuehl and Beckman, Solar Energy 24 (1980) 511; Duffie and Beckman, equation 5.4.2.
    """
    return 59.7 - 0.1388 * tilt_deg + 0.001497 * tilt_deg**2


@formula("90 - 0.5788*β + 0.002693*β**2", symbol="θr", unit="deg", tilt_deg="β")
def ground_incidence_deg(tilt_deg: float) -> float:
    """The one angle of incidence that stands for the ground, degrees.

    Source: Brandemuehl and Beckman, Solar Energy 24 (1980) 511; Duffie and Beckman, equation 5.4.1.
    """
    return 90 - 0.5788 * tilt_deg + 0.002693 * tilt_deg**2
