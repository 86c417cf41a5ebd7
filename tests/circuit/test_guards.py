"""Which device guards which conductor, on both sides of a circuit."""

import pytest
from tests.circuit.rigs import changed, demo

from ohmwright.circuit import skeleton
from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.guards import Guard, guards_of
from ohmwright.circuit.solve import solve


def devices(name: str, conductor: str) -> dict[str, Guard]:
    """The guards of a conductor by source."""
    return {g.source: g for g in guards_of(*demo(name))[conductor].guards}


def test_a_branch_is_guarded_by_its_way_on_both_poles() -> None:
    for pole in ("+", "-"):
        guard = devices("trailer", f"fridge.branch.{pole}")["B.1"]
        assert guard.device == "PD.1"
        assert guard.rated_A == 15


def test_the_inverter_cable_is_guarded_by_its_fuse_on_both_poles() -> None:
    assert devices("trailer", "W12")["B.1"].device == "F2"
    assert devices("trailer", "W13")["B.1"].device == "F2"


def test_a_trunk_minus_is_guarded_by_what_stands_before_the_trunk() -> None:
    # All but the detectors hang on the main fuse; they have their own.
    guards = guards_of(*demo("trailer"))["W10"].guards
    assert {g.device for g in guards if g.source == "B.1"} == {"F1", "F7"}


def test_bank_cables_are_guarded_by_all_battery_fuses_together() -> None:
    guards = [g for g in guards_of(*demo("trailer"))["W36"].guards if g.source.startswith("B.")]
    assert {g.device for g in guards} == {"B.1.F", "B.2.F", "B.3.F", "B.4.F"}
    assert {g.together_A for g in guards} == {600.0}


def test_a_battery_without_a_device_leaves_its_cable_bare() -> None:
    guard = {g.source: g for g in guards_of(*demo("van"))["W04"].guards}["B.1"]
    assert guard.device is None
    beyond = {g.source: g for g in guards_of(*demo("van"))["W05"].guards}["B.1"]
    assert beyond.device == "FA"
    assert beyond.bare_m == pytest.approx(1.40)


def test_a_length_not_known_leaves_the_bare_way_not_known() -> None:
    rig, graph = changed(
        "van",
        (
            "W04: {from: B.+, to: FA.line, cable: 35 mm2 CCA red, length: 1.4 m (f)}",
            "W04: {from: B.+, to: FA.line, cable: 35 mm2 CCA red, length: unknown}",
        ),
    )
    guard = {g.source: g for g in guards_of(rig, graph)["W05"].guards}["B.1"]
    assert guard.device == "FA"
    assert guard.bare_m is None


def test_a_selector_never_lets_one_source_through_to_the_other() -> None:
    # The crossover joins the starter to one bank or the other; the start battery never reaches the house bar.
    assert "SB" not in devices("boat", "W39")
    assert devices("boat", "W37").keys() >= {"SB", "B.1"}
    assert devices("boat", "W37")["SB"].device == "F8"
    assert devices("boat", "W37")["B.1"].device == "F14"


def test_an_array_and_an_alternator_limit_themselves() -> None:
    short = demo("cabin")[0].parts["M.1.1"].figure("short_circuit")
    assert devices("cabin", "W01.+")["M.1"].limited_A == pytest.approx(short.high)  # type: ignore[union-attr]
    assert devices("boat", "W34")["AL"].limited_A is not None


def test_the_inverter_cable_is_designed_for_full_power_at_the_cut_off() -> None:
    # K: I = P / (eta V) with V the cut-off setting, and eta the efficiency at full load.
    rig, graph = demo("trailer")
    guarding = guards_of(rig, graph)["W12"]
    u2 = rig.parts["U2"]
    watts = max(f.high for n in ("power", "power_40", "power_60") if hasattr(f := u2.figure(n), "high"))
    volts, full = rig.setting("U2", "cut-off"), u2.with_default("efficiency_full")
    assert guarding.design_case == "U2-full"
    assert guarding.design_A == pytest.approx(watts / (full.value * volts.value), rel=0.02)  # type: ignore[union-attr]


def test_every_power_conductor_of_a_demo_has_a_guarding() -> None:
    for name in ("trailer", "boat", "cabin", "van"):
        rig, graph = demo(name)
        found = guards_of(rig, graph)
        quiet = {p.id for p in rig.of_kind("surge-dc", "surge-ac", "surge")}
        for c in graph.conductors.values():
            ends = {graph.terminals[c.a].owner, graph.terminals[c.b].owner}
            if c.role == "" and c.pole in ("+", "-", "L", "N") and not ends & quiet:
                assert found[c.id].guards, (name, c.id)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van"])
def test_the_design_case_is_the_first_that_comes_to_the_current_whatever_rounding_says(name: str) -> None:
    rig, graph = demo(name)
    answers = {n: solve(rig, graph, c) for n, c in cases_of(rig, graph).items() if c.seconds is None}
    lasting = {n: a for n, a in answers.items() if not a.overloaded}
    for c, guarding in guards_of(rig, graph).items():
        amps = {n: abs(a.conductors[c].current_A) for n, a in lasting.items()}
        most = max(amps.values())
        first = next(n for n, i in amps.items() if i >= most * (1 - 1e-9) or most < 1e-9)
        assert guarding.design_case == first
        assert guarding.design_A == (most if most >= 1e-9 else 0.0)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("W04: {from: B.+, to: FA.line, cable: 35 mm2 CCA red, length: 1.4 m (f)}",
         "W04: {from: B.+, to: FA.line, cable: 35 mm2 CCA red, length: 0.9 m}"),
        ("  FA: {is: ", "  FA: {rated: 40 A, is: "),
    ],
)  # fmt: skip
def test_other_lengths_and_ratings_are_put_into_the_ways_that_are_kept(old: str, new: str) -> None:
    before = guards_of(*demo("van"))
    rig, graph = changed("van", (old, new))
    kept = guards_of(rig, graph)
    skeleton.forget()
    rig, graph = changed("van", (old, new))

    assert kept == guards_of(rig, graph)
    assert kept != before
