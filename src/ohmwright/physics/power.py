"""Volts and amperes at the ends of a source and of a load of fixed power (the roots stand in `converter`)."""

import math

from ohmwright.working import formula


@formula(
    "E + R*I",
    symbol="V",
    unit="V",
    open_circuit_V="E",
    resistance_ohm="R",
    charging_A="I",
    rises=("open_circuit_V", "charging_A"),
)
def terminal_V(open_circuit_V: float, resistance_ohm: float, charging_A: float) -> float:
    """Volts at the terminals of a battery that is charged with `charging_A` (negative: it is discharged).

    V  V    returned
    E  V    open-circuit volts                  open_circuit_V
    R  ohm  direct-current resistance, above 0  resistance_ohm
    I  A    charging current                    charging_A

    Source: Ohm's law.

    >>> round(terminal_V(13.2, 0.0025, -100), 3)
    12.95
    """
    return open_circuit_V + resistance_ohm * charging_A


@formula("P / (eta*V)", symbol="I", unit="A", rises=("power_W",), falls=("at_V", "efficiency_ratio"),
         power_W="P", at_V="V", efficiency_ratio="eta")  # fmt: skip
def input_current_A(power_W: float, at_V: float, efficiency_ratio: float) -> float:
    """Direct current that a converter takes at volts `at_V` to give `power_W`.

    I    A  returned
    P    W  power given                         power_W
    V    V  volts at its terminals, above 0     at_V
    eta  1  efficiency there, above 0           efficiency_ratio

    Source: conservation of energy.

    >>> round(input_current_A(3000, 11.5, 0.9), 1)
    289.9
    """
    return power_W / (efficiency_ratio * at_V)


@formula(
    "I*sqrt(1 + r**2)",
    symbol="I_rms",
    unit="A",
    mean_A="I",
    ripple_ratio="r",
    rises=("mean_A", "ripple_ratio"),
)
def rippled_A(mean_A: float, ripple_ratio: float) -> float:
    """Heating current of a direct current with an alternating part.

    I_rms  A  returned
    I      A  mean                              mean_A
    r      1  rms of the alternating part over the mean, 0 to 1   ripple_ratio

    A single-phase inverter draws power that swings at twice its frequency; the whole swing in the battery
    leads is r = 1/sqrt(2), 22.5 % more heating current.

    Source: the root mean square of orthogonal parts.

    >>> round(rippled_A(1, 0.30), 3), round(rippled_A(1, 2**-0.5), 3)
    (1.044, 1.225)
    """
    return mean_A * math.sqrt(1 + ripple_ratio * ripple_ratio)


@formula("P / V", symbol="I", unit="A", power_W="P", at_V="V", rises=("power_W",), falls=("at_V",))
def current_at_A(power_W: float, at_V: float) -> float:
    """Current of a load of fixed power at volts `at_V`, above 0.

    I  A  returned
    P  W  power                                 power_W
    V  V  volts at its terminals                at_V

    Source: P = V I.

    >>> current_at_A(60, 12)
    5.0
    """
    return power_W / at_V
