"""Light on the level: air mass, the clear sky, and what part of the light is diffuse."""

import math

from ohmwright.working import formula


@formula(
    "1/(cos(rad(min(θz, 90))) + 0.50572*(96.07995 - min(θz, 90))**(-1.6364))",
    symbol="AM",
    unit="1",
    zenith_deg="θz",
)
def air_mass_ratio(zenith_deg: float) -> float:
    """Relative air mass, for apparent zenith angles of 0 to 90 degrees; held at its value at 90 beyond.

    Source: Kasten and Young, Applied Optics 28 (1989) 4735.
    """
    z = min(zenith_deg, 90.0)
    return 1 / (math.cos(math.radians(z)) + 0.50572 * math.pow(96.07995 - z, -1.6364))


@formula(
    "((44331.514 - h)/44331.514)**(1/0.1902632)",
    symbol="p/p0",
    unit="1",
    altitude_m="h",
    falls=("altitude_m",),
)
def pressure_ratio(altitude_m: float) -> float:
    """Air pressure at altitude h over that at sea level, standard atmosphere to 11 km.

    Source: ISO 2533 standard atmosphere (constants from memory, in the form of the pvlib documentation).
    """
    return math.pow((44331.514 - altitude_m) / 44331.514, 1 / 0.1902632)


@formula("(5.09e-5*h + 0.868)*G0n*cosθz*exp(-(3.92e-5*h + 0.0387)*AM*(exp(-h/8000) + exp(-h/1250)*(TL - 1)))", symbol="Gc", unit="W/m2",
         cos_zenith_ratio="cosθz", air_mass_ratio="AM", turbidity_ratio="TL", altitude_m="h", extraterrestrial_W_m2="G0n",
         rises=("cos_zenith_ratio", "extraterrestrial_W_m2"), falls=("air_mass_ratio", "turbidity_ratio"))  # fmt: skip
def clear_sky_W_m2(
    cos_zenith_ratio: float,
    air_mass_ratio: float,
    turbidity_ratio: float,
    altitude_m: float,
    extraterrestrial_W_m2: float,
) -> float:
    """Global irradiance of the cloudless sky on the horizontal, W/m2.

    Cosine of the zenith angle (0 to 1), absolute air mass AM, Linke turbidity TL (1 to 8), altitude h in m,
    normal irradiance outside the air G0n.  Bias typically under 5 %, more in smoke and dust.
    Source: Ineichen and Perez, Solar Energy 73 (2002) 151; reviewed in SAND2012-2389.
    """
    high, low = math.exp(-altitude_m / 8000), math.exp(-altitude_m / 1250)
    lost = (3.92e-5 * altitude_m + 0.0387) * air_mass_ratio * (high + low * (turbidity_ratio - 1))
    return (5.09e-5 * altitude_m + 0.868) * extraterrestrial_W_m2 * cos_zenith_ratio * math.exp(-lost)


@formula("min(G0n*max(0, 0.664 + 0.163/exp(-h/8000))*exp(-0.09*AM*(TL - 1)),"
         " Gc*max(0, (1 - (0.1 - 0.2*exp(-TL))/(0.1 + 0.882/exp(-h/8000)))/cosθz))", symbol="Bc", unit="W/m2",
         clear_sky_W_m2="Gc", cos_zenith_ratio="cosθz", air_mass_ratio="AM", turbidity_ratio="TL", altitude_m="h",
         extraterrestrial_W_m2="G0n")  # fmt: skip
def clear_sky_beam_W_m2(
    clear_sky_W_m2: float,
    cos_zenith_ratio: float,
    air_mass_ratio: float,
    turbidity_ratio: float,
    altitude_m: float,
    extraterrestrial_W_m2: float,
) -> float:
    """Direct irradiance of the cloudless sky on a plane facing the sun, W/m2; symbols as for the global one.

    The cosine must be above zero.  Source: Ineichen and Perez, Solar Energy 73 (2002) 151.
    """
    high = math.exp(-altitude_m / 8000)
    through = (
        extraterrestrial_W_m2
        * (0.664 + 0.163 / high)
        * math.exp(-0.09 * air_mass_ratio * (turbidity_ratio - 1))
    )
    left = (1 - (0.1 - 0.2 * math.exp(-turbidity_ratio)) / (0.1 + 0.882 / high)) / cos_zenith_ratio
    return min(through, clear_sky_W_m2 * max(0.0, left))


@formula("1 - 0.09*kt if kt <= 0.22 else (0.9511 - 0.1604*kt + 4.388*kt**2 - 16.638*kt**3 + 12.336*kt**4 if kt <= 0.8 else 0.165)",
         symbol="fd", unit="1", clearness_ratio="kt")  # fmt: skip
def diffuse_ratio(clearness_ratio: float) -> float:
    """Diffuse part of the hourly global irradiation, from the clearness index kt (global over extraterrestrial, both level).

    Single hours scatter by 20 to 30 % in the direct part.  Source: Erbs, Klein and Duffie, Solar Energy 28
    (1982) 293, equation 1.
    """
    k = clearness_ratio
    if k <= 0.22:
        return 1 - 0.09 * k
    if k <= 0.8:
        return 0.9511 - 0.1604 * k + 4.388 * k**2 - 16.638 * k**3 + 12.336 * k**4
    return 0.165


@formula("t + 6.5e-3*(h1 - h2)", symbol="t2", unit="degC", air_degC="t", altitude_from_m="h1", altitude_to_m="h2",
         rises=("air_degC", "altitude_from_m"), falls=("altitude_to_m",))  # fmt: skip
def air_at_altitude_degC(air_degC: float, altitude_from_m: float, altitude_to_m: float) -> float:
    """Air temperature carried from altitude h1 to h2 at 6.5 K per kilometre.

    Source: ISO 2533 standard atmosphere.  A mean over the year: a winter valley may be colder than the slope.
    """
    return air_degC + 6.5e-3 * (altitude_from_m - altitude_to_m)
