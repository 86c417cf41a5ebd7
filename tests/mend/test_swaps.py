"""What was set in a device goes with it; a floating inverter gives way to one that joins neutral and earth."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from ohmwright.mend.edits import Forget, Swap, undone
from ohmwright.mend.trial import Draft, Trials
from ohmwright.mend.types import Change, Hand, Mended
from ohmwright.mend.walls import as_set, emptied, settled_by_emptying
from ohmwright.services.mend import together
from ohmwright.shelf.load import Shelf

Mending = Callable[[str], Mended]
Judge = Callable[[str], Draft]

SOLAR = """  M:  {is: module-175w, array: 1s1p, at: bay}
  U1: {is: pv-controller-15a-75v, at: bay}
"""
SOLAR_RUNS = """  W20: {from: M, to: U1.pv, cable: pv 4 mm2, length: 3 m}
  W21: {from: U1.bat.+, to: XP.5, cable: 70 mm2 105C red, length: 0.5 m}
  W22: {from: U1.bat.-, to: XN.5, cable: 70 mm2 105C black, length: 0.5 m}
"""
MAINS = """  U2: {is: inverter-3kva-12v-230v-floating, at: bay}
  QD: {is: rcd-25a-30ma-2p, at: bay}
  PA: {is: panel-ac-unknown-2p, at: bay, bond: none, main: no, ways: {1: 16 A}}
"""
MAINS_RUNS = """  W30: {from: XP.4, to: U2.dc.+, cable: 70 mm2 105C red, length: 0.5 m}
  W31: {from: U2.dc.-, to: XN.4, cable: 70 mm2 105C black, length: 0.5 m}
  W32: {from: U2.ac-out, to: {port: QD.line, PE: PA.feed.PE}, cable: 3 x 1.5 mm2, length: 1 m}
  W33: {from: QD.load, to: {port: PA.feed}, cores: L N, cable: 2 x 1.5 mm2, length: 0.3 m}
"""


@pytest.fixture
def solar(small: str) -> str:
    """The small rig with a module and its controller, which is set to equalise a lithium battery."""
    parts = small.replace("use:\n", f"{SOLAR}use:\n")
    return f"{parts}{SOLAR_RUNS}settings:\n  U1: {{absorption: 14.2 V, equalise: 15.6 V}}\n"


@pytest.fixture
def floating(small: str) -> str:
    """The small rig with an inverter whose output is joined to earth nowhere, and a kettle on it."""
    kettle = "    kettle: {fed: PA.1, power: 1000 W, hours: 0.2 h, at: bay}\n"
    text = small.replace("use:\n", f"{MAINS}use:\n").replace("  stays:", f"{kettle}  stays:")
    return text + MAINS_RUNS


def spoken(done: Draft | Mended, rule: str, subject: str) -> set[str]:
    findings = done.findings if isinstance(done, Draft) else done.after
    return {f.verdict for f in findings if (f.rule, f.subject) == (rule, subject)}


def test_a_rig_whose_danger_is_a_setting_gets_no_other_device(
    solar: str, draft: Judge, mended: Mending
) -> None:
    assert spoken(draft(solar), "battery/equalise", "U1") == {"fail"}

    done = mended(solar)

    assert not [p.change for p in done.changes if p.change.address == "U1"]
    assert "U1: {absorption: 14.2 V, equalise: 15.6 V}" in done.text
    assert spoken(done, "battery/equalise", "U1") == {"fail"}
    assert any(h.what == "decide" and h.subject == "U1" and "B24" in h.rules for h in done.hands)


def test_without_the_settings_of_the_old_device_nobody_can_tell(solar: str, draft: Judge) -> None:
    bare = draft(Forget(frozenset({"U1"})).apply(solar, "small.yaml"))

    assert spoken(bare, "battery/equalise", "U1") == {"cannot-tell"}
    assert spoken(bare, "battery/charge-settings", "U1") == {"cannot-tell"}


def test_only_the_settings_of_that_device_go(solar: str) -> None:
    two = f"{solar}  R1: {{full: 14.2 V}}\n"

    assert Forget(frozenset({"U1"})).apply(two, "small.yaml").endswith("settings:\n  R1: {full: 14.2 V}\n")
    assert "settings" not in Forget(frozenset({"U1"})).apply(solar, "small.yaml")


def test_a_danger_that_an_emptied_setting_would_silence_is_seen(solar: str, draft: Judge) -> None:
    kept = draft(solar)
    silent = replace(kept, findings=tuple(f for f in kept.findings if f.rule != "battery/equalise"))
    bare = draft(Forget(frozenset({"U1"})).apply(solar, "small.yaml"))

    assert ("battery/equalise", "U1") in {(f.rule, f.subject) for f in settled_by_emptying(kept, silent, {})}
    assert not settled_by_emptying(kept, bare, {})


def test_a_swap_is_also_looked_at_with_the_old_settings_kept() -> None:
    swap = Swap(("parts", "U1"), "pv-controller-15a-75v")
    change = Change("part", "U1", "", "", (swap, Forget(frozenset({"U1"}))))

    assert emptied((change,)) == (change,)
    assert as_set((change,)) == (replace(change, edits=(swap,)),)


def test_a_floating_inverter_becomes_the_smallest_with_a_relay_that_carries_its_loads(
    floating: str, draft: Judge, mended: Mending
) -> None:
    # IEC 60364-4-41:2017 411: a fault to earth is cleared only where neutral and earth are joined at the source.
    assert "fail" in spoken(draft(floating), "mains/neutral-earth", "U2")

    done = mended(floating)

    [change] = [p.change for p in done.changes if p.change.address == "U2"]
    assert change.becomes == "inverter-2kva-12v-230v"
    assert not [f for f in done.after if f.rule == "mains/neutral-earth" and f.verdict == "fail"]
    assert any(h.what == "licensed" and h.subject == "U2" and "read it back" in h.told for h in done.hands)


def test_a_heavier_load_asks_for_the_larger_inverter(floating: str, mended: Mending) -> None:
    done = mended(floating.replace("power: 1000 W", "power: 2000 W"))

    assert [p.change.becomes for p in done.changes if p.change.address == "U2"] == ["inverter-3kva-12v-230v"]


def test_a_relay_that_is_switched_off_is_people_s_and_no_swap_answers_it(
    floating: str, draft: Judge, mended: Mending
) -> None:
    off = (
        floating.replace("inverter-3kva-12v-230v-floating", "inverter-3kva-12v-230v")
        + "settings:\n  U2: {ground-relay: disabled}\n"
    )
    assert "fail" in spoken(draft(off), "mains/neutral-earth", "U2")

    done = mended(off)

    assert not [p for p in done.changes if p.why.rule == "mains/neutral-earth"]
    assert "ground-relay: disabled" in done.text


def test_a_relay_of_unknown_setting_is_no_answer(floating: str, draft: Judge) -> None:
    unknown = floating.replace("inverter-3kva-12v-230v-floating", "inverter-2kva-12v-120v, ac-voltage: 230 V")

    assert "pass" not in spoken(draft(unknown), "mains/neutral-earth", "U2")


def test_lines_taken_back_are_what_doing_all_the_others_gives(small: str) -> None:
    trials = Trials("small.yaml", Shelf(), "2026-05-05")
    first = Change("device", "F2", "", "", (Swap(("parts", "F2"), "fuse-dc-small-20a-80v"),))
    second = Change("device", "F1", "", "", (Swap(("parts", "F1"), "fuse-class-t-175a"),))
    after, both = trials.edited(small, (first,)), trials.edited(small, (first, second))
    assert after is not None
    assert both is not None

    assert undone(both, small, after) == trials.edited(small, (second,))
    assert undone(both.replace("fuse-dc-small-20a-80v", "fuse-dc-small-15a-80v"), small, after) is None


def test_hands_that_say_the_same_are_one_line() -> None:
    looks = [Hand("look", b, "Is it held down?", ("B28",)) for b in ("B", "SB", "B")]
    plates = [Hand("measure", f"{x}.cable", "", ("C1",)) for x in ("fridge", "kettle")]
    masses = [Hand("measure", f"host.masses.{x}", "", (r,)) for x, r in (("loaded", "E5"), ("axle", "E20"))]

    assert [t.subjects for t in together(looks)] == [("B", "SB")]
    assert [(t.subjects, t.rules) for t in together([*plates, *masses])] == [
        (("fridge.cable", "kettle.cable"), ("C1",)),
        (("host.masses.loaded", "host.masses.axle"), ("E5", "E20")),
    ]
