"""Loads that start hard: what they ask of inverter, volts, battery and fuses."""

import cmath
import math
import re

import pytest
from tests.circuit.rigs import changed, demo, split

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.starts import Start, starts_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.services import demos


def start(made: tuple[Rig, Graph], load: str) -> Start:
    rig, graph = made
    return starts_of(rig, graph, solutions_of(rig, graph))[load]


def test_a_pump_asks_its_inverter_for_what_the_file_says() -> None:
    pump = start(demo("cabin"), "well-pump")
    assert pump.inverter == "U2"
    assert pump.inverter_VA == pytest.approx(7200.0)
    assert pump.given_VA is not None
    assert pump.seconds == pytest.approx(0.8)


def test_a_locked_rotor_in_amperes_is_taken_at_the_volts_of_its_inverter() -> None:
    # 31 A on 230 V: 7130 VA. On a bank of 12 V it would be 372 W, which starts nothing.
    pump = start(changed("cabin", ("surge: 7200 VA for 0.8 s", "surge: 31 A for 0.8 s")), "well-pump")
    assert pump.asked_VA == pytest.approx(31 * 230.0)


def test_the_dip_is_the_fall_from_the_same_bank_at_rest() -> None:
    pump = start(demo("cabin"), "well-pump")
    assert pump.dc_V is not None
    assert pump.dip_V is not None
    # The whole loop carries the start: the dip over the bank's current is a resistance of milliohms.
    rig, graph = demo("cabin")
    bank = sum(-b.current_A for b in solutions_of(rig, graph)["well-pump-starts"].batteries.values())
    assert 0.001 < pump.dip_V / bank < 0.05


def test_a_harder_start_dips_deeper_and_melts_sooner() -> None:
    mild = start(demo("cabin"), "well-pump")
    hard = start(changed("cabin", ("surge: 7200 VA for 0.8 s", "surge: 8900 VA for 0.8 s")), "well-pump")
    assert mild.dip_V is not None
    assert hard.dip_V is not None
    assert hard.dip_V > mild.dip_V
    assert hard.battery_A is not None
    assert mild.battery_A is not None
    assert hard.battery_A > mild.battery_A
    for name, through in mild.devices.items():
        sooner = hard.devices[name]
        assert sooner.current_A > through.current_A
        if through.melts_s is not None:
            assert sooner.melts_s is not None
            assert sooner.melts_s < through.melts_s


def test_the_worst_battery_is_held_against_its_peak_for_as_long() -> None:
    pump = start(demo("cabin"), "well-pump")
    rig, graph = demo("cabin")
    answer = solutions_of(rig, graph)["well-pump-starts"]
    assert pump.battery_A == pytest.approx(max(-b.current_A for b in answer.batteries.values()))
    assert pump.battery_limit_A is not None


def test_amperes_on_direct_current_are_taken_at_the_volts_of_the_bank() -> None:
    rig, graph = changed("trailer", ("surge: 1500 W for 2 s", "surge: 20 A for 2 s"))
    # The microwave hangs on an inverter of 120 V.
    assert cases_of(rig, graph)["microwave-starts"].loads_W["microwave"] == pytest.approx(2400.0)


def test_a_load_on_no_inverter_that_is_known_names_none() -> None:
    made = split(
        (
            "well-pump: {fed: PA.3, power: 1500 W}",
            "well-pump: {fed: PA.3, power: 1500 W, surge: 6000 VA for 1 s}",
        )
    )
    assert start(made, "well-pump").inverter == "U2"


# A motor at standstill as the winding that it is.

LOCKED = ("surge: 7200 VA for 0.8 s", "surge: 31 A for 0.8 s, volts: 230 V, start-power-factor: 0.5")


def test_a_locked_rotor_is_the_impedance_of_its_volts_and_amperes() -> None:
    rig, graph = changed("cabin", LOCKED)
    case = cases_of(rig, graph)["well-pump-starts"]

    ohm = case.stalled_ohm["well-pump"]
    assert abs(ohm) == pytest.approx(230 / 31)
    assert ohm.real / abs(ohm) == pytest.approx(0.5)
    assert not case.loads_W


def test_it_takes_current_by_the_volts_that_are_left_and_only_their_part_as_power() -> None:
    # 27 m of 3 x 4 mm2 lie before it: 230 V over cable and winding in series, by hand.
    rig, graph = changed("cabin", LOCKED)
    answer = solutions_of(rig, graph)["well-pump-starts"]
    live, neutral = answer.nodes["well-pump.L"], answer.nodes["well-pump.N"]
    assert live.angle_deg is not None
    assert neutral.angle_deg is not None
    across = abs(
        cmath.rect(live.volts, math.radians(live.angle_deg))
        - cmath.rect(neutral.volts, math.radians(neutral.angle_deg))
    )

    assert across < 230 * 0.98
    assert abs(answer.elements_A["well-pump.load"]) == pytest.approx(across / (230 / 31), rel=1e-6)
    # What the bank gives is watts, half of the volt-amperes of the start and a little for cable and inverter.
    taken = across**2 / (230 / 31) * 0.5
    dc = answer.nodes["U2.dc.+"].volts - answer.nodes["U2.dc.-"].volts
    bank_W = dc * answer.elements_A["U2.inverter"]
    assert taken < bank_W < 1.35 * taken


def test_without_a_power_factor_the_start_stays_on_the_adverse_side() -> None:
    rig, graph = changed("cabin", ("surge: 7200 VA for 0.8 s", "surge: 31 A for 0.8 s, volts: 230 V"))
    case = cases_of(rig, graph)["well-pump-starts"]

    assert not case.stalled_ohm
    assert case.loads_W["well-pump"] == pytest.approx(31 * 230)


def test_a_winding_asks_less_of_the_battery_than_all_of_its_volt_amperes() -> None:
    winding = start(changed("cabin", LOCKED), "well-pump")
    power = start(demo("cabin"), "well-pump")

    assert winding.asked_VA == pytest.approx(31 * 230)
    assert winding.battery_A is not None
    assert power.battery_A is not None
    assert winding.battery_A < 0.75 * power.battery_A


def test_a_motor_on_direct_current_is_a_resistance_at_standstill() -> None:
    line = re.search(r"\n    pump:.*", demos.files_of("trailer")["rig.yaml"].decode())
    assert line is not None
    rig, graph = changed("trailer", (line[0], line[0].replace("{", "{surge: 20 A for 1 s, volts: 12 V, ", 1)))
    answer = solutions_of(rig, graph)["pump-starts"]
    across = answer.nodes["pump.+"].volts - answer.nodes["pump.-"].volts

    assert answer.elements_A["pump.load"] == pytest.approx(across / 0.6, rel=1e-9)
    assert across < 12.0
