"""What the proofs say about the demo rigs as they ship; the findings of the van were seen on the vehicle's graph by hand."""

import pytest
from tests.circuit.rigs import changed, demo, split, with_line

from ohmwright.circuit.proofs import PROOFS, prove
from ohmwright.circuit.proofs.ground import Ground
from ohmwright.circuit.types import Proof
from ohmwright.circuit.wiring import wiring_of

SOUND = tuple(n for n in PROOFS if n != "neutral-earth")


@pytest.mark.parametrize("name", ["trailer", "cabin"])
@pytest.mark.parametrize("proof", PROOFS)
def test_every_proof_holds_on_a_sound_rig(name: str, proof: str) -> None:
    answer = prove(*demo(name))[proof]
    assert answer.found == ()
    assert answer.open == ()


@pytest.mark.parametrize("proof", SOUND)
def test_every_proof_but_the_posts_own_join_holds_on_the_boat(proof: str) -> None:
    assert prove(*demo("boat"))[proof].holds


def test_an_unknown_post_makes_its_join_unknown_and_nothing_else() -> None:
    answer = prove(*demo("boat"))["neutral-earth"]
    assert answer.found == ()
    assert [f.subject for f in answer.open] == ["SUP"]
    assert answer.open[0].missing == ("SUP.system",)
    known = prove(*changed("boat", ("system: unknown (asked 2026-02-18)", "system: tn")))["neutral-earth"]
    assert known.holds


def test_the_boat_has_one_join_an_island_in_every_state() -> None:
    # By hand: post behind the transformer has its own, the transformer's secondary W83, the inverter its relay.
    joins = prove(*changed("boat", ("system: unknown (asked 2026-02-18)", "system: tn")))[
        "neutral-earth"
    ].facts["joins"]
    assert isinstance(joins, dict)
    assert {end: list(sets) for end, sets in joins.items()} == {
        "SUP.supply-L": ["SUP.bond"],
        "T1.windings": ["W83"],
        "U2.inverter": ["U2.bond"],
    }


def test_the_boat_is_walked_in_as_many_states_as_its_devices_have() -> None:
    # 2 sun, 3 management, 2 main, 2 remote, 2 start switch, 2 engine, 3 crossover, 3 instruments, 2 way = 1728.
    ground = Ground(wiring_of(*demo("boat")))
    assert ground.dc.count == 1728
    assert set(ground.dc.space.walked) == {
        "sun",
        "BM",
        "Q1",
        "Q6",
        "Q9",
        "engine-running",
        "Q2",
        "QN",
        "under-way",
    }


def van(proof: str) -> Proof:
    """A proof of the rescue van as found."""
    return prove(*demo("van"))[proof]


def test_the_van_has_an_inverter_minus_around_the_shunt() -> None:
    (found,) = van("shunt").found
    assert found.subject == "U2.dc.-"
    assert found.path == ("B.-", "W06", "U2.dc.-")


def test_the_van_has_no_neutral_earth_join_without_the_cord() -> None:
    found = van("neutral-earth").found
    assert [f.subject for f in found] == ["U2"]
    assert "no neutral-earth join" in found[0].message
    joins = van("neutral-earth").facts["joins"]
    assert isinstance(joins, dict)
    # Inverting in 16 combinations of cord, post and RCD that matter, joined in 2: only through the cord.
    assert joins["U2.inverter"]["none"] > joins["U2.inverter"]["SUP.bond"]


def test_the_van_lets_supply_and_inverter_meet_and_both_banks() -> None:
    assert {(f.subject, f.message) for f in van("sources-meet").found} == {
        ("SUP", "SUP and U2 meet"),
        ("B", "banks B and SB meet"),
    }


def test_the_van_has_a_cord_live_at_both_ends() -> None:
    assert {f.subject for f in van("pins").found} == {"C1.from", "C1.to", "C1"}


def test_the_van_charges_lithium_from_its_alternator() -> None:
    assert {f.subject for f in van("chemistry").found} == {"AL", "B"}


def test_the_van_has_bare_metres_before_its_first_devices() -> None:
    ends = van("protection").facts["ends"]
    assert isinstance(ends, dict)
    assert ends["B.1"]["FA"] == pytest.approx(1.40)
    assert ends["B.1"]["FD"] == pytest.approx(0.50)
    assert ends["B.1"]["PV.1"] == pytest.approx(7.50)
    assert ends["B.2"]["FA"] == pytest.approx(1.65)
    assert any(f.subject == "B.1" and "blower" in f.message for f in van("protection").found)
    assert any(f.subject == "SB" and "blower" in f.message for f in van("protection").found)


def test_the_van_feeds_its_rcd_from_behind() -> None:
    assert [f.message for f in van("rcd-join").found] == ["SUP feeds QD from behind"]


def test_the_van_can_feed_its_bank_back_into_the_array() -> None:
    assert {f.subject for f in van("array-backfeed").found} == {"M"}


def test_sound_rigs_have_a_device_close_to_every_battery() -> None:
    ends = prove(*demo("boat"))["protection"].facts["ends"]
    assert isinstance(ends, dict)
    assert ends["B.1"] == {"B.1.F": pytest.approx(0.03)}
    assert ends["SB"] == {"F8": pytest.approx(0.18)}


def test_a_split_panel_on_one_phase_has_a_shared_neutral() -> None:
    (found,) = prove(*split())["shared-neutral"].found
    assert found.subject == "PA.feed"
    assert "W6" in found.path
    assert found.states["U2"] == "passing"


def test_a_walk_that_is_too_long_says_which_devices_make_it_so() -> None:
    lines = "\n".join(f"  Z{k}: {{is: battery-switch-500a, at: side-bay}}" for k in range(13))
    runs = ["  Y0: {from: XP.6, to: Z0.line, cable: 2 AWG, length: 1 m}"]
    runs += [
        f"  Y{k}: {{from: Z{k - 1}.load, to: Z{k}.line, cable: 2 AWG, length: 1 m}}" for k in range(1, 13)
    ]
    runs += ["  Y13: {from: Z12.load, to: XP.7, cable: 2 AWG, length: 1 m}"]
    ring = [
        f"  X{k}: {{from: Z{k}.line, to: XP.{6 + k % 3}, cable: 2 AWG, length: 1 m}}" for k in range(1, 13)
    ]
    rig, graph = changed(
        "trailer",
        ("parts:\n", f"parts:\n{lines}\n"),
        ("runs:\n", "runs:\n" + "\n".join([*runs, *ring]) + "\n"),
    )
    answer = prove(rig, graph)["open-bus"]
    if answer.walked == 0:
        assert not answer.holds
        assert set(answer.open[0].missing) >= {"Z1", "Z2"}
    else:
        # Switches between studs of one bar lie on no path between two sources: they need no walk.
        assert answer.holds


def test_thirteen_switches_side_by_side_cannot_be_told() -> None:
    lines = "\n".join(f"  Z{k}: {{is: battery-switch-500a, at: side-bay}}" for k in range(13))
    runs = "\n".join(
        f"  Y{k}: {{from: Q1.line, to: Z{k}.line, cable: 2 AWG, length: 1 m}}\n  X{k}: {{from: Z{k}.load, to: Q1.load, cable: 2 AWG, length: 1 m}}"
        for k in range(13)
    )
    answer = prove(*changed("trailer", ("parts:\n", f"parts:\n{lines}\n"), ("runs:\n", f"runs:\n{runs}\n")))[
        "open-bus"
    ]
    assert answer.walked == 0
    assert answer.open
    assert {"Z0", "Z12", "Q1"} <= set(answer.open[0].missing)


def test_a_bare_inlet_is_proved_plugged_in_too() -> None:
    # The trailer's cord and post taken out of the file: the inlet is still there to be plugged in.
    rig, graph = with_line("trailer", "cases", "nothing: {loads: {}}")
    assert prove(rig, graph)["pins"].subjects
