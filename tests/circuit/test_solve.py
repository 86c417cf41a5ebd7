"""Whole rigs solved: energy balances, laws of cables and loads, cut-offs, limits of supplies, phasors."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.circuit.rigs import NAMES, changed, demo, split

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solve import solve, worked
from ohmwright.circuit.types import Case, Solution
from ohmwright.working import Figure

NIGHT = {"sun": "down", "C1.from": "out"}


def all_cases() -> list[tuple[str, str]]:
    """Every generated and written case of every demo rig."""
    return [(name, case) for name in NAMES for case in cases_of(*demo(name))]


@pytest.mark.parametrize(("name", "case"), all_cases())
def test_power_balances_in_every_case(name: str, case: str) -> None:
    # Tellegen over the DC side: what batteries and arrays give, loads and converters take, and cables lose.
    rig, graph = demo(name)
    work = worked(rig, graph, cases_of(rig, graph)[case])
    assert work.answer is not None
    net, v = work.direct.network, work.answer.volts
    answer = work.solution
    total = sum(answer.elements_A[e.id] * (v[net.node[e.a]] - v[net.node[e.b]]) for e in net.branches)
    for p in work.ports.seen.ports if work.ports else ():
        total += complex(work.answer.drawn[p.id]).real * (v[net.node[p.a]] - v[net.node[p.b]])
    scale = max([1.0, *(abs(i) for i in answer.elements_A.values())]) * 14
    assert abs(total) < 1e-8 * scale


@pytest.mark.parametrize("name", NAMES)
def test_currents_balance_at_every_terminal(name: str) -> None:
    rig, graph = demo(name)
    for case in cases_of(rig, graph).values():
        work = worked(rig, graph, case)
        assert work.answer is not None
        answer = work.solution
        left: dict[str, float] = dict.fromkeys(work.direct.network.node, 0.0)
        for e in work.direct.network.branches:
            left[e.a] += answer.elements_A[e.id]
            left[e.b] -= answer.elements_A[e.id]
        for p in work.ports.seen.ports if work.ports else ():
            left[p.a] += complex(work.answer.drawn[p.id]).real
            left[p.b] -= complex(work.answer.drawn[p.id]).real
        scale = max([1.0, *(abs(i) for i in answer.elements_A.values())])
        # What rounding alone makes of the volts across the best conductor there is.
        rounding_A = 4 * 2.2e-16 * 60 / min(complex(e.ohm).real for e in work.direct.network.live)
        assert max(abs(i) for i in left.values()) < 1e-9 * scale + rounding_A, case.name


def test_shares_sum_to_one() -> None:
    for name in NAMES:
        rig, graph = demo(name)
        for case in cases_of(rig, graph).values():
            answer = solve(rig, graph, case)
            banks: dict[str, float] = {}
            for b in answer.batteries.values():
                if b.share is not None:
                    banks[b.bank] = banks.get(b.bank, 0.0) + b.share
            assert all(total == pytest.approx(1.0, abs=1e-9) for total in banks.values())


@settings(max_examples=30, deadline=None)
@given(
    st.sampled_from(["W20", "W21", "W12", "W13", "W37", "W39"]),
    st.sampled_from(["1/0 AWG", "2/0 AWG", "3/0 AWG"]),
)
def test_a_thicker_cable_never_drops_more(run: str, size: str) -> None:
    rig, graph = demo("trailer")
    case = Case("x", "", NIGHT, {"fridge": 60.0, "microwave": 1000.0}, bank_soc_ratio=0.4)
    before = solve(rig, graph, case)
    line = next(t for t in rig.text.splitlines() if t.startswith(f"  {run}:"))
    old = line.partition("cable: ")[2].partition(" AWG")[0]
    thick = changed("trailer", (line, line.replace(f"cable: {old} AWG", f"cable: {size}")))
    order = ["14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0"]
    after = solve(*thick, case)
    sign = 1 if order.index(size.split(" ")[0]) >= order.index(old) else -1
    for c in before.conductors:
        if c == run and before.conductors[c].drop_V > 0:
            assert sign * (before.conductors[c].drop_V - after.conductors[c].drop_V) >= -1e-12


def test_a_warmer_conductor_drops_more() -> None:
    rig, graph = demo("trailer")
    case = Case("x", "", NIGHT, {"microwave": 1000.0})
    cold, hot = (solve(rig, graph, replace(case, conductor_degC=t)) for t in (20.0, 90.0))
    assert hot.conductors["W12"].drop_V > cold.conductors["W12"].drop_V


def test_a_cold_bank_sags_more() -> None:
    rig, graph = demo("trailer")
    case = Case("x", "", NIGHT, {"microwave": 1000.0}, bank_soc_ratio=0.5)
    warm, cold = (solve(rig, graph, replace(case, bank_degC=t)) for t in (25.0, -10.0))
    across = [s.nodes["U2.dc.+"].volts - s.nodes["U2.dc.-"].volts for s in (warm, cold)]
    assert across[1] < across[0]


def test_a_missing_battery_carries_nothing_and_the_rest_carry_all() -> None:
    rig, graph = demo("trailer")
    answer = solve(rig, graph, cases_of(rig, graph)["B-one-out"])
    assert "B.1" not in answer.batteries
    assert len(answer.batteries) == 3


def test_an_inverter_below_its_cut_off_stops_or_hunts() -> None:
    rig, graph = demo("boat")
    watts = {"U2": 2000.0}
    calm = solve(rig, graph, Case("x", "", NIGHT, converters_W=watts, bank_soc_ratio=0.9))
    assert calm.converged
    low = solve(rig, graph, Case("x", "", NIGHT, converters_W=watts, bank_soc_ratio=0.05, bank_degC=0.0))
    assert any("stops" in line for line in low.story)


def test_a_limited_supply_is_not_asked_for_more() -> None:
    rig, graph = demo("boat")
    on = {"C1.from": "in", "C1.to": "in", "SUP": "live", "sun": "down"}
    answer = solve(rig, graph, Case("x", "", on, bank_soc_ratio=0.3, supply_A=6.0))
    amps = abs(answer.conductors["W85.L"].current_A)
    assert amps <= 6.0 + 1e-6
    assert answer.batteries["B.1"].current_A > 0


def test_dc_power_into_the_inverter_is_ac_power_and_its_losses() -> None:
    rig, graph = demo("cabin")
    answer = solve(
        rig, graph, Case("x", "", {**NIGHT, "generator-running": "stopped"}, {"induction": 1800.0})
    )
    volts = answer.nodes["U2.dc.+"].volts - answer.nodes["U2.dc.-"].volts
    watts_in = volts * answer.elements_A["U2.inverter"]
    assert 1800 / watts_in == pytest.approx(0.92, abs=0.04)
    # The branch itself, by hand: 1800 W at about 230 V less a small drop.
    assert answer.conductors["induction.branch.L"].current_A == pytest.approx(1800 / 230, rel=0.02)


def test_a_charger_that_is_full_holds_its_float_volts() -> None:
    rig, graph = demo("trailer")
    answer = solve(
        rig, graph, Case("x", "", {"sun": "up", "C1.from": "out"}, bank_soc_ratio=1.0, sun_ratio=1.0)
    )
    assert all(b.current_A <= 1e-6 for b in answer.batteries.values())


def test_on_a_full_bank_the_sun_carries_the_loads_at_the_float_volts_of_the_file() -> None:
    rig, graph = demo("trailer")
    noon = solve(rig, graph, cases_of(rig, graph)["noon-full"])
    night = solve(rig, graph, replace(cases_of(rig, graph)["noon-full"], sun_ratio=0.0))
    held = rig.setting("U1", "float")
    assert isinstance(held, Figure)
    positive, negative = (noon.nodes[f"U1.bat.{pole}"].volts for pole in "+-")
    assert positive - negative == pytest.approx(
        held.value, abs=0.005
    )  # a charger's hold is as stiff as a limiter
    given, drawn = (sum(b.current_A for b in x.batteries.values()) for x in (noon, night))
    assert given > 0.5 * drawn
    assert drawn < 0


def test_split_phase_legs_stand_half_a_turn_apart() -> None:
    rig, graph = split()
    answer = solve(
        rig,
        graph,
        Case(
            "x", "", {"C1.from": "out"}, {"outlets-east": 900.0, "outlets-west": 900.0, "well-pump": 1500.0}
        ),
    )
    one, two = answer.nodes["PA.feed.L1"], answer.nodes["PA.feed.L2"]
    assert one.angle_deg is not None
    assert two.angle_deg is not None
    assert abs(abs(one.angle_deg - two.angle_deg) - 180) < 0.5
    # Equal legs: the neutral carries next to nothing; the pump between the legs takes 1500 W at about 240 V.
    assert abs(answer.conductors["W7.N"].current_A) < 0.01
    assert answer.elements_A["well-pump.load"] == pytest.approx(1500 / 240, rel=0.02)


def test_an_unequal_split_puts_the_difference_on_the_neutral() -> None:
    rig, graph = split()
    answer = solve(rig, graph, Case("x", "", {"C1.from": "out"}, {"outlets-east": 900.0}))
    assert abs(answer.conductors["W7.N"].current_A) == pytest.approx(900 / 120, rel=0.02)
    assert abs(answer.conductors["W7.L2"].current_A) < 0.01


def test_a_load_between_legs_of_one_phase_is_told_as_not_fed() -> None:
    rig, graph = split()
    on = {"C1.from": "in", "C1.to": "in", "SUP": "live"}
    answer = solve(
        rig, graph, Case("x", "", on, {"well-pump": 1500.0, "outlets-east": 900.0, "outlets-west": 900.0})
    )
    assert any("well-pump" in line for line in answer.story)
    # The danger in figures: the neutral carries the sum of the legs, which a shared neutral never should.
    legs = abs(answer.conductors["W7.L1"].current_A) + abs(answer.conductors["W7.L2"].current_A)
    assert abs(answer.conductors["W7.N"].current_A) == pytest.approx(legs, rel=1e-3)
    assert legs == pytest.approx(1800 / 120, rel=0.05)


def test_an_unknown_length_is_solved_as_nothing_and_named() -> None:
    rig, graph = demo("van")
    answer = solve(rig, graph, Case("x", "", NIGHT, {"lights": 20.0}))
    assert "W01.+" in answer.unsolved
    assert answer.drop_of("W01.+") is None
    assert answer.drop_of("W10") is not None


def test_the_margin_says_how_much_more_the_rig_carries() -> None:
    rig, graph = demo("trailer")
    case = Case("x", "", NIGHT, {"microwave": 1000.0}, bank_soc_ratio=0.4)
    margin = solve(rig, graph, case).collapse_margin
    assert margin is not None
    assert margin > 2


def test_an_overload_is_named() -> None:
    rig, graph = demo("trailer")
    answer: Solution = solve(rig, graph, Case("x", "", NIGHT, {"microwave": 5000.0}, bank_soc_ratio=0.9))
    assert answer.overloaded == ("U2",)
