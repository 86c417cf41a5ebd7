"""Where the sun stands: a short series of the NREL solar position algorithm, within 0.01 degree for 1950-2050.

Source: Reda and Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302 (revised
2008).  Of its tables A4.2 the terms above 5e-6 rad are kept; nutation is its largest term, aberration and
parallax are kept.  Azimuth counts from true north through east, longitude east positive, times are UTC.
"""

import math

from ohmwright.working import formula

#: Earth's heliocentric longitude: (1e-8 rad, phase rad, rad per Julian millennium), NREL/TP-560-34302 table A4.2, L0 and L1.
_L0 = (
    (3341656.0, 4.6692568, 6283.07585), (34894.0, 4.6261, 12566.1517), (3497.0, 2.7441, 5753.3849), (3418.0, 2.8289, 3.5231),
    (3136.0, 3.6277, 77713.7715), (2676.0, 4.4181, 7860.4194), (2343.0, 6.1352, 3930.2097), (1324.0, 0.7425, 11506.7698),
    (1273.0, 2.0371, 529.691), (1199.0, 1.1096, 1577.3435), (990.0, 5.233, 5884.927), (902.0, 2.045, 26.298),
    (857.0, 3.508, 398.149), (780.0, 1.179, 5223.694), (753.0, 2.533, 5507.553), (505.0, 4.583, 18849.228),
)  # fmt: skip
_L1 = ((206059.0, 2.678235, 6283.07585), (4303.0, 2.6351, 12566.1517))
_L0_MEAN, _L1_MEAN = 175347046.0, 628331966747.0
#: Earth's radius vector, table A4.2, R0 and R1: (1e-8 au, phase rad, rad per Julian millennium).
_R0 = ((1670700.0, 3.0984635, 6283.07585), (13956.0, 3.05525, 12566.1517), (3084.0, 5.1985, 77713.7715))
_R0_MEAN = 100013989.0
#: Irradiance outside the air at one astronomical unit: nominal total solar irradiance, IAU 2015 Resolution B3.
SOLAR_CONSTANT_W_m2 = 1361.0
#: Terrestrial time is about a minute ahead of universal time (29 s in 1950, 69 s in 2020): 0.0004 deg at most.
_DELTA_T_days = 60 / 86400


def earth_sun_distance_au(since_j2000_days: float) -> float:
    """Distance of the earth from the sun, astronomical units.

    `since_j2000_days` counts from 2000-01-01 12:00 UTC.  Source: NREL/TP-560-34302, equation 11, three terms.
    """
    t = since_j2000_days / 365250
    total = _R0_MEAN
    for size, phase, speed in _R0:
        total += size * math.cos(phase + speed * t)
    return (total + 103019 * math.cos(1.10749 + 6283.07585 * t) * t) / 1e8


def sun_longitude_deg(since_j2000_days: float) -> float:
    """Apparent ecliptic longitude of the sun, degrees 0 to 360.

    `since_j2000_days` counts from 2000-01-01 12:00 UTC; 1950 to 2050.  Source: NREL/TP-560-34302, equations 9
    to 27 cut short.
    """
    t = (since_j2000_days + _DELTA_T_days) / 365250
    total = _L0_MEAN + (_L1_MEAN + 52919 * t) * t
    for size, phase, speed in _L0:
        total += size * math.cos(phase + speed * t)
    for size, phase, speed in _L1:
        total += size * math.cos(phase + speed * t) * t
    aberration_deg = -20.4898 / 3600 / earth_sun_distance_au(since_j2000_days)
    return (math.degrees(total / 1e8) + 180 + nutation_deg(since_j2000_days) + aberration_deg) % 360


@formula("-17.20/3600*sin(rad(125.045 - 0.0529538*d)) - 1.32/3600*sin(rad(2*(280.466 + 0.9856474*d)))",
         symbol="Δψ", unit="deg", since_j2000_days="d")  # fmt: skip
def nutation_deg(since_j2000_days: float) -> float:
    """Nutation in longitude, its two largest terms, degrees.

    Source: Meeus, Astronomical Algorithms, chapter on nutation (from memory; checked against the full series).
    """
    d = since_j2000_days
    return -17.20 / 3600 * math.sin(math.radians(125.045 - 0.0529538 * d)) - 1.32 / 3600 * math.sin(
        math.radians(2 * (280.466 + 0.9856474 * d))
    )


@formula(
    "23.43929 - 3.5626e-7*d + 9.20/3600*cos(rad(125.045 - 0.0529538*d))",
    symbol="ε",
    unit="deg",
    since_j2000_days="d",
)
def obliquity_deg(since_j2000_days: float) -> float:
    """True obliquity of the ecliptic, degrees: the mean and the largest term of nutation.

    Source: Meeus, Astronomical Algorithms, chapter on nutation (from memory; checked against the full series).
    """
    d = since_j2000_days
    return 23.43929 - 3.5626e-7 * d + 9.20 / 3600 * math.cos(math.radians(125.045 - 0.0529538 * d))


@formula(
    "degrees(asin(sin(rad(ε))*sin(rad(λ))))", symbol="δ", unit="deg", sun_longitude_deg="λ", obliquity_deg="ε"
)
def declination_deg(sun_longitude_deg: float, obliquity_deg: float) -> float:
    """Declination of the sun, degrees, from its ecliptic longitude λ and the obliquity ε.

    Source: NREL/TP-560-34302, equation 31 with the sun's latitude, below 0.0003 deg, left out.
    """
    return math.degrees(
        math.asin(math.sin(math.radians(obliquity_deg)) * math.sin(math.radians(sun_longitude_deg)))
    )


@formula(
    "degrees(atan2(cos(rad(ε))*sin(rad(λ)), cos(rad(λ))))",
    symbol="α",
    unit="deg",
    sun_longitude_deg="λ",
    obliquity_deg="ε",
)
def right_ascension_deg(sun_longitude_deg: float, obliquity_deg: float) -> float:
    """Right ascension of the sun, degrees -180 to 180, from its ecliptic longitude λ and the obliquity ε.

    Source: NREL/TP-560-34302, equation 30 with the sun's latitude left out.
    """
    lon = math.radians(sun_longitude_deg)
    return math.degrees(math.atan2(math.cos(math.radians(obliquity_deg)) * math.sin(lon), math.cos(lon)))


def equation_of_time_deg(since_j2000_days: float) -> float:
    """Equation of time as an angle, degrees: true minus mean solar time; 1 degree is 4 minutes.

    `since_j2000_days` counts from 2000-01-01 12:00 UTC.  Source: sidereal time of NREL/TP-560-34302, equations
    28 and 29.
    """
    d = since_j2000_days
    tilt_deg = obliquity_deg(d)
    sidereal_deg = 280.46061837 + 0.98564736629 * d + 0.000387933 * (d / 36525) ** 2
    true_deg = (
        sidereal_deg
        + nutation_deg(d) * math.cos(math.radians(tilt_deg))
        - right_ascension_deg(sun_longitude_deg(d), tilt_deg)
    )
    return (true_deg + 180) % 360 - 180


@formula("15*(t - 12) + λ + E - 360*floor((15*(t - 12) + λ + E + 180)/360)", symbol="ω", unit="deg",
         utc_h="t", longitude_deg="λ", equation_of_time_deg="E")  # fmt: skip
def hour_angle_deg(utc_h: float, longitude_deg: float, equation_of_time_deg: float) -> float:
    """Hour angle of the sun, degrees -180 to 180, afternoon positive: UTC hour t, longitude λ, equation of time E.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.5.2 and section 1.6.
    """
    turned_deg = 15 * (utc_h - 12) + longitude_deg + equation_of_time_deg
    return turned_deg - 360 * math.floor((turned_deg + 180) / 360)


@formula("sin(rad(φ))*sin(rad(δ)) + cos(rad(φ))*cos(rad(δ))*cos(rad(ω))", symbol="cosθz", unit="1",
         latitude_deg="φ", declination_deg="δ", hour_angle_deg="ω")  # fmt: skip
def cosine_of_zenith_ratio(latitude_deg: float, declination_deg: float, hour_angle_deg: float) -> float:
    """Cosine of the sun's zenith angle; negative below the horizon: latitude φ, declination δ, hour angle ω.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.6.5.
    """
    p, d = math.radians(latitude_deg), math.radians(declination_deg)
    return math.sin(p) * math.sin(d) + math.cos(p) * math.cos(d) * math.cos(math.radians(hour_angle_deg))


@formula("degrees(acos(min(1, max(-1, sin(rad(φ))*sin(rad(δ)) + cos(rad(φ))*cos(rad(δ))*cos(rad(ω))))))", symbol="θz", unit="deg",
         latitude_deg="φ", declination_deg="δ", hour_angle_deg="ω")  # fmt: skip
def zenith_deg(latitude_deg: float, declination_deg: float, hour_angle_deg: float) -> float:
    """Zenith angle of the sun's centre without refraction, degrees: latitude φ, declination δ, hour angle ω.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.6.5.
    """
    return math.degrees(
        math.acos(min(1.0, max(-1.0, cosine_of_zenith_ratio(latitude_deg, declination_deg, hour_angle_deg))))
    )


@formula("180 + degrees(atan2(sin(rad(ω)), cos(rad(ω))*sin(rad(φ)) - tan(rad(δ))*cos(rad(φ))))", symbol="γs", unit="deg",
         latitude_deg="φ", declination_deg="δ", hour_angle_deg="ω")  # fmt: skip
def azimuth_deg(latitude_deg: float, declination_deg: float, hour_angle_deg: float) -> float:
    """Azimuth of the sun from true north through east, degrees 0 to 360: latitude φ, declination δ, hour angle ω.

    Right in all four quadrants.  Source: NREL/TP-560-34302, equations 45 and 46.
    """
    p, h = math.radians(latitude_deg), math.radians(hour_angle_deg)
    return 180 + math.degrees(
        math.atan2(
            math.sin(h), math.cos(h) * math.sin(p) - math.tan(math.radians(declination_deg)) * math.cos(p)
        )
    )


@formula("θz + 0.002443*sin(rad(θz))", symbol="θz'", unit="deg", zenith_deg="θz")
def zenith_seen_deg(zenith_deg: float) -> float:
    """Zenith angle from the ground instead of from the earth's centre, degrees (parallax; no refraction).

    Source: NREL/TP-560-34302, equation 33: 8.794 arc seconds at the mean distance.
    """
    return zenith_deg + 0.002443 * math.sin(math.radians(zenith_deg))


@formula("degrees(acos(min(1, max(-1, (cos(rad(θ)) - sin(rad(φ))*sin(rad(δ))) / (cos(rad(φ))*cos(rad(δ)))))))", symbol="ωs", unit="deg",
         latitude_deg="φ", declination_deg="δ", zenith_deg="θ")  # fmt: skip
def hour_angle_at_zenith_deg(latitude_deg: float, declination_deg: float, zenith_deg: float) -> float:
    """Hour angle at which the sun passes a zenith angle θ, degrees; 0 when it never comes so high, 180 when it never sinks so low.

    With θ = 90 this is the sunset hour angle of the daily sums; sunrise as seen is at θ = 90.833 (refraction
    0.567 deg, half a disc 0.266 deg).  Source: NREL/TP-560-34302, appendix A.2, equation A4.
    """
    p, d = math.radians(latitude_deg), math.radians(declination_deg)
    wanted = (math.cos(math.radians(zenith_deg)) - math.sin(p) * math.sin(d)) / (math.cos(p) * math.cos(d))
    return math.degrees(math.acos(min(1.0, max(-1.0, wanted))))


@formula(
    "S/R**2",
    symbol="G0n",
    unit="W/m2",
    solar_constant_W_m2="S",
    distance_au="R",
    rises=("solar_constant_W_m2",),
    falls=("distance_au",),
)
def extraterrestrial_W_m2(solar_constant_W_m2: float, distance_au: float) -> float:
    """Irradiance on a plane facing the sun outside the air, W/m2, at distance R in astronomical units."""
    return solar_constant_W_m2 / distance_au**2


@formula("24/pi*G0n*(cos(rad(φ))*cos(rad(δ))*sin(rad(ωs)) + rad(ωs)*sin(rad(φ))*sin(rad(δ)))", symbol="H0", unit="Wh/m2",
         latitude_deg="φ", declination_deg="δ", sunset_deg="ωs", extraterrestrial_W_m2="G0n")  # fmt: skip
def extraterrestrial_day_Wh_m2(
    latitude_deg: float, declination_deg: float, sunset_deg: float, extraterrestrial_W_m2: float
) -> float:
    """Irradiation of a horizontal plane outside the air over one day, Wh/m2.

    Latitude φ, declination δ, sunset hour angle ωs, normal irradiance G0n.  Source: Duffie and Beckman, Solar
    Engineering of Thermal Processes, equation 1.10.3; FAO Irrigation and Drainage Paper 56, equation 21.
    """
    p, d, w = math.radians(latitude_deg), math.radians(declination_deg), math.radians(sunset_deg)
    return (
        24
        / math.pi
        * extraterrestrial_W_m2
        * (math.cos(p) * math.cos(d) * math.sin(w) + w * math.sin(p) * math.sin(d))
    )
