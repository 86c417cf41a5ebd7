"""Loads that start hard: what they ask of inverter, volts, battery and fuses."""

import pytest
from tests.circuit.rigs import changed, demo, split

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solved import solutions_of
from ohmwright.circuit.starts import Start, starts_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig


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
