"""C7 by curves: passing, failing, as a note, exactly at the limit, and without the melting integral."""

import pytest
from tests.circuit.rigs import changed

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.checks.wiring.selectivity import judge, judge_alternating, judge_curves
from ohmwright.circuit.selectivity import Holding, Selective
from ohmwright.study import Study
from ohmwright.working import Figure, evaluate, figure

MELTING = figure(96_000.0, "A2s", address="F1.melting")
HOLDING = Holding(400.0, 96_000.0)


def found(up_to_A: float, prospective_A: float) -> Selective:
    return Selective("F1", "F2", up_to_A, prospective_A)


def of_rig(melting: str) -> dict[str, Finding]:
    rig, _ = changed(
        "trailer", ("F1:   {is: fuse-class-t-400a,", f"F1:   {{is: fuse-class-t-400a, {melting}")
    )
    return {f.subject: f for f in engine.run(Study(rig), only=["C7"])}


def test_a_limit_at_what_can_flow_passes_whatever_the_ratio_says() -> None:
    judged = judge_curves(figure(400, "A"), figure(300, "A"), found(9000, 9000), HOLDING, MELTING)

    assert (judged.verdict, judged.value, judged.limit) == ("pass", 9000, 9000)


def test_a_limit_below_what_can_flow_fails_and_says_both() -> None:
    judged = judge_curves(figure(400, "A"), figure(300, "A"), found(8999, 9000), HOLDING, MELTING)

    assert judged.verdict == "fail"
    assert "9 kA" in judged.message or "9000 A" in judged.message


def test_from_three_to_one_a_limit_is_a_note() -> None:
    judged = judge_curves(figure(400, "A"), figure(60, "A"), found(600, 9000), HOLDING, MELTING)

    assert (judged.verdict, judged.severity) == ("warn", "note")


def test_the_step_of_the_limit_is_followed_with_a_calculator() -> None:
    judged = judge_curves(figure(400, "A"), figure(300, "A"), found(600, 9000), HOLDING, MELTING)
    step = next(s for s in judged.steps if s.symbol == "t_melt")

    assert evaluate(step.substituted) == pytest.approx(step.value)
    # By hand: -96,000 / 160,000 ln(1 - 4 / 9) = 0.3527 s.
    assert step.value == pytest.approx(0.3527, abs=1e-4)


def test_a_rig_with_the_melting_integral_is_told_in_amperes() -> None:
    told = of_rig("melting: 96000 A2s,")

    assert told["F2"].verdict == "fail"
    assert "opens alone up to" in told["F2"].message
    assert told["F4"].verdict == "warn"


def test_a_large_melting_integral_makes_it_whole() -> None:
    assert of_rig("melting: 900000 A2s,")["F4"].verdict == "pass"


def test_without_it_the_ratio_speaks_and_where_it_cannot_the_integral_is_asked_for() -> None:
    assert "to 1." in of_rig("melting: unknown,")["F4"].message
    cabin, _ = changed(
        "cabin", ("F2: {is: fuse-class-t-250a,", "F2: {is: fuse-class-t-250a, melting: unknown,")
    )
    silent = [f for f in engine.run(Study(cabin), only=["C7"]) if f.verdict == "cannot-tell"]
    assert all(f.missing for f in silent)
    assert any(m.endswith(".melting") for f in silent for m in f.missing)


def test_the_members_of_a_bank_are_graded_once_by_the_one_that_lets_go_first() -> None:
    rig, _ = changed("trailer")
    study = Study(rig)
    told = [f for f in engine.run(study, only=["C7"]) if f.subject == "F1"]
    each = [study.selective(f"B.{n}.F", "F1").up_to_A for n in range(1, 5)]

    assert len({round(x or 0.0) for x in each}) > 1  # the way of each is as long as it is
    assert [f.value for f in told] == [pytest.approx(min(x for x in each if x is not None))]


# A breaker above.
BAND = figure(8.0, "1", address="F1.instant_low")
MAIN = Holding(125.0, None, ((250.0, 4.0), (750.0, 0.02)), 1000.0)


def of_breaker(more: str = "") -> dict[str, Finding]:
    rig, _ = changed("trailer", ("F1:   {is: fuse-class-t-400a,", f"F1:   {{is: breaker-150a-48v-1p, {more}"))
    return {f.subject: f for f in engine.run(Study(rig), only=["C7"])}


def test_no_ratio_tells_of_a_breaker_above() -> None:
    judged = judge(figure(125, "A"), figure(5, "A"), ("F1.instant_low",), breaker_above=True)

    assert (judged.verdict, judged.missing) == ("cannot-tell", ("F1.instant_low",))
    assert judge(figure(125, "A"), figure(5, "A")).verdict == "pass"  # two fuses 25 to 1


def test_a_breaker_close_above_fails_by_its_ratio_whatever_is_missing() -> None:
    assert judge(figure(125, "A"), figure(100, "A"), breaker_above=True).verdict == "fail"


def test_the_instant_of_a_breaker_above_is_followed_with_a_calculator() -> None:
    judged = judge_curves(figure(125, "A"), figure(60, "A"), found(1000, 9000), MAIN, BAND)
    step = judged.steps[-1]

    assert judged.verdict == "fail"
    assert evaluate(step.substituted) == pytest.approx(step.value) == 1000.0  # 8 x 125 A


def test_a_limit_at_what_can_flow_passes_under_a_breaker_too() -> None:
    assert judge_curves(figure(125, "A"), figure(60, "A"), found(900, 900), MAIN, BAND).verdict == "pass"
    assert judge_curves(figure(125, "A"), figure(60, "A"), found(899, 900), MAIN, BAND).verdict == "fail"


def test_both_times_are_told_at_the_limit() -> None:
    pair = Selective("F1", "F2", 250.0, 9000.0, clears_s=1.1, opens_s=4.0)

    assert (
        "clears within 1.1 s; the larger holds 4 s"
        in judge_curves(figure(125, "A"), figure(60, "A"), pair, MAIN, BAND).message
    )


def test_a_rig_with_a_breaker_above_is_told_in_amperes_or_not_at_all() -> None:
    assert "opens alone up to" in of_breaker()["F4"].message
    silent = of_breaker("instant-low: unknown,")
    assert (silent["F4"].verdict, silent["F4"].missing) == ("cannot-tell", ("F1.instant_low",))


# Alternating current: gates of IEC 60898-1 table 2, from memory: C opens at once between 5 and 10 times its rating.
def amps(value: float) -> Figure:
    return figure(value, "A")


def test_breakers_of_alternating_current_pass_up_to_the_lower_end_of_the_larger_ones_band() -> None:
    at = judge_alternating(amps(25), amps(10), amps(125), amps(125))
    above = judge_alternating(amps(25), amps(10), amps(125), amps(126))

    assert (at.verdict, at.value, at.limit) == ("pass", 125, 125)
    assert (above.verdict, above.severity) == ("warn", "note")
    assert "then both go dark" in above.message


def test_a_larger_breaker_behind_a_smaller_one_fails_and_two_alike_are_a_note() -> None:
    assert judge_alternating(amps(10), amps(16), amps(50), amps(90)).verdict == "fail"
    assert judge_alternating(amps(16), amps(16), amps(80), amps(90)).verdict == "warn"


def test_without_the_curve_of_the_larger_a_short_cannot_be_told() -> None:
    judged = judge_alternating(amps(30), amps(15), None, amps(900), ("PA.curve",))

    assert (judged.verdict, judged.missing) == ("cannot-tell", ("PA.curve",))


def test_breakers_of_a_demo_rig_are_told_once_for_each_that_feeds_several() -> None:
    rig, _ = changed("cabin")
    told = {f.subject: f for f in engine.run(Study(rig), only=["C7"])}

    assert told["Q3"].verdict == "warn"  # 25 A before 25 A
    assert told["G1"].verdict == "skip"
    assert "one circuit" in told["G1"].message
    weak, _ = changed("cabin", ("Q3: {is: rcbo-25a-30ma-type-a-2p,", "Q3: {is: rcbo-16a-30ma-type-a-2p,"))
    assert {f.subject: f.verdict for f in engine.run(Study(weak), only=["C7"])}["Q3"] == "fail"


def test_a_main_and_its_ways_stand_in_a_row_inside_the_panel() -> None:
    rig, _ = changed("trailer")
    told = {f.subject: f for f in engine.run(Study(rig), only=["C7"])}

    assert (told["PA.main"].verdict, told["PA.main"].missing) == ("cannot-tell", ("PA.curve",))


def test_a_smaller_breaker_behind_is_no_larger_one_before_by_way_of_the_neutral() -> None:
    rig, _ = changed("cabin", ("Q4: {is: breaker-25a-230v-2p,", "Q4: {is: breaker-20a-230v-2p,"))
    told = {f.subject: f.verdict for f in engine.run(Study(rig), only=["C7"])}

    assert told["Q4"] == told["Q3"] == "warn"
