"""Voltage drop, and the area that a drop asks for."""

from ohmwright.working import formula


@formula("I * R", symbol="U_drop", unit="V", rises=("current_A", "loop_ohm"), current_A="I", loop_ohm="R")
def drop_V(current_A: float, loop_ohm: float) -> float:
    """Volts lost in a loop: out and back, joints and devices included.

        U_drop  V    returned
        I       A    current                        current_A
        R       ohm  resistance of the whole loop   loop_ohm

    Source: Ohm's law.
    """
    return current_A * loop_ohm


@formula(
    "I * L * r", symbol="U_run", unit="V", rises=("current_A", "length_m", "per_m_ohm_per_m"), current_A="I", length_m="L", per_m_ohm_per_m="r",
)  # fmt: skip
def run_drop_V(current_A: float, length_m: float, per_m_ohm_per_m: float) -> float:
    """Volts lost along one conductor.

        U_run  V      returned
        I      A      current             current_A
        L      m      length, one way     length_m
        r      ohm/m  resistance a metre  per_m_ohm_per_m

    >>> round(run_drop_V(220.0, 1.2, 2.01e-4), 3)  # 1.2 m of 4/0 AWG
    0.053
    """
    return current_A * length_m * per_m_ohm_per_m


@formula(
    "U_drop / U", symbol="u", unit="1", rises=("lost_V",), falls=("system_V",), lost_V="U_drop", system_V="U"
)
def drop_ratio(lost_V: float, system_V: float) -> float:
    """Drop as part of the system voltage.

    u       1  returned
    U_drop  V  volts lost                       lost_V
    U       V  system voltage, above 0          system_V
    """
    return lost_V / system_V


@formula(
    "K * I * L / E",
    symbol="CM", unit="cmil", rises=("constant_factor", "current_A", "round_trip_ft_factor"), falls=("allowed_V",),
    constant_factor="K", current_A="I", round_trip_ft_factor="L", allowed_V="E",
)  # fmt: skip
def marine_circular_mils_count(
    constant_factor: float, current_A: float, round_trip_ft_factor: float, allowed_V: float
) -> float:
    """Circular mils that keep a drop, by the boat builder's formula.

        CM  cmil          returned
        K   ohm.cmil/ft   10.75 for cool copper     constant_factor
        I   A             current                   current_A
        L   ft            ROUND TRIP in feet        round_trip_ft_factor
        E   V             allowed volts             allowed_V

    Never mix with K = 12.9, which is copper at 75 degC and goes with the one-way length twice.

    Source: ABYC E-11, clause 11.14.2.6 of an older edition (clause text seen second-hand).

    >>> round(marine_circular_mils_count(10.75, 10.0, 21.0, 0.36))
    6271
    """
    return constant_factor * current_A * round_trip_ft_factor / allowed_V


@formula(
    "E - I * R", symbol="U", unit="V", rises=("open_V",), falls=("current_A", "loop_ohm"), open_V="E", current_A="I", loop_ohm="R",
)  # fmt: skip
def sagged_V(open_V: float, current_A: float, loop_ohm: float) -> float:
    """Volts left behind a source's own resistance and its cables.

    U  V    returned
    E  V    open-circuit volts                  open_V
    I  A    current                             current_A
    R  ohm  source and loop resistance          loop_ohm
    """
    return open_V - current_A * loop_ohm


@formula(
    "L * r",
    symbol="R",
    unit="ohm",
    rises=("length_m", "per_m_ohm_per_m"),
    length_m="L",
    per_m_ohm_per_m="r",
)
def run_ohm(length_m: float, per_m_ohm_per_m: float) -> float:
    """Resistance of a conductor.

    R   ohm    returned
    L   m      length of the conductor          length_m
    r   ohm/m  resistance of one metre          per_m_ohm_per_m
    """
    return length_m * per_m_ohm_per_m
