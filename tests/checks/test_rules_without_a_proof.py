"""A29 and D29 walk the graph themselves: on every demo rig one thing moved is told as something new, as mutants are of a proof."""

import pytest
from tests.checks.test_on_rigs import Edit, add, drop, found, part, study_of, swap

RACK = swap("\nmetal:", "\nmetal:\n  rack: {}")


BARE_QG = swap("QG:   {is: rcd-30a-class-a-120v-2p", "QG:   {is: breaker-32a-230v-2p")
BARE_QA = swap("QA: {is: rcbo-16a-30ma-type-a-2p", "QA: {is: breaker-16a-230v-2p")
BARE_QR = swap("QR: {is: rcd-40a-30ma-type-f-2p", "QR: {is: breaker-40a-230v-2p")
MUTANTS: list[tuple[str, str, str, str, tuple[Edit, ...]]] = [
    ("A29", "built", "M", "bond of the frames left out", (drop("W38:"),)),
    ("A29", "built", "M", "bond of the frames on a rack that hangs on nothing", (swap("metal:                         # one node each; the frame is never credited as a return", "metal:\n  rack: {}"), swap("W38: {from: frames,   to: chassis", "W38: {from: frames,   to: rack"))),
    ("A29", "built", "M", "bond of the frames on the shunt's bus", (swap("W38: {from: frames,   to: chassis", "W38: {from: frames,   to: XN.7"),)),
    ("A29", "boat", "M1", "a rigid array on an arch that hangs on nothing", (RACK, part("M1", "on: rack"))),
    ("A29", "cabin", "M", "bond of the wall frame left out", (drop("W07:"),)),
    ("A29", "van", "M", "an array on rails that hang on nothing", (RACK, part("M", "on: rack"))),
    ("D29", "built", "coffee", "a breaker instead of the class A device", (BARE_QG,)),
    ("D29", "boat", "ac-outlets", "a breaker instead of the residual-current device", (BARE_QA,)),
    ("D29", "boat", "ac-outlets", "an inverter that stops too late", (BARE_QA, part("U2", "fault-stop: 2 s"))),
    ("D29", "cabin", "lights", "a breaker instead of the residual-current device", (BARE_QR,)),
    ("D29", "cabin", "lights", "an inverter that stops too late", (BARE_QR, part("U2", "fault-stop: 0.5 s"))),
    ("D29", "van", "X1", "a post of curve D that is TT", (part("SUP", "curve: d", "short-circuit-current: 200 A"), swap("own: no, system: unknown (asked 2026-03-14)", "own: no, system: tt"))),
]  # fmt: skip


@pytest.mark.parametrize(("number", "rig", "subject", "name", "edits"), MUTANTS, ids=lambda x: x if isinstance(x, str) else "")  # fmt: skip
def test_a_rig_with_one_thing_moved_is_told(
    number: str, rig: str, subject: str, name: str, edits: tuple[Edit, ...]
) -> None:
    before = {(f.verdict, f.message) for f in found(study_of(rig), number) if f.subject == subject}
    after = {(f.verdict, f.message) for f in found(study_of(rig, edits), number) if f.subject == subject}

    assert {verdict for verdict, _ in after - before} & {"fail", "cannot-tell"}, (name, after)


@pytest.mark.parametrize("number", ["A29", "D29"])
def test_each_demo_rig_has_such_a_mutant(number: str) -> None:
    assert {rig for n, rig, *_ in MUTANTS if n == number} == {"built", "boat", "cabin", "van"}


def test_a_frame_joined_again_passes() -> None:
    bonded = add("runs", "WB: {from: rack, to: body, cable: 6 mm2 green-yellow, length: 1 m, role: bond}")
    (told,) = found(study_of("van", (RACK, part("M", "on: rack"), bonded)), "A29")

    assert told.verdict == "pass"
