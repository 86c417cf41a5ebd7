"""One fault at a time in a small rig: the answer is the smallest that the rules let pass, and nothing else moves."""

from collections.abc import Callable

import pytest

from ohmwright.mend.trial import Draft
from ohmwright.mend.types import Mended

Mending = Callable[[str], Mended]


def changes(done: Mended) -> list[tuple[str, str, str]]:
    return [(p.change.sort, p.change.address, p.change.becomes) for p in done.changes]


def dangers(done: Mended) -> set[tuple[str, str]]:
    return {(f.rule, f.subject) for f in done.after if f.verdict == "fail" and f.severity == "danger"}


def test_a_rig_without_faults_is_left_as_it_is(small: str, mended: Mending) -> None:
    done = mended(small)

    assert done.text == small
    assert not done.changes


def test_a_thin_cable_becomes_the_next_size_that_passes_and_no_larger_one(
    small: str, mended: Mending
) -> None:
    # 33 CFR 183.425 Table 5, 105 degC, outside engine space: 6 AWG (13.3 mm2) 120 A, 4 AWG (21.2 mm2) 160 A: for 150 A
    # the first metric size at or above 4 AWG is 25 mm2.
    done = mended(
        small.replace(
            "W2: {from: F1.load, to: XP.1, cable: 70 mm2", "W2: {from: F1.load, to: XP.1, cable: 10 mm2"
        )
    )

    [(sort, _, becomes)] = [c for c in changes(done) if c[1] == "W2"]
    assert (sort, becomes.split()[:2]) == ("cable", ["25", "mm2"])
    assert "red" in becomes
    assert not dangers(done)


def test_copper_clad_aluminium_gives_way_to_copper(small: str, mended: Mending) -> None:
    done = mended(small.replace("cable: 70 mm2 105C red, length: 1 m", "cable: 70 mm2 CCA red, length: 1 m"))

    assert any(address == "W8" and "CCA" not in becomes for _, address, becomes in changes(done))


def test_a_fuse_that_cannot_break_the_fault_gives_way_to_one_that_can(small: str, mended: Mending) -> None:
    done = mended(small.replace("F2: {is: fuse-dc-small-15a-80v", "F2: {is: fuse-blade-15a"))

    assert ("device", "F2", "fuse-dc-small-15a-80v") in changes(done)


def test_a_fuse_without_a_plate_gives_way_to_one_with_a_plate(small: str, mended: Mending) -> None:
    done = mended(
        small.replace(
            "F1: {is: fuse-class-t-150a, at: bay}",
            "F1: {is: fuse-audio-250a, at: bay, rated: 150 A, found: no plate}",
        )
    )

    [(sort, _, becomes)] = [c for c in changes(done) if c[1] == "F1"]
    assert sort == "device"
    assert "audio" not in becomes
    assert "no plate" not in done.text


def test_a_load_wired_straight_to_the_post_gets_a_fuse_at_the_post(small: str, mended: Mending) -> None:
    done = mended(
        small.replace("W6: {from: F2.load,", "W6: {from: B.+,")
        .replace("  F2: {is: fuse-dc-small-15a-80v, at: bay}\n", "")
        .replace("  W5: {from: XP.2, to: F2.line, cable: 70 mm2 105C red, length: 0.1 m}\n", "")
    )

    new = [p for p in done.changes if p.change.sort == "new device"]
    assert [p.why.rule for p in new] == ["wiring/source-end"]
    assert not {r for r, _ in dangers(done)} & {
        "wiring/source-end",
        "wiring/overload",
        "battery/interrupt-rating",
    }


def test_a_negative_around_the_counter_is_landed_behind_it(small: str, mended: Mending) -> None:
    done = mended(small.replace("W9: {from: pump.-, to: XN.3", "W9: {from: pump.-, to: B.-"))

    [change] = [p.change for p in done.changes if p.why.rule == "monitor/shunt"]
    assert change.address == "W9.to"
    assert change.becomes.startswith(("XN.", "R1.loads"))
    assert "W9" in change.by_hand


def test_a_return_through_the_body_gets_a_conductor_of_its_own(small: str, mended: Mending) -> None:
    text = small.replace("W9: {from: pump.-, to: XN.3", "W9: {from: pump.-, to: body").replace(
        "  W8:", "  W10: {from: XN.4, to: body, cable: 70 mm2 105C black, length: 0.5 m}\n  W8:"
    )
    done = mended(text)

    assert any(
        p.why.rule == "wiring/frame-return" and p.change.becomes.startswith("XN.") for p in done.changes
    )
    assert any(h.what == "do" and "measure" in h.told for h in done.hands)


def test_what_is_changed_is_one_line_and_comments_stay(small: str, mended: Mending) -> None:
    done = mended(
        small.replace(
            "W2: {from: F1.load, to: XP.1, cable: 70 mm2", "W2: {from: F1.load, to: XP.1, cable: 10 mm2"
        )
    )

    old, new = small.splitlines(), done.text.splitlines()
    assert [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if a != b] == [
        old.index(next(x for x in old if "# remark" in x))
    ]
    assert "# remark" in done.text
    assert done.text.startswith("# comment of the author")


@pytest.mark.parametrize("size", ["4 mm2", "6 mm2", "10 mm2", "16 mm2"])
def test_the_size_below_the_one_proposed_does_not_pass(
    size: str, small: str, draft: Callable[[str], Draft]
) -> None:
    # 16 mm2 has no row of its own in Table 5 of 33 CFR 183: it is read as 6 AWG, 120 A.
    text = small.replace(
        "W2: {from: F1.load, to: XP.1, cable: 70 mm2", f"W2: {{from: F1.load, to: XP.1, cable: {size}"
    )

    assert any(
        f.rule == "wiring/overload" and f.subject == "W2" and f.verdict == "fail"
        for f in draft(text).findings
    )
