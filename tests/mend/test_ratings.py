"""A switch that bears less than the device before it, and a case without a bond of its own."""

from collections.abc import Callable

from ohmwright.mend.types import Change, Mended

Mending = Callable[[str], Mended]

SWITCHED = """  Q1: {is: battery-switch-200a, at: bay, rated: 100 A}
"""


def of(done: Mended, rule: str) -> list[Change]:
    return [p.change for p in done.changes if p.why.rule == rule]


def test_a_switch_gives_way_to_one_that_bears_the_fuse_before_it(small: str, mended: Mending) -> None:
    # 150 A class T before a switch of 100 A; the shelf has one of 200 A.
    text = small.replace("use:\n", f"{SWITCHED}use:\n").replace(
        "W2: {from: F1.load, to: XP.1, cable: 70 mm2 105C red, length: 0.5 m}",
        "W2: {from: F1.load, to: Q1.line, cable: 70 mm2 105C red, length: 0.2 m}\n  W19: {from: Q1.load, to: XP.1, cable: 70 mm2 105C red, length: 0.2 m}",
    )
    done = mended(text)

    [change] = of(done, "wiring/part-rating")
    assert (change.address, change.sort) == ("Q1", "part")
    assert not [f for f in done.after if f.rule == "wiring/part-rating" and f.verdict == "fail"]
    assert "F1" not in {p.change.address for p in done.changes}  # the fuse stays as it is


CASED = """  M:  {is: module-410w, array: 3s1p, at: roof}
  S1: {is: pv-disconnect-25a-150v-2p, at: bay}
  U1: {is: pv-controller-85a-150v, at: bay}
  F5: {is: fuse-dc-power-125a-80v, at: bay}
"""
CASE_RUNS = """  W40: {from: M, to: S1.line, cable: pv 6 mm2, length: 4 m}
  W41: {from: S1.load, to: U1.pv, cable: pv 6 mm2, length: 0.5 m}
  W42: {from: U1.bat.+, to: F5.load, cable: 50 mm2 105C red, length: 0.5 m}
  W43: {from: F5.line, to: XP.5, cable: 70 mm2 105C red, length: 0.1 m}
  W44: {from: U1.bat.-, to: XN.5, cable: 50 mm2 105C black, length: 0.5 m}
  W45: {from: XN.6, to: body, cable: 35 mm2 black, length: 0.3 m, role: bond}
"""


def test_a_case_with_more_than_touch_voltage_inside_is_bonded_by_a_run_of_its_own(
    small: str, mended: Mending
) -> None:
    # IEC 60364-5-54:2011 Table 54.2 (from memory): a conductor of 50 mm2 wants half of it, 25 mm2.
    text = small.replace("use:\n", f"{CASED}use:\n").replace("places: {bay:", "places: {roof: {regime: outside}, bay:") + CASE_RUNS  # fmt: skip
    done = mended(text)

    [bond] = of(done, "wiring/bonding-size")
    assert (bond.sort, bond.licensed) == ("new run", True)
    assert bond.becomes == "25 mm2 70C green-yellow from U1.case to body"
