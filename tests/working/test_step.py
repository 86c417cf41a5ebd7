"""A step prints what it computed, keeps where everything came from, and takes the adverse corner when asked."""

import pickle
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.physics.sums import sum_V
from ohmwright.working import COMPUTED, FORMULAS, Figure, Origin, evaluate, figure, formula, parse, work
from ohmwright.working.step import running_sum


def known(text: str, address: str = "") -> Figure:
    found = parse(text)
    assert isinstance(found, Figure)
    return found.at(address)


@formula("I * R", symbol="dU", unit="V", rises=("current_A", "loop_ohm"), current_A="I", loop_ohm="R")
def drop_V(current_A: float, loop_ohm: float) -> float:
    return current_A * loop_ohm


@formula(
    "U - dU", symbol="U_end", unit="V", rises=("source_V",), falls=("drop_V",), source_V="U", drop_V="dU"
)
def end_V(source_V: float, drop_V: float) -> float:
    return source_V - drop_V


@formula("I**2 * R", symbol="P", unit="W", current_A="I", loop_ohm="R")
def loss_W(current_A: float, loop_ohm: float) -> float:
    return current_A**2 * loop_ohm


for _planted in (drop_V, end_V, loss_W):
    FORMULAS.pop(f"{__name__}.{_planted.__name__}", None)


def test_the_substituted_line_is_the_one_for_a_pocket_calculator() -> None:
    step = work(drop_V, current_A=known("120 A"), loop_ohm=known("2.5 mohm"))

    assert step.substituted == "120 * 0.0025"
    assert step.value == pytest.approx(0.3)
    assert (step.symbol, step.unit, step.formula) == ("dU", "V", "I * R")


@given(st.floats(-1e6, 1e6), st.floats(-1e3, 1e3))
def test_evaluating_the_substituted_line_gives_the_value(current: float, ohm: float) -> None:
    for function in (drop_V, loss_W):
        step = work(function, current_A=current, loop_ohm=ohm)
        assert evaluate(step.substituted) == pytest.approx(step.value, rel=1e-8, abs=1e-12)


def test_a_negative_number_is_squared_whole() -> None:
    assert work(loss_W, current_A=-3.0, loop_ohm=2.0).substituted == "(-3)**2 * 2"


def test_an_input_keeps_address_and_origin() -> None:
    step = work(
        drop_V,
        current_A=known("120 A (m 2026-05-02 clamp1)", "B.current"),
        loop_ohm=known("2.5 mohm (d1)", "W01"),
    )

    current, ohm = step.inputs
    assert (current.address, current.origin.kind, current.origin.by) == ("B.current", "measured", "clamp1")
    assert (ohm.address, ohm.origin.tag) == ("W01", "d1")
    assert step.origin_unverified  # d1 without a page


def test_a_step_rests_on_steps_in_working_order_each_once() -> None:
    drop = work(drop_V, current_A=known("120 A (d1 p1)"), loop_ohm=known("2.5 mohm (d1 p2)"))
    end = work(end_V, source_V=known("12.8 V (m 2026-05-02)"), drop_V=drop)

    assert end.value == pytest.approx(12.5)
    assert end.chain() == (drop, end)
    assert end.inputs[1].step is drop
    assert end.inputs[1].origin == COMPUTED
    assert not end.origin_unverified


def test_the_adverse_corner_takes_each_bound_the_way_it_works() -> None:
    volts, drop = known("12.8 V +-0.1 V"), known("0.3 V +-0.05 V")

    assert work(end_V, worst="low", source_V=volts, drop_V=drop).value == pytest.approx(12.7 - 0.35)
    assert work(end_V, worst="high", source_V=volts, drop_V=drop).value == pytest.approx(12.9 - 0.25)
    assert work(end_V, source_V=volts, drop_V=drop).value == pytest.approx(12.5)


@given(st.floats(1, 100), st.floats(0, 0.5), st.floats(0.001, 1), st.floats(0, 0.5))
def test_no_corner_is_worse_than_the_worst(current: float, da: float, ohm: float, dr: float) -> None:
    a = Figure(current, "A", current * (1 - da), current * (1 + da))
    r = Figure(ohm, "ohm", ohm * (1 - dr), ohm * (1 + dr))
    worst = work(drop_V, worst="high", current_A=a, loop_ohm=r).value

    assert all(
        i * j <= worst * (1 + 1e-12) for i in (a.low, a.value, a.high) for j in (r.low, r.value, r.high)
    )


def test_a_figure_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(TypeError, match="a figure in V was given for current_A"):
        work(drop_V, current_A=known("12 V"), loop_ohm=known("2.5 mohm"))


def test_an_argument_too_many_is_refused() -> None:
    with pytest.raises(TypeError, match="does not take"):
        work(drop_V, current_A=1.0, loop_ohm=1.0, length_m=1.0)


def test_one_guess_at_the_root_leaves_the_whole_chain_unverified() -> None:
    guess = replace(figure(120, "A"), origin=Origin("class"))
    drop = work(drop_V, current_A=guess, loop_ohm=known("2.5 mohm (d1 p2)"))

    assert work(end_V, source_V=known("12.8 V (m 2026-05-02)"), drop_V=drop).origin_unverified


@pytest.mark.parametrize(
    "text",
    [
        "__import__('os')",
        "open('x')",
        "I.real",
        "[I]",
        "(lambda: 1)()",
        "I if __name__ else 1",
        "'a' * 9",
        "I[0]",
        "{}",
        "f'{I}'",
    ],
)
def test_a_formula_text_is_arithmetic_and_nothing_else(text: str) -> None:
    with pytest.raises((ValueError, NameError, TypeError)):
        evaluate(text, {"I": 1.0})


def test_a_running_sum_is_the_chain_of_its_steps_put_together_when_it_is_looked_at() -> None:
    drops = [
        work(sum_V, first_V=figure(0.1 * k, "V"), second_V=figure(1.1, "V", COMPUTED)) for k in range(1, 6)
    ]
    chained = drops[0]
    for drop in drops[1:]:
        chained = work(sum_V, first_V=chained, second_V=drop)
    later = running_sum(sum_V, drops)
    assert later.value == chained.value
    assert later.origin_unverified is chained.origin_unverified is True
    assert later == chained
    assert chained == later
    assert hash(later) == hash(chained)
    assert later.chain() == chained.chain()
    assert pickle.loads(pickle.dumps(later)) == chained
    assert later != running_sum(sum_V, drops[:-1])
    assert running_sum(sum_V, drops[:1]) is drops[0]
