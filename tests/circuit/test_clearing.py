"""How long devices take, and how long faults last."""

import math
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.circuit.rigs import demo, read

from ohmwright.circuit.clearing import Curve, INSTANT_s, curve_of
from ohmwright.circuit.faults import faults_of
from ohmwright.physics.fault import conductor_H, let_through_s, rising_A, rising_let_through_A2s
from ohmwright.working import Figure

ONE = """\
ohmwright: 1
host:
  kind: cabin
  places: {room: {regime: heated}, shed: {regime: heated}}
  ways: {room - shed: {length: 1.5 m}}
parts:
  B: {is: battery-lfp-200ah-12v, at: room, resistance: 2.5 mohm}
  U1: {is: inverter-charger-2kva-12v-120v, at: shed}
runs:
  W1: {from: B.+, to: U1.dc.+, cable: 70 mm2, length: 1.5 m}
  W2: {from: B.-, to: U1.dc.-, cable: 70 mm2, length: 1.5 m}
settings: {}
"""

FUSE = Curve(100.0, ((1.35, 1800.0), (2.0, 60.0), (3.0, 5.0), (6.0, 0.1)), 20_000.0, None)


@pytest.mark.parametrize(("amps", "seconds"), [(135.0, 1800.0), (200.0, 60.0), (300.0, 5.0), (600.0, 0.1)])
def test_a_curve_passes_through_its_printed_points(amps: float, seconds: float) -> None:
    assert FUSE.seconds(amps) == pytest.approx(seconds)


def test_nothing_is_promised_below_the_first_point() -> None:
    assert FUSE.seconds(134.0) is None


def test_far_beyond_the_last_point_the_clearing_integral_rules() -> None:
    # 20,000 A2s at 10 kA: 0.2 ms; the last point alone would promise 0.36 ms.
    assert FUSE.seconds(10_000.0) == pytest.approx(20_000 / 10_000**2)
    assert Curve(100.0, FUSE.points, None, None).seconds(10_000.0) == pytest.approx(0.1 * (6 / 100) ** 2)


def test_halfway_on_logarithmic_paper() -> None:
    # Between (2, 60) and (3, 5): at the geometric mean of the multiples, the geometric mean of the times.
    assert FUSE.seconds(100 * 6**0.5) == pytest.approx((60 * 5) ** 0.5)


@given(st.floats(135, 1e5), st.floats(1.0, 10.0))
def test_more_current_never_clears_later(amps: float, more: float) -> None:
    first, second = FUSE.seconds(amps), FUSE.seconds(amps * more)
    assert first is not None
    assert second is not None
    assert second <= first * (1 + 1e-9)


def test_an_instant_trip_is_a_tenth_of_a_second() -> None:
    breaker = Curve(20.0, ((1.35, 3600.0), (2.0, 100.0)), None, 10.0)
    assert breaker.seconds(250.0) == INSTANT_s


def test_a_device_without_points_promises_nothing() -> None:
    rig, _ = demo("trailer")
    assert curve_of(rig.parts["F1"], None) is None
    assert curve_of(rig.parts["Q1"], 500.0) is None


def test_a_fault_beyond_its_own_fuse_clears_by_that_fuse() -> None:
    rig, graph = demo("trailer")
    fault = faults_of(rig, graph)["detectors.+"]
    assert fault.clears_s is not None
    curve = curve_of(rig.parts["F7"], 5.0)
    assert curve is not None
    alone = curve.seconds(fault.through_A["F7"], fault.tau_s["max"])
    assert alone is not None
    assert fault.clears_s["max"] <= alone


def test_the_least_fault_never_clears_sooner_than_the_greatest() -> None:
    for name in ("trailer", "boat", "cabin"):
        for fault in faults_of(*demo(name)).values():
            if fault.clears_s and {"max", "min"} <= fault.clears_s.keys():
                assert fault.clears_s["min"] >= fault.clears_s["max"] * (1 - 1e-9)


def test_a_fault_before_every_device_never_clears() -> None:
    fault = faults_of(*demo("van"))["blower.+"]
    assert fault.clears_s is None


# A rising current: L/R, the integral of its square, and what it does to clearing times.


@pytest.mark.parametrize(
    ("settled_A", "tau_s", "clearing_A2s", "printed_ms"),
    [(6303, 0.0018, 5e4, 3.5), (6303, 0.0018, 2e5, 7.7), (6303, 0.0018, 1e6, 27.8),
     (12_000, 0.0005, 5e4, 0.95), (12_000, 0.0005, 2e5, 2.1), (12_000, 0.0005, 1e6, 7.7)],
)  # fmt: skip
def test_a_rising_current_melts_a_fuse_when_a_simulator_says_so(
    settled_A: float, tau_s: float, clearing_A2s: float, printed_ms: float
) -> None:
    # Worked out beforehand with a general circuit simulator, to the digits that it was written down with.
    assert 1000 * let_through_s(clearing_A2s, settled_A, tau_s) == pytest.approx(printed_ms, abs=0.08)


@given(st.floats(10, 50_000), st.floats(1e-5, 0.01), st.floats(1e-4, 1.0))
def test_the_integral_of_the_square_is_that_of_the_current(
    settled_A: float, tau_s: float, time_s: float
) -> None:
    times = np.linspace(0.0, time_s, 4001)
    square = np.array([rising_A(settled_A, float(t), tau_s) for t in times]) ** 2
    simpson = float(
        (time_s / 4000 / 3) * (square[0] + 4 * square[1::2].sum() + 2 * square[2:-1:2].sum() + square[-1])
    )

    assert rising_let_through_A2s(settled_A, time_s, tau_s) == pytest.approx(simpson, rel=2e-3)


@given(st.floats(10, 50_000), st.floats(1e-5, 0.01), st.floats(1.0, 1e7))
def test_the_time_of_a_let_through_is_found_again(settled_A: float, tau_s: float, through_A2s: float) -> None:
    time_s = let_through_s(through_A2s, settled_A, tau_s)

    # Far below the time constant the terms of the integral cancel: six digits are left of a thousandth of it.
    if time_s > 0.02 * tau_s:
        assert rising_let_through_A2s(settled_A, time_s, tau_s) == pytest.approx(through_A2s, rel=1e-5)


def test_the_inductance_of_a_pair_is_that_of_the_field_between_its_wires() -> None:
    # Flux between two wires a centimetre thick and ten apart, by steps, and the field inside each: mu0/8 pi a metre.
    radius, spacing, mu0 = 0.005, 0.1, 4e-7 * math.pi
    x = np.linspace(radius, spacing - radius, 200_001)
    field = mu0 / (2 * math.pi) * (1 / x + 1 / (spacing - x))
    flux = float(((field[:-1] + field[1:]) / 2 * np.diff(x)).sum()) + 2 * mu0 / (8 * math.pi)

    # The closed form takes the spacing to be long against the radius: a good percent here.
    assert 2 * conductor_H(1.0, spacing, radius) == pytest.approx(flux, rel=0.02)


@given(st.floats(136, 50_000), st.floats(1e-5, 0.01))
def test_a_rising_current_never_clears_sooner_than_a_settled_one(amps: float, tau_s: float) -> None:
    settled, rising = FUSE.seconds(amps), FUSE.seconds(amps, tau_s)

    assert settled is not None
    assert rising is not None
    assert rising >= settled


@pytest.mark.parametrize("amps", [150.0, 250.0, 500.0, 599.0, 700.0, 3000.0, 20_000.0])
@pytest.mark.parametrize("tau_s", [0.0002, 0.002, 0.02])
def test_between_its_points_a_rising_current_is_never_promised_sooner_than_step_by_step(
    amps: float, tau_s: float
) -> None:
    # Every increment of time counts by the curve at its own current (Miner's sum), nothing below the first point.
    told = FUSE.seconds(amps, tau_s)
    assert told is not None
    steps = np.linspace(0.0, told, 20_001)[1:]
    used = 0.0
    for t in steps:
        at = FUSE.seconds(rising_A(amps, float(t), tau_s))
        used += steps[0] / at if at is not None else 0.0

    if amps < 600.0:
        assert used >= 1.0 - 1e-3  # by the told time it has certainly cleared
    else:
        assert told >= FUSE.seconds(amps)  # type: ignore[operator]


def test_a_loop_of_one_battery_has_the_time_constant_of_its_cables() -> None:
    # 1.5 m and 1.5 m of cable: 3 m x 0.6 uH; the greatest fault at its end is E / R, so tau = L I / E.
    rig, graph = read(ONE, {})
    fault = faults_of(rig, graph)["U1.dc.+"]
    assert fault.max_A is not None
    volts = rig.parts["B"].figure("charge_voltage")
    assert isinstance(volts, Figure)

    assert fault.tau_s["max"] == pytest.approx(3 * 0.6e-6 * fault.max_A / volts.value, rel=1e-6)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="the circuit simulator ngspice is not installed")
def test_the_time_constant_of_a_bank_on_bars_agrees_with_a_simulator(tmp_path: Path) -> None:
    # Two unequal batteries on a bar: two loops that meet, so that one time constant only stands for both.
    text = """* rising fault of a bank
v1 p1 0 13.3
r1 p1 a1 0.0025
l1 a1 bar 0.6u
v2 p2 0 13.3
r2 p2 a2 0.004
l2 a2 bar 1.8u
r3 bar c 0.001
l3 c 0 1.2u
.options reltol=1e-6
.tran 1u 6m 0 1u uic
.control
run
meas tran settled find i(l3) at=5.99m
meas tran early find i(l3) at=0.3m
meas tran late find i(l3) at=1m
.endc
.end
"""
    file = tmp_path / "bank.cir"
    file.write_text(text, encoding="utf-8")
    done = subprocess.run(
        ["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=60, check=False
    )
    told = {
        k: float(v) for k, v in re.findall(r"^(settled|early|late)\s*=\s*(\S+)", done.stdout, re.MULTILINE)
    }
    # The same by hand: currents of the two, what their cables hold, over what the loop burns.
    bar = (13.3 / 0.0025 + 13.3 / 0.004) / (1 / 0.0025 + 1 / 0.004 + 1 / 0.001)
    i1, i2 = (13.3 - bar) / 0.0025, (13.3 - bar) / 0.004
    both = i1 + i2
    tau = (0.6e-6 * i1**2 + 1.8e-6 * i2**2 + 1.2e-6 * both**2) / (13.3 * both)

    assert told["settled"] == pytest.approx(both, rel=2e-3)
    # One time constant for two is good to a per cent of the settled current.
    assert told["early"] == pytest.approx(rising_A(both, 0.0003, tau), abs=0.01 * both)
    assert told["late"] == pytest.approx(rising_A(both, 0.001, tau), abs=0.01 * both)
