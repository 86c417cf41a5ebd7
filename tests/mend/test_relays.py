"""A relay that parallels two banks gives way to a charger, beside the bank that it charges."""

from collections.abc import Callable

import pytest

from ohmwright.mend.trial import Draft
from ohmwright.mend.types import Change, Mended

Mending = Callable[[str], Mended]
Judge = Callable[[str], Draft]

PARTS = """  F3: {is: fuse-dc-power-63a-80v, at: bay}
  F4: {is: fuse-dc-power-63a-80v, at: bonnet}
  KP: {is: relay-voltage-sensing-140a-12v, at: WHERE}
  SB: {is: battery-lead-acid-start, at: bonnet, resistance: 6 mohm, charge-voltage-max: 14.8 V, capacity: 70 Ah}
  AL: {is: alternator-115a-12v, at: bonnet, on: body, run-by: engine-running}
  F5: {is: fuse-dc-power-200a-80v, at: bonnet}
"""
RUNS = """  W30: {from: XP.4, to: F3.line, cable: 16 mm2 105C red, length: 0.1 m}
  W31: {from: F3.load, to: KP.load, cable: 16 mm2 105C red, length: 4 m}
  W32: {from: KP.line, to: F4.load, cable: 16 mm2 105C red, length: 0.6 m}
  W33: {from: SB.+, to: F4.line, cable: 50 mm2 105C red, length: 0.1 m}
  W34: {from: SB.-, to: body, cable: 50 mm2 105C black, length: 0.4 m}
  W35: {from: SB.+, to: F5.line, cable: 50 mm2 105C red, length: 0.1 m}
  W36: {from: AL.+, to: F5.load, cable: 50 mm2 105C red, length: 1 m}
  W37: {from: XN.6, to: body, cable: 50 mm2 105C black, length: 0.4 m, role: bond}
"""


@pytest.fixture
def paralleled(small: str) -> str:
    """The small rig with a start battery that a relay under the bonnet joins to the lithium bank."""
    text = small.replace(
        "hottest: 35 degC}}}",
        "hottest: 35 degC}, bonnet: {regime: engine, coldest: -10 degC, hottest: 60 degC}}, ways: {bay - bonnet: {length: 4 m}}}",
    )
    return text.replace("use:\n", PARTS.replace("WHERE", "bonnet") + "use:\n") + RUNS


def charger(done: Mended) -> Change:
    [change] = [p.change for p in done.changes if p.change.address == "KP"]
    return change


def test_the_charger_stands_beside_the_bank_and_the_long_run_feeds_it(
    paralleled: str, draft: Judge, mended: Mending
) -> None:
    dangers = {f.number for f in draft(paralleled).findings if f.verdict == "fail" and f.severity == "danger"}
    assert {"F3", "D2"} <= dangers

    done = mended(paralleled)

    change = charger(done)
    unit = change.becomes.partition(":")[0]
    assert f"{unit}: {{is: dcdc-charger-" in done.text
    assert "at: bay, run-by: engine-running}" in done.text
    assert "W32:" not in done.text
    assert f"W31: {{from: {unit}.in.+, to: F4.load," in done.text
    assert "length: 4.6 m" in done.text
    assert f"to: {unit}.in.-" in done.text
    assert "disconnect KP at the starter battery first" in change.by_hand
    assert not {f.number for f in done.after if f.verdict == "fail"} & {"F3", "D2", "C5"}


def test_a_relay_that_hangs_beside_the_bank_gives_its_place(paralleled: str, mended: Mending) -> None:
    near = paralleled.replace("KP: {is: relay-voltage-sensing-140a-12v, at: bonnet}", "KP: {is: relay-voltage-sensing-140a-12v, at: bay}")  # fmt: skip
    near = near.replace("to: KP.load, cable: 16 mm2 105C red, length: 4 m", "to: KP.load, cable: 16 mm2 105C red, length: 0.6 m")  # fmt: skip
    near = near.replace("to: F4.load, cable: 16 mm2 105C red, length: 0.6 m", "to: F4.load, cable: 16 mm2 105C red, length: 4 m")  # fmt: skip

    done = mended(near)

    unit = charger(done).becomes.partition(":")[0]
    assert f"W31: {{from: F3.load, to: {unit}.out.+," in done.text
    assert f"W32: {{from: {unit}.in.+, to: F4.load," in done.text
