"""What mend never does is refused at one place, whatever proposes it; each wall is tried with a change that breaks it."""

from collections.abc import Callable
from dataclasses import replace

from ohmwright.mend.edits import SetAt, Swap, Take
from ohmwright.mend.trial import Draft, groups
from ohmwright.mend.types import Change
from ohmwright.mend.walls import new_dangers, protective, refused

Judge = Callable[[str], Draft]
Try = Callable[..., Draft]


def test_a_step_that_takes_out_a_fuse_is_refused(small: str, draft: Judge, changed: Try) -> None:
    bridge = Change(
        "taken out", "F2", "", "", (SetAt("runs.W6.from", "XP.2"), Take("runs", "W5"), Take("parts", "F2"))
    )
    before = draft(small)

    assert "F2" in refused(before, changed(small, bridge), (bridge,), {})


def test_a_fuse_raised_above_its_cable_is_refused_and_one_within_it_is_not(
    small: str, draft: Judge, changed: Try
) -> None:
    before = draft(small)
    far = Change("device", "F2", "", "", (Swap(("parts", "F2"), "fuse-dc-power-63a-80v"),))
    near = Change("device", "F2", "", "", (Swap(("parts", "F2"), "fuse-dc-small-20a-80v"),))

    assert "above its cable" in refused(before, changed(small, far), (far,), {})
    assert refused(before, changed(small, near), (near,), {}) == ""


def test_a_setting_that_clears_a_danger_is_refused(small: str, draft: Judge) -> None:
    before = draft(small)
    setting = Change("setting", "settings.B.x", "", "", ())
    danger = replace(before.findings[0], severity="danger", verdict="fail", rule="x/y", subject="Z")
    worse = replace(before, findings=(*before.findings, danger))

    assert refused(worse, before, (setting,), {}) == "a setting settles no danger"
    assert refused(before, before, (setting,), {}) == ""


def test_an_override_or_a_look_that_appears_is_refused(small: str, draft: Judge) -> None:
    before = draft(small)
    override = (
        "overrides:\n  - {rule: battery/held-down, subject: B, why: known, by: shop, dated: 2026-05-01}\n"
    )
    look = (
        "looked-at:\n  - {rule: battery/held-down, subject: B, found: strap, by: shop, dated: 2026-05-01}\n"
    )

    for added in (override, look):
        assert refused(before, draft(small + added), (), {}) != ""


def test_a_danger_of_a_new_subject_is_new_and_one_of_a_split_run_is_not(small: str, draft: Judge) -> None:
    thin = small.replace("to: XP.1, cable: 70 mm2", "to: XP.1, cable: 10 mm2")
    before, after = draft(thin), draft(thin)
    assert ("wiring/overload", "W2") in groups(before.findings, {})

    renamed = tuple(replace(f, subject="W99") if f.subject == "W2" else f for f in after.findings)
    moved = replace(after, findings=renamed)
    assert [f.subject for f in new_dangers(before, moved, {}) if f.rule == "wiring/overload"] == ["W99"]
    assert not [f for f in new_dangers(before, moved, {"W99": "W2"}) if f.rule == "wiring/overload"]


def test_every_device_that_protects_is_counted(small: str, draft: Judge) -> None:
    assert protective(draft(small).study) >= {"F1", "F2"}
