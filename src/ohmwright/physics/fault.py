"""Fault currents of banks, how fast they rise, and what a conductor withstands."""

import math

from ohmwright.standards.constants import COPPER_ZERO_RESISTANCE_K, COPPER_WITHSTAND_factor
from ohmwright.working import formula


@formula(
    "n * E / (k * R + R_path)", symbol="I_f", unit="A", rises=("in_parallel_count", "open_V"), falls=("adverse_factor", "battery_ohm", "path_ohm"),
    in_parallel_count="n", open_V="E", adverse_factor="k", battery_ohm="R", path_ohm="R_path",
)  # fmt: skip
def bank_fault_A(
    in_parallel_count: float, open_V: float, adverse_factor: float, battery_ohm: float, path_ohm: float
) -> float:
    """Bolted fault of equal batteries (or series strings) in parallel, each through its own path.

        I_f     A    returned
        n       1    batteries in parallel          in_parallel_count
        E       V    volts driving it               open_V
        k       1    0.7 adverse, 1 nominal         adverse_factor
        R       ohm  stated resistance of one       battery_ohm
        R_path  ohm  path of one to the fault       path_ohm

    Series does not add: volts and resistance rise together.

    Source: physics; adverse bound as the shop's rule (IEC 61660-1 has 1.05 E and 0.9 R, from memory).

    >>> round(bank_fault_A(4, 14.4, 0.7, 0.0025, 0.0004))
    26791
    """
    return in_parallel_count * open_V / (adverse_factor * battery_ohm + path_ohm)


@formula(
    "E / ((k * R + R_path) / (n - 1) + R_path)",
    symbol="I_back", unit="A", rises=("in_parallel_count", "open_V"), falls=("adverse_factor", "battery_ohm", "path_ohm"),
    in_parallel_count="n", open_V="E", adverse_factor="k", battery_ohm="R", path_ohm="R_path",
)  # fmt: skip
def back_feed_A(
    in_parallel_count: float, open_V: float, adverse_factor: float, battery_ohm: float, path_ohm: float
) -> float:
    """Fault at one battery's post, fed backward through its own device by the others.

        I_back  A    returned
        n       1    batteries in parallel, 2 or more in_parallel_count
        E       V    volts driving it               open_V
        k       1    0.7 adverse, 1 nominal         adverse_factor
        R       ohm  stated resistance of one       battery_ohm
        R_path  ohm  path of each to the bar        path_ohm

    Source: physics (nodal analysis of the star).

    >>> round(back_feed_A(4, 13.2, 1.0, 0.0025, 0.0004), -1)
    9660.0
    """
    return open_V / ((adverse_factor * battery_ohm + path_ohm) / (in_parallel_count - 1) + path_ohm)


@formula(
    "(E - U) / I",
    symbol="R",
    unit="ohm",
    rises=("open_V",),
    falls=("loaded_V", "current_A"),
    open_V="E",
    loaded_V="U",
    current_A="I",
)
def measured_ohm(open_V: float, loaded_V: float, current_A: float) -> float:
    """Resistance of a source from one load step.

    R  ohm  returned
    E  V    open circuit                        open_V
    U  V    under load                          loaded_V
    I  A    load current                        current_A
    """
    return (open_V - loaded_V) / current_A


@formula("E / R", symbol="I_f", unit="A", rises=("open_V",), falls=("loop_ohm",), open_V="E", loop_ohm="R")
def fault_A(open_V: float, loop_ohm: float) -> float:
    """Settled fault current of a loop.

    I_f  A    returned
    E    V    driving volts                     open_V
    R    ohm  the whole loop                    loop_ohm
    """
    return open_V / loop_ohm


@formula("L / R", symbol="tau", unit="s", rises=("loop_H",), falls=("loop_ohm",), loop_H="L", loop_ohm="R")
def time_constant_s(loop_H: float, loop_ohm: float) -> float:
    """Time constant of a fault loop: it is at 63 % of its settled current after one of them.

    tau  s    returned
    L    H    inductance                        loop_H
    R    ohm  the whole loop                    loop_ohm
    """
    return loop_H / loop_ohm


@formula(
    "2e-7 * (ln(D / r) + 0.25) * l", symbol="L", unit="H", rises=("length_m", "spacing_m"), falls=("radius_m",),
    length_m="l", spacing_m="D", radius_m="r", ranges={"spacing_m": (0.01, 1.0), "radius_m": (0.0005, 0.009)},
)  # fmt: skip
def conductor_H(length_m: float, spacing_m: float, radius_m: float) -> float:
    """Inductance that one conductor of a pair lends to its loop.

        L  H  returned
        l  m  length                            length_m
        D  m  from centre to centre             spacing_m
        r  m  radius of the metal               radius_m

    Good for a pair that is long against its spacing, away from steel.

    Source: the parallel-wire line of every textbook (E. B. Rosa, Bulletin of the Bureau of Standards 4 (1908) 301), from memory.

    >>> round(1e6 * conductor_H(1.0, 0.0736, 0.00472), 2)      # 70 mm2, 7 cm apart: the 0.6 uH/m that the trade uses
    0.6
    """
    return 2e-7 * (math.log(spacing_m / radius_m) + 0.25) * length_m


@formula(
    "I * (1 - exp(-t / tau))", symbol="i", unit="A", rises=("settled_A", "time_s"), falls=("tau_s",),
    settled_A="I", time_s="t", tau_s="tau",
)  # fmt: skip
def rising_A(settled_A: float, time_s: float, tau_s: float) -> float:
    """A fault current on its way up.

        i    A  returned
        I    A  settled current                 settled_A
        t    s  since the fault                 time_s
        tau  s  time constant, above nothing    tau_s

    >>> round(rising_A(6303, 0.0018, 0.0018))      # 63 % after one time constant
    3984
    """
    return settled_A * (1.0 - math.exp(-time_s / tau_s))


@formula(
    "I ** 2 * (t - 2 * tau * (1 - exp(-t / tau)) + tau / 2 * (1 - exp(-2 * t / tau)))", symbol="I2t", unit="A2s",
    rises=("settled_A", "time_s"), falls=("tau_s",), settled_A="I", time_s="t", tau_s="tau",
    ranges={"time_s": (0.001, 10.0), "tau_s": (0.0001, 0.1)},
)  # fmt: skip
def rising_let_through_A2s(settled_A: float, time_s: float, tau_s: float) -> float:
    """What a rising fault current lets through: the integral of its square.

        I2t  A2s  returned
        I    A    settled current               settled_A
        t    s    since the fault               time_s
        tau  s    time constant, above nothing  tau_s

    Long after tau it lags behind the settled current by 1.5 tau.

    >>> round(rising_let_through_A2s(1000, 1.0, 0.001) / 1000**2, 6)
    0.9985
    """
    return settled_A**2 * (
        time_s
        - 2.0 * tau_s * (1.0 - math.exp(-time_s / tau_s))
        + tau_s / 2.0 * (1.0 - math.exp(-2.0 * time_s / tau_s))
    )


def let_through_s(let_through_A2s: float, settled_A: float, tau_s: float) -> float:
    """The time at which a rising current has let so much through: Newton on `rising_let_through_A2s`.

    It starts 1.5 tau behind the steady time, which is always late enough, and comes down to the root.

    >>> round(1000 * let_through_s(5e4, 6303, 0.0018), 2)
    3.45
    """
    steady = let_through_A2s / settled_A**2
    if tau_s <= 0.0:
        return steady
    at = steady + 1.5 * tau_s
    for _ in range(60):
        share = 1.0 - math.exp(-at / tau_s)
        off = at - tau_s * share * (2.0 - 0.5 * (2.0 - share)) - steady
        step = off / share**2
        at -= step
        if abs(step) <= 1e-12 * at:
            break
    return at


@formula(
    f"{COPPER_WITHSTAND_factor:g} * sqrt(ln(({COPPER_ZERO_RESISTANCE_K} + Tf) / ({COPPER_ZERO_RESISTANCE_K} + Ti)))",
    symbol="k", unit="A.s^0.5/mm2", rises=("final_degC",), falls=("initial_degC",), initial_degC="Ti", final_degC="Tf",
)  # fmt: skip
def withstand_factor(initial_degC: float, final_degC: float) -> float:
    """Short-circuit constant of a copper conductor.

        k   A s^0.5/mm2  returned
        Ti  degC         at the start               initial_degC
        Tf  degC         that the insulation bears  final_degC

    Adiabatic: good up to about 5 s.

    Source: IEC 60364-5-54 Annex A (from memory): 143 for 90 to 250 degC, 115 for 70 to 160 degC.

    >>> round(withstand_factor(90, 250)), round(withstand_factor(70, 160))
    (143, 115)
    """
    return COPPER_WITHSTAND_factor * math.sqrt(
        math.log((COPPER_ZERO_RESISTANCE_K + final_degC) / (COPPER_ZERO_RESISTANCE_K + initial_degC))
    )


@formula(
    "(k * S) ** 2",
    symbol="I2t",
    unit="A2s",
    rises=("constant_factor", "area_mm2"),
    constant_factor="k",
    area_mm2="S",
)
def withstand_A2s(constant_factor: float, area_mm2: float) -> float:
    """Let-through that a conductor bears.

        I2t  A2s          returned
        k    A s^0.5/mm2  of `withstand_factor`     constant_factor
        S    mm2          area                      area_mm2

    Source: IEC 60364-4-43 (from memory).
    """
    return (constant_factor * area_mm2) ** 2


@formula("I ** 2 * t", symbol="I2t", unit="A2s", rises=("current_A", "clears_s"), current_A="I", clears_s="t")
def let_through_A2s(current_A: float, clears_s: float) -> float:
    """What a fault lets through until it is cleared, at its settled current.

        I2t  A2s  returned
        I    A    fault current                     current_A
        t    s    longest clearing time             clears_s

    Source: IEC 60364-4-43 (from memory).
    """
    return current_A**2 * clears_s


@formula(
    "E ** 2 / (4 * R)",
    symbol="P_arc",
    unit="W",
    rises=("open_V",),
    falls=("source_ohm",),
    open_V="E",
    source_ohm="R",
)
def spanner_W(open_V: float, source_ohm: float) -> float:
    """The most that a tool across a source can turn into heat: half its volts at half its fault current.

        P_arc  W    returned
        E      V    open circuit                    open_V
        R      ohm  resistance of the source        source_ohm

    Source: the maximum power theorem.

    >>> round(spanner_W(13.2, 0.000625))
    69696
    """
    return open_V**2 / (4 * source_ohm)


@formula("m / I ** 2", symbol="t_melt", unit="s", rises=("melting_A2s",), melting_A2s="m", current_A="I")
def melts_s(melting_A2s: float, current_A: float) -> float:
    """The least time in which a fuse can melt: none of its heat gets away.

    t_melt  s    returned
    m       A2s  melting integral               melting_A2s
    I       A    current                        current_A
    """
    return melting_A2s / current_A**2


@formula(
    "-m / I_h ** 2 * ln(1 - (I_h / I) ** 2)", symbol="t_melt", unit="s", rises=("melting_A2s", "held_A"), falls=("current_A",),
    melting_A2s="m", held_A="I_h", current_A="I", ranges={"held_A": (10, 50), "current_A": (60, 5000)},
)  # fmt: skip
def melts_at_least_s(melting_A2s: float, held_A: float, current_A: float) -> float:
    """The least time in which a fuse can melt at a current above what it holds for ever.

        t_melt  s    returned
        m       A2s  melting integral           melting_A2s
        I_h     A    current it holds for ever  held_A
        I       A    current, above I_h         current_A

    A bound, not a curve: heat that spreads into anything else on the way only makes it later.  Of all linear bodies
    that warm equally fast at first (the melting integral) and come to rest at the same heat (what it holds), the one
    with a single time constant is the fastest: exp is convex (Jensen's inequality).  Far above I_h it is m / I^2.

    >>> round(melts_at_least_s(96_000, 400, 4000), 5)      # m / I^2 = 6.00 ms
    0.00603
    """
    return -melting_A2s / held_A**2 * math.log1p(-((held_A / current_A) ** 2))


@formula("(0.020 / I) ** 1.43", symbol="t_trip", unit="s", falls=("residual_A",), residual_A="I", ranges={"residual_A": (0.006, 0.2)})  # fmt: skip
def class_a_s(residual_A: float) -> float:
    """The longest time of a ground-fault device of class A.

        t_trip  s  returned
        I       A  current to earth, from 6 mA up  residual_A

    From 264 mA on it is 25 ms.

    Source: UL 943, time law of class A (second-hand); its lower end from memory.

    >>> round(class_a_s(0.006), 2), class_a_s(5.0)
    (5.59, 0.025)
    """
    return max(math.pow(0.020 / residual_A, 1.43), 0.025)
