"""Prospective faults: both bounds, who feeds them, what each device must break, what is not known."""

import pytest
from tests.circuit.rigs import changed, demo, read

from ohmwright.circuit.faults import faults_of, greatest_side
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.fault import back_feed_A, bank_fault_A
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig
from ohmwright.working import Figure

BANK = """\
ohmwright: 1
host: {kind: cabin, places: {room: {regime: heated}}, ways: {}}
parts:
  B: {is: battery-lfp-200ah-12v, count: COUNT, at: room, resistance: 2.5 mohm, each: {F: fuse-terminal-post-150a},
      join: {as: busbars, plus: XB.1, minus: XC.1, lead: 35 mm2, lead-length: LENGTH}}
  XB: {is: busbar-600a-8stud, at: room}
  XC: {is: busbar-600a-8stud, at: room}
  F1: {is: fuse-class-t-400a, at: room}
  Q1: {is: battery-switch-500a, at: room}
runs:
  W1: {from: XB.7, to: F1.line, cable: 70 mm2, length: 0.2 m}
  W2: {from: F1.load, to: Q1.line, cable: 70 mm2, length: 1 m}
settings: {}
"""


def bank(count: int, length: str) -> tuple[Rig, Graph]:
    """Equal batteries on bars, each on its own equal leads."""
    return read(BANK.replace("COUNT", str(count)).replace("LENGTH", length), {})


#: 35 mm2 of solid copper at 20 degC, 0.406 m: 0.2 mohm each way, so 0.4 mohm a battery.
LEAD_ohm = 0.406 * 0.017241 / 35


def highest(rig: Rig) -> float:
    """Charging volts of the bank's batteries."""
    figure = rig.parts["B.1"].figure("charge_voltage")
    assert isinstance(figure, Figure)
    return figure.value


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_a_bank_on_bars_agrees_with_the_closed_form(count: int) -> None:
    rig, graph = bank(count, "0.406 m")
    volts, ohm, lead = highest(rig), 0.7 * 0.0025, LEAD_ohm
    # Plus bar to minus bar: every battery through both of its leads.
    to_bar = bank_fault_A(count, volts, 0.7, 0.0025, 2 * lead)
    # Plus bar to the nearest minus post: that battery through one lead, the others through theirs and its minus lead.
    others = volts / ((ohm + 2 * lead) / (count - 1) + lead) if count > 1 else 0.0
    to_post = volts / (ohm + lead) + others
    fault = faults_of(rig, graph)["XB.7"]
    assert fault.max_A == pytest.approx(max(to_bar, to_post), rel=1e-9)
    assert sum(fault.from_A.values()) == pytest.approx(fault.max_A, rel=1e-9)
    assert len(fault.from_A) == count


def test_a_battery_fuse_must_break_what_the_others_push_back() -> None:
    rig, graph = bank(4, "0.406 m")
    fault = faults_of(rig, graph)["B.1.F.line"]
    # Post to minus bar: the other three through both of their leads, then back through this battery's plus lead.
    back = highest(rig) / ((0.7 * 0.0025 + 2 * LEAD_ohm) / 3 + LEAD_ohm)
    assert fault.through_A["B.1.F"] == pytest.approx(back, rel=1e-9)
    assert fault.through_A["B.1.F"] > fault.through_A["B.2.F"]


def test_the_reviewed_back_feed_is_met() -> None:
    # Three others of 2.5 mohm and 0.4 mohm each at 13.2 V: 9658.5 A by a general circuit simulator; adverse 12.9 kA.
    assert back_feed_A(4, 13.2, 1.0, 0.0025, 0.0004) == pytest.approx(9658.5, abs=0.05)
    assert back_feed_A(4, 14.4, 0.7, 0.0025, 0.0004) == pytest.approx(12_900, abs=50)


def test_the_greatest_fault_is_above_the_least_everywhere() -> None:
    for name in ("trailer", "boat", "cabin", "van"):
        for terminal, fault in faults_of(*demo(name)).items():
            if fault.max_A is not None and fault.min_A is not None:
                assert fault.max_A > fault.min_A > 0, (name, terminal)


def test_what_a_device_must_break_is_never_more_than_the_fault() -> None:
    for name in ("trailer", "boat", "cabin"):
        for terminal, fault in faults_of(*demo(name)).items():
            if fault.max_A:
                assert all(i <= fault.max_A * (1 + 1e-9) for i in fault.through_A.values()), (name, terminal)


def test_the_main_fuse_sees_the_whole_bank_beyond_it_and_little_before_it() -> None:
    found = faults_of(*demo("trailer"))
    beyond, before = found["F1.load"].through_A["F1"], found["F1.line"].through_A.get("F1", 0.0)
    assert beyond > 10_000
    assert before < beyond / 10


def test_a_bank_without_resistance_cannot_be_told() -> None:
    rig, graph = changed(
        "trailer", ("count: 4, at: bunk-locker,", "count: 4, at: bunk-locker, resistance: unknown,")
    )
    if rig.parts["B.1"].record.figures.get("short_circuit_current") is not None:
        pytest.skip("the demo battery states its short-circuit current")
    fault = faults_of(rig, graph)["F1.load"]
    assert fault.max_A is None
    assert fault.min_A is None
    assert any("B.1.resistance" in m for m in fault.missing)


def test_the_makers_short_circuit_current_counts_when_it_is_larger() -> None:
    plain = faults_of(
        *changed(
            "trailer",
            (
                "count: 4, at: bunk-locker,",
                "count: 4, at: bunk-locker, resistance: 2.5 mohm, short-circuit-current: none,",
            ),
        )
    )
    told = faults_of(
        *changed(
            "trailer",
            (
                "count: 4, at: bunk-locker,",
                "count: 4, at: bunk-locker, resistance: 2.5 mohm, short-circuit-current: 20 kA,",
            ),
        )
    )
    first, second = plain["F1.load"].max_A, told["F1.load"].max_A
    assert first is not None
    assert second is not None
    assert second > first


def test_an_unknown_length_leaves_the_least_fault_open_and_the_greatest_bounded() -> None:
    rig, graph = changed(
        "trailer",
        (
            "W12: {from: F2.load,  to: U2.dc.+, cable: 4/0 AWG 105C red, length: 0.9 m}",
            "W12: {from: F2.load,  to: U2.dc.+, cable: 4/0 AWG 105C red, length: unknown}",
        ),
    )
    fault = faults_of(rig, graph)["U2.dc.+"]
    whole = faults_of(*demo("trailer"))["U2.dc.+"]
    assert fault.min_A is None
    assert "W12.length" in fault.missing
    assert fault.max_A is not None
    assert whole.max_A is not None
    assert fault.max_A > whole.max_A


def test_an_array_pushes_its_short_circuit_current_and_no_more() -> None:
    rig, graph = demo("cabin")
    short = rig.parts["M.1.1"].figure("short_circuit")
    fault = faults_of(rig, graph)["XJ.out.+"]
    assert fault.max_A == pytest.approx(2 * short.high)  # type: ignore[union-attr]


@pytest.mark.parametrize("name", ["trailer", "boat"])
def test_what_flows_for_one_fault_asked_alone_is_what_flows_among_all(name: str) -> None:
    side = greatest_side(wiring_of(*demo(name)))
    shorts = side.shorts([t for t in side.network.node if side.shorted(t)])
    together = side.carried(shorts)

    assert len(together) > 20
    for k, among in enumerate(together):
        alone = side.carried(shorts.only(k))[0]
        assert alone.cells_A == pytest.approx(among.cells_A, rel=1e-9)
        assert alone.devices_A == pytest.approx(among.devices_A, rel=1e-9)
        assert alone.tau_s == pytest.approx(among.tau_s, rel=1e-9)
