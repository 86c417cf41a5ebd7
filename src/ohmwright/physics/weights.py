"""Statics of a vehicle: coupling, axle, what is left of a rating."""

from ohmwright.working import formula


@formula(
    "T0 + M / L", symbol="T", unit="kg", rises=("before_kg", "moment_kg_m"), before_kg="T0", moment_kg_m="M", axle_to_ball_m="L",
)  # fmt: skip
def tongue_kg(before_kg: float, moment_kg_m: float, axle_to_ball_m: float) -> float:
    """Load on the coupling after masses were added.

        T   kg    returned
        T0  kg    before                            before_kg
        M   kg.m  sum of mass times metres ahead of the axle centre (behind: below 0) moment_kg_m
        L   m     axle centre to coupling ball      axle_to_ball_m

    Source: statics. Several axles count as one at their centre: the answer is then uncertain by some 15 %
    (common practice, no source).
    """
    return before_kg + moment_kg_m / axle_to_ball_m


@formula(
    "T / W", symbol="p", unit="1", rises=("tongue_kg",), falls=("laden_kg",), tongue_kg="T", laden_kg="W"
)
def tongue_ratio(tongue_kg: float, laden_kg: float) -> float:
    """Coupling load as part of the laden trailer.

    p  1   returned
    T  kg  coupling load                        tongue_kg
    W  kg  laden trailer                        laden_kg
    """
    return tongue_kg / laden_kg


@formula("W0 + m", symbol="W", unit="kg", rises=("before_kg", "added_kg"), before_kg="W0", added_kg="m")
def laden_kg(before_kg: float, added_kg: float) -> float:
    """Weight after what was added and taken out.

    W   kg  returned
    W0  kg  weighed, ready to roll              before_kg
    m   kg  added less removed                  added_kg
    """
    return before_kg + added_kg


@formula(
    "(G - W) / G",
    symbol="spare",
    unit="1",
    rises=("rating_kg",),
    falls=("load_kg",),
    rating_kg="G",
    load_kg="W",
)
def spare_ratio(rating_kg: float, load_kg: float) -> float:
    """Part of a rating that is left.

    spare  1   returned
    G      kg  rating                           rating_kg
    W      kg  load                             load_kg
    """
    return (rating_kg - load_kg) / rating_kg


@formula(
    "W * (L - x) / L",
    symbol="R",
    unit="kg",
    load_kg="W",
    behind_ball_m="x",
    axle_to_ball_m="L",
)
def on_coupling_kg(load_kg: float, behind_ball_m: float, axle_to_ball_m: float) -> float:
    """Part of one load that the coupling carries.

        R  kg  returned
        W  kg  load                                 load_kg
        x  m   its centre behind the ball           behind_ball_m
        L  m   axle centre to coupling ball         axle_to_ball_m

    Source: statics.
    """
    return load_kg * (axle_to_ball_m - behind_ball_m) / axle_to_ball_m


@formula(
    "k * A * L * rho / 1e6", symbol="m", unit="kg", rises=("sheath_factor", "area_mm2", "length_m", "density_factor"),
    sheath_factor="k", area_mm2="A", length_m="L", density_factor="rho",
)  # fmt: skip
def conductor_kg(sheath_factor: float, area_mm2: float, length_m: float, density_factor: float) -> float:
    """Mass of a conductor with its insulation.

    m    kg     returned
    k    1      insulation and sheath           sheath_factor
    A    mm2    metal                           area_mm2
    L    m      length                          length_m
    rho  kg/m3  density of copper, 8960         density_factor
    """
    return sheath_factor * area_mm2 * length_m * density_factor / 1e6


@formula("m * x", symbol="M", unit="kg.m", rises=("mass_kg",), mass_kg="m", ahead_m="x")
def moment_kg_m(mass_kg: float, ahead_m: float) -> float:
    """Moment of a mass about the axle centre; behind it below 0."""
    return mass_kg * ahead_m


@formula(
    "2 * abs(M) / (s * W)",
    symbol="p_side",
    unit="1",
    falls=("track_m", "axle_kg"),
    moment_kg_m="M",
    track_m="s",
    axle_kg="W",
)
def side_ratio(moment_kg_m: float, track_m: float, axle_kg: float) -> float:
    """How much more one wheel carries than the other, as part of the axle.

        p_side  1     returned
        M       kg.m  sum of mass times metres left of the middle moment_kg_m
        s       m     between the wheels            track_m
        W       kg    axle load                     axle_kg

    Source: statics.
    """
    return 2 * abs(moment_kg_m) / (track_m * axle_kg)


@formula(
    "0.5 * rho * v ** 2 * cp * A / n",
    symbol="F_foot",
    unit="N",
    rises=("density_factor", "wind_m_per_s", "pressure_factor", "area_m2"),
    falls=("feet_count",),
    density_factor="rho",
    wind_m_per_s="v",
    pressure_factor="cp",
    area_m2="A",
    feet_count="n",
)
def uplift_N(
    density_factor: float, wind_m_per_s: float, pressure_factor: float, area_m2: float, feet_count: float
) -> float:
    """Pull on one foot of a flat module in the wind.

        F_foot  N      returned
        rho     kg/m3  air, 1.2                     density_factor
        v       m/s    wind, or road speed and wind wind_m_per_s
        cp      1      uplift coefficient, 1.2      pressure_factor
        A       m2     module                       area_m2
        n       1      feet that share it           feet_count

    Source: dynamic pressure; coefficient and speed are common practice, no source.
    """
    return 0.5 * density_factor * wind_m_per_s**2 * pressure_factor * area_m2 / feet_count


@formula("abs(M) / W", symbol="shift", unit="m", falls=("laden_kg",), moment_kg_m="M", laden_kg="W")
def shift_m(moment_kg_m: float, laden_kg: float) -> float:
    """How far added masses move the centre of gravity; their own mass is small beside the whole."""
    return abs(moment_kg_m) / laden_kg


@formula(
    "F / n",
    symbol="F_most",
    unit="N",
    rises=("whole_N",),
    falls=("spare_ratio",),
    whole_N="F",
    spare_ratio="n",
)
def part_of_N(whole_N: float, spare_ratio: float) -> float:
    """Force that may be asked of a fastener.

    F_most  N  returned
    F       N  what pulls it out                whole_N
    n       1  times that it has to hold        spare_ratio
    """
    return whole_N / spare_ratio
