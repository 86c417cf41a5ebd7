"""D1, D2, D5, D19 at their limits: judges on counts, proofs on small rigs.  One-join rule: NFPA 70 250.30, 551; IEC 60364-4-41."""

import pytest

from ohmwright.checks import engine
from ohmwright.checks.mains import neutral_earth, shore_budget
from ohmwright.checks.types import Finding
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study
from ohmwright.working import Figure, Origin, figure

PAGE = Origin("source", "d1", "p2")


# case, joins, one separated item | limit, verdict
@pytest.mark.parametrize(
    ("case", "joins", "one_item", "limit", "verdict"),
    [
        ("D1-1", 1, False, 1, "pass"), ("D1-2", 1, False, 1, "pass"), ("D1-3", 0, False, 1, "fail"), ("D1-5", 0, False, 1, "fail"),
        ("D1-6", 2, False, 1, "fail"), ("D1-7", None, False, 1, "cannot-tell"), ("D1-8", 1, False, 1, "pass"), ("D1-10", 0, True, 0, "pass"),
        ("D1-11", 0, False, 1, "fail"), ("D1-12", 2, False, 1, "fail"),
    ],
)  # fmt: skip
def test_joins_of_neutral_and_earth(
    case: str, joins: int | None, one_item: bool, limit: int, verdict: str
) -> None:
    judged = neutral_earth.judge(joins, ("G1.bond",), one_separated_item=one_item)

    assert (judged.verdict, judged.value, judged.limit, judged.unit) == (verdict, joins, limit, "bonds"), case


HEAD = """
ohmwright: 1
job: {id: small, rules: eu-vehicle 2023}
host: {kind: van, places: {bay: {regime: cabin, at: 0 0 0 m}, out: {regime: outside, ashore: true}}}
metal: {body: {}}
"""


def findings(
    parts: str, runs: str, number: str, loads: str = "lamp: {fed: PA.1, power: 60 W}"
) -> list[Finding]:
    text = f"{HEAD}parts:\n{parts}\nuse: {{loads: {{{loads}}}}}\nruns:\n{runs}\n"
    rig = read_rig(text, "small.yaml", Shelf())
    return list(engine.run(Study(rig), [number]))


BATTERY = """
  B: {is: battery-lfp-100ah-12v, at: bay}
  F1: {is: fuse-class-t-300a, at: bay}
"""
DC = """
  W1: {from: B.+, to: F1.line, cable: 70 mm2, length: 0.1 m}
  W2: {from: F1.load, to: U2.dc.+, cable: 70 mm2, length: 1 m}
  W3: {from: B.-, to: U2.dc.-, cable: 70 mm2, length: 1 m}
"""


def inverter_charger(transfer: str, relay: str = "relay") -> tuple[str, str]:
    """A post on a cord, an inverter-charger whose transfer opens `transfer`, a panel behind it."""
    parts = f"""{BATTERY}
  U2: {{is: inverter-charger-2kva-12v-230v, at: bay, fitted: {{ac-out-bond: {relay}, ground-relay: enabled, transfer-poles: {transfer}}}}}
  SUP: {{is: supply-post-16a-230v, at: out, own: no, system: tn}}
  J1: {{is: shore-inlet-16a-230v, at: bay}}
  PA: {{is: panel-ac-16a-2p, at: bay, ways: {{1: 10 A}}}}
"""
    runs = f"""{DC}
  C1: {{from: SUP, to: J1, cable: flexible 3 x 2.5 mm2, length: 10 m, plugs: both}}
  W4: {{from: J1, to: U2.ac-in, cable: 3 x 2.5 mm2, length: 1 m}}
  W5: {{from: U2.ac-out, to: PA.feed, cable: 3 x 2.5 mm2, length: 1 m}}
  W6: {{from: PA.feed.PE, to: body, cable: 4 mm2 green-yellow, length: 1 m, role: earth}}
"""
    return parts, runs


def test_a_transfer_that_opens_every_pole_keeps_pins_dead_and_sources_apart() -> None:
    parts, runs = inverter_charger("line+neutral")

    assert {f.verdict for f in findings(parts, runs, "D19")} == {"pass"}  # D2-4
    assert {f.verdict for f in findings(parts, runs, "D2")} == {"pass"}
    joins = [f for f in findings(parts, runs, "D1") if f.value is not None]
    assert {(f.verdict, f.value) for f in joins} == {("pass", 1)}  # D1-1 on the cord, D1-2 inverting


def test_a_transfer_that_opens_the_line_only_leaves_a_pin_alive() -> None:
    parts, runs = inverter_charger("line")

    assert "fail" in {f.verdict for f in findings(parts, runs, "D19")}  # D2-3, D2-5


def test_a_transfer_of_unknown_poles_cannot_be_told() -> None:
    parts, runs = inverter_charger("unknown")

    assert {f.verdict for f in findings(parts, runs, "D19")} & {"cannot-tell", "fail"}  # D2-8: never a pass


def test_an_inverter_without_its_relay_has_no_join() -> None:
    parts, runs = inverter_charger("line+neutral", relay="none")
    worst = findings(parts, runs, "D1")[0]

    assert (worst.verdict, worst.severity, worst.value, worst.limit) == ("fail", "danger", 0, 1)  # D1-3


def changeover(part: str) -> tuple[str, str]:
    parts = f"""
  SUP: {{is: supply-post-16a-230v, at: out, own: no, system: tn}}
  G1: {{is: generator-6500va-230v, at: out, fitted: {{bond: none}}}}
  Q5: {{is: {part}, at: bay}}
  PA: {{is: panel-ac-16a-2p, at: bay, ways: {{1: 10 A}}}}
  XE: {{is: earth-bar-8stud, at: bay}}
"""
    runs = """
  W1: {from: SUP, to: {port: Q5.1, PE: XE.1}, cable: 3 x 2.5 mm2, length: 10 m}
  W2: {from: G1, to: {port: Q5.2, PE: XE.2}, cable: 3 x 2.5 mm2, length: 10 m}
  W3: {from: {port: Q5.common, PE: XE.3}, to: PA.feed, cable: 3 x 2.5 mm2, length: 1 m}
"""
    return parts, runs


def test_one_break_before_make_switch_that_moves_the_neutral_keeps_sources_apart() -> None:
    parts, runs = changeover("changeover-2pole-1-0-2-40a")

    assert {f.verdict for f in findings(parts, runs, "D2")} == {"pass"}  # D2-1


def amps(value: float) -> Figure:
    return figure(value, "A", PAGE)


# NFPA 70: 80 % for continuous loads; eu rules: the post's own rating, a note above 90 %.
@pytest.mark.parametrize(
    ("rules", "drawn", "supply", "limit", "verdict"),
    [
        ("us-vehicle", 16.1, 15, 12, "fail"), ("us-vehicle", 24, 30, 24, "pass"), ("us-vehicle", 24.1, 30, 24, "fail"),
        ("eu-boat", 5.6, 6, 6, "warn"), ("eu-boat", 5.4, 6, 6, "pass"), ("eu-boat", 8.9, 6, 6, "fail"),
    ],
)  # fmt: skip
def test_what_is_drawn_for_hours_against_the_supply(
    rules: str, drawn: float, supply: float, limit: float, verdict: str
) -> None:
    judged = shore_budget.judge(rules, amps(drawn), amps(supply))

    assert judged.verdict == verdict
    assert judged.limit == pytest.approx(limit)
