"""Earth of alternating current: metal is bonded where the join is made, a join stands once and ahead of the residual-current device."""

from collections.abc import Callable

import pytest

from ohmwright.mend.search import merged
from ohmwright.mend.trial import Draft, key
from ohmwright.mend.types import Change, Mended, Proposed

Mending = Callable[[str], Mended]
Judge = Callable[[str], Draft]

PARTS = """  U2: {is: inverter-2kva-12v-230v, at: bay}
  QD: {is: rcd-25a-30ma-2p, at: bay}
  PA: {is: panel-ac-unknown-2p, at: bay, bond: none, main: no, ways: {1: 16 A}}
  XE: {is: earth-bar-8stud, at: bay}
"""
RUNS = """  W30: {from: XP.4, to: U2.dc.+, cable: 70 mm2 105C red, length: 0.5 m}
  W31: {from: U2.dc.-, to: XN.4, cable: 70 mm2 105C black, length: 0.5 m}
  W32: {from: U2.ac-out, to: {port: QD.line, PE: XE.1}, cable: 3 x 1.5 mm2, length: 1 m}
  W33: {from: {port: QD.load, PE: XE.2}, to: PA.feed, cable: 3 x 1.5 mm2, length: 0.3 m}
  W34: {from: XN.6, to: body, cable: 35 mm2 black, length: 0.3 m, role: bond}
"""
BOND = "  W35: {from: U2.case, to: body, cable: 35 mm2 green-yellow, length: 0.5 m, role: earth}\n"


@pytest.fixture
def unbonded(small: str) -> str:
    """The small rig with an inverter that joins neutral and earth, a panel behind a residual-current device, and a body that no earth reaches."""
    kettle = (
        "    kettle: {fed: PA.1, power: 1000 W, hours: 0.2 h, at: bay, length: 1 m, cable: 3 x 1.5 mm2}\n"
    )
    text = small.replace("use:\n", f"{PARTS}use:\n").replace("  stays:", f"{kettle}  stays:")
    return text + RUNS


def fails(done: Draft | Mended) -> set[str]:
    findings = done.findings if isinstance(done, Draft) else done.after
    return {f.subject for f in findings if f.rule == "mains/neutral-earth" and f.verdict == "fail"}


def answers(done: Mended) -> list[Change]:
    return [p.change for p in done.changes if p.why.rule == "mains/neutral-earth"]


def test_a_body_that_no_join_reaches_is_bonded_by_half_the_conductor_that_feeds_the_case(
    unbonded: str, draft: Judge, mended: Mending
) -> None:
    # IEC 60364-5-54:2011 Table 54.2 (from memory): above 35 mm2 a protective conductor is half the line conductor: 70 mm2 wants 35.
    assert fails(draft(unbonded)) == {"body"}

    done = mended(unbonded)

    assert fails(done) == set()
    [bond] = answers(done)
    assert (bond.sort, bond.licensed) == ("new run", True)
    assert bond.becomes == "35 mm2 70C green-yellow from U2.case to body"
    assert f"{bond.address}: {{from: U2.case, to: body," in done.text
    assert "role: earth" in done.text
    assert bond.price is None
    assert any(h.what == "licensed" and h.subject == bond.address for h in done.hands)


def test_a_bond_that_is_half_as_large_as_it_must_be_grows(unbonded: str, mended: Mending) -> None:
    # The same table: 16 mm2 are enough up to 35 mm2 of line conductor, not at 70.
    done = mended(unbonded + BOND.replace("35 mm2", "16 mm2"))

    [grown] = [p.change for p in done.changes if p.why.rule == "wiring/bonding-size"]
    assert (grown.address, grown.becomes) == ("W35", "35 mm2 70C green-yellow")


def test_a_body_that_is_bonded_stays_as_it_is(unbonded: str, mended: Mending) -> None:
    assert not answers(mended(unbonded + BOND))


def test_a_second_join_behind_the_device_is_taken_out_by_licensed_hands(
    unbonded: str, draft: Judge, mended: Mending
) -> None:
    # IEC 60364-4-41:2017 411.4, 411.5 (from memory): behind a residual-current device neutral and earth stay apart.
    twice = unbonded + BOND + "  Y1: {from: QD.load.N, to: XE.3, cable: 6 mm2, length: 0.2 m, role: bond}\n"
    assert "QD" in fails(draft(twice))

    done = mended(twice)

    assert fails(done) == set()
    [out] = answers(done)
    assert (out.sort, out.address, out.licensed) == ("taken out", "Y1", True)
    assert "Y1:" not in done.text


def test_the_only_join_moves_ahead_of_the_device(unbonded: str, draft: Judge, mended: Mending) -> None:
    floating = unbonded.replace("inverter-2kva-12v-230v", "inverter-3kva-12v-230v-floating")
    behind = floating + BOND + "  Y1: {from: QD.load.N, to: XE.3, cable: 6 mm2, length: 0.2 m, role: bond}\n"
    assert "QD" in fails(draft(behind))

    done = mended(behind)

    assert fails(done) == set()
    [moved] = answers(done)
    assert (moved.sort, moved.address, moved.becomes) == ("moved end", "Y1.from", "QD.line.N")
    assert any(h.what == "licensed" and "by a tester" in h.told for h in done.hands)


def test_a_link_in_the_panel_beside_the_relay_of_the_inverter_is_taken_out(
    unbonded: str, mended: Mending
) -> None:
    linked = unbonded.replace(
        "panel-ac-unknown-2p, at: bay, bond: none", "panel-ac-unknown-2p, at: bay, bond: fitted"
    )

    done = mended(linked + BOND)

    assert fails(done) == set()
    [out] = answers(done)
    assert (out.address, out.was, out.licensed) == ("PA", "its link between neutral and earth", True)
    assert "bond: none" in done.text


def test_a_relay_that_is_switched_off_is_a_setting_and_left_alone(unbonded: str, mended: Mending) -> None:
    done = mended(unbonded + BOND + "settings:\n  U2: {ground-relay: disabled}\n")

    assert not answers(done)
    assert "ground-relay: disabled" in done.text


def test_metal_that_no_join_reaches_is_no_part_of_the_missing_join(unbonded: str, draft: Judge) -> None:
    [afloat] = [
        f for f in draft(unbonded).findings if f.rule == "mains/neutral-earth" and f.verdict == "fail"
    ]

    assert key(afloat, {}) == ("mains/neutral-earth", "body")


def test_a_new_run_that_grows_is_one_thing_to_buy(draft: Judge, unbonded: str) -> None:
    why = draft(unbonded).findings[0]
    new = Proposed(
        Change("new run", "W40", "", "16 mm2 from U2.case to body", (), by_hand="lay it", licensed=True), why
    )
    larger = Proposed(Change("cable", "W40", "16 mm2", "35 mm2", ()), why)

    [one] = merged([new], larger, bought=True)

    assert (one.change.sort, one.change.becomes) == ("new run", "35 mm2 from U2.case to body")
    assert (one.change.by_hand, one.change.licensed) == ("lay it", True)
