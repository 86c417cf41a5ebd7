"""What an override and a look can and cannot do, and how findings are sorted."""

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.checks.test_on_rigs import Edit, add, part, study_of, swap
from tests.checks.test_on_rigs import found as on_rig

from ohmwright.checks import engine
from ohmwright.checks.answers import EYES, accepted_text, looked_at, overridden
from ohmwright.checks.judgement import at_least, at_most
from ohmwright.checks.seen import mark_of
from ohmwright.checks.types import Finding, Rule, Severity, Verdict
from ohmwright.rig.model import Job, LookedAt, Override, Rig
from ohmwright.rig.read import read_rig
from ohmwright.rig.rename import rename
from ohmwright.rig.ungroup import ungroup
from ohmwright.services.demos import files_of
from ohmwright.shelf.load import Shelf
from ohmwright.standards.types import SHOP_RULE
from ohmwright.study import Study


def rule(*, never: bool = False, eyes: bool = False) -> Rule:
    return Rule(
        "array/flat-mount",
        "A19",
        "Flat mounting",
        "Because.",
        ("disappoints",),
        ("us-vehicle",),
        {"": SHOP_RULE},
        lambda _: iter(()),
        (EYES,) if eyes else (),
        never_overridden=never,
    )


def found(
    verdict: Verdict = "fail",
    severity: Severity = "disappoints",
    value: float | None = 0.71,
    unit: str = "1",
    subject: str = "M",
) -> Finding:
    return Finding("array/flat-mount", "A19", subject, severity, verdict, "Flat.", value, unit=unit)


def override(
    accepted: str = "0.71", *, until: date | None = None, licensed: str = "", subject: str = "M"
) -> Override:
    return Override(
        "array/flat-mount", subject, "owner declines", "shop", date(2026, 3, 2), accepted, until, licensed
    )


def test_an_accepted_figure_holds_and_keeps_its_severity() -> None:
    f = overridden(found(), rule(), [override()], "2026-06-01")

    assert (f.verdict, f.severity) == ("overridden", "disappoints")
    assert f.override is not None
    assert (f.override["state"], f.override["by"], f.override["why"]) == ("holds", "shop", "owner declines")


@pytest.mark.parametrize(("accepted", "value", "unit", "holds"), [
    ("0.71", 0.7149, "1", True), ("0.71", 0.7151, "1", False), ("0.71", 0.70499, "1", False),
    ("101.3 V", 101.34, "V", True), ("101.3 V", 101.36, "V", False), ("26.79 kA", 26.791, "kA", True), ("26.79 kA", 26.9, "kA", False),
    ("129.0278 V", 129.0278 * (1 + 5e-10), "V", True), ("71 %", 0.712, "1", True), ("71 %", 0.72, "1", False), ("4.5 %", 4.52, "%", True), ("71 A", 71.0, "V", False),
])  # fmt: skip
def test_it_lapses_when_the_figure_moves_by_more_than_was_written(
    accepted: str, value: float, unit: str, holds: bool
) -> None:
    f = overridden(found(value=value, unit=unit), rule(), [override(accepted)], "2026-06-01")

    assert (f.verdict == "overridden") is holds


def test_it_lapses_after_its_last_day() -> None:
    until = date(2026, 6, 1)

    assert overridden(found(), rule(), [override(until=until)], "2026-06-01").verdict == "overridden"
    lapsed = overridden(found(), rule(), [override(until=until)], "2026-06-02")
    assert lapsed.verdict == "fail"
    assert lapsed.override is not None
    assert lapsed.override["state"] == "does not hold"


def test_it_is_for_one_rule_and_one_subject() -> None:
    assert overridden(found(subject="M2"), rule(), [override()], "").verdict == "fail"


def test_without_the_accepted_figure_it_does_not_hold() -> None:
    f = overridden(found(), rule(), [override("")], "")

    assert f.verdict == "fail"
    assert f.override is not None
    assert "accepted: 0.71" in f.override["because"]


def test_a_danger_needs_a_licensed_person_and_some_dangers_never_pass() -> None:
    danger = found(severity="danger")

    assert overridden(danger, rule(), [override()], "").verdict == "fail"
    assert overridden(danger, rule(), [override(licensed="EL-4711")], "").verdict == "overridden"
    assert overridden(danger, rule(never=True), [override(licensed="EL-4711")], "").verdict == "fail"


@pytest.mark.parametrize("verdict", ["pass", "skip", "cannot-tell"])
def test_only_what_failed_can_be_accepted(verdict: Verdict) -> None:
    assert overridden(found(verdict), rule(), [override()], "").verdict == verdict


def look(verdict: str = "pass", dated: str = "2026-05-02") -> LookedAt:
    return LookedAt(
        "array/flat-mount",
        "M",
        "frame bolted through",
        "shop",
        dated,
        "",
        "fail" if verdict == "fail" else "pass",
    )


def test_eyes_settle_what_only_eyes_can() -> None:
    f = looked_at(found("cannot-tell"), rule(eyes=True), [look()])

    assert (f.verdict, f.missing) == ("pass", ())
    assert "frame bolted through" in f.message
    assert looked_at(found("cannot-tell"), rule(eyes=True), [look("fail")]).verdict == "fail"
    assert (
        looked_at(found("cannot-tell"), rule(eyes=True), [look("fail", "2026-01-01"), look()]).verdict
        == "pass"
    )


def test_eyes_never_settle_what_is_computed() -> None:
    assert looked_at(found("cannot-tell"), rule(), [look()]).verdict == "cannot-tell"
    assert looked_at(found("fail"), rule(eyes=True), [look()]).verdict == "fail"


def test_open_dangers_come_first_and_cannot_tell_before_pass() -> None:
    mixed = [
        found("pass", "danger"),
        found("warn", "note"),
        found("fail", "fails"),
        found("cannot-tell", "danger"),
        found("overridden", "danger"),
        found("fail", "danger"),
        found("skip", "note"),
    ]

    assert [(f.severity, f.verdict) for f in sorted(mixed, key=engine.order)] == [
        ("danger", "fail"), ("danger", "cannot-tell"), ("fails", "fail"), ("note", "warn"), ("danger", "overridden"), ("danger", "pass"), ("note", "skip"),
    ]  # fmt: skip


def test_a_rig_without_a_rule_set_gets_no_verdict_and_no_silence() -> None:
    findings = engine.run(Study(Rig("", "", "", 1, Job("x"))))

    assert findings
    assert {(f.verdict, f.missing) for f in findings} == {("cannot-tell", ("job.rules",))}


def test_missing_figures_are_grouped_by_what_they_settle() -> None:
    from dataclasses import replace

    a, b, c = (
        replace(found("cannot-tell"), number=n, missing=m)
        for n, m in (
            ("B18", ("B.resistance",)),
            ("B3", ("B.resistance", "B.discharge_max")),
            ("B18", ("B.resistance",)),
        )
    )

    assert engine.group_cannot_tells([a, b, c, found("fail")]) == {
        "B.resistance": ("B3", "B18"),
        "B.discharge_max": ("B3",),
    }


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_of_two_values_one_is_not_above_the_other(a: float, b: float) -> None:
    assert at_most(a, b) or at_most(b, a)
    assert at_least(a, b) == at_most(b, a)
    assert at_most(a, a)


# Values with many digits, exact halves of the last one that six would print, very large and very small ones.
@pytest.mark.parametrize(("value", "unit"), [
    (21.71875, "A"), (16.40625, "A"), (1.07604, "1"), (1.0760363086232985, "1"), (0.37362371827197904, "1/h"), (2, "bonds"), (0, "bonds"),
    (1234567.8, "N"), (128.000001, "V"), (12345678.912345, "W"), (0.000123456789, "m"), (-34.00000049, "degC"), (-0.00012345678, "V"), (128.03500049, "V"),
    (100000.5, "A"), (1e-9, "ohm"), (3.0000005, "kA"), (1 / 3, "%"),
])  # fmt: skip
def test_what_the_program_says_to_write_holds(value: float, unit: str) -> None:
    blank = overridden(found(value=value, unit=unit), rule(), [override("")], "")
    assert blank.override is not None
    advised = blank.override["because"].partition("accepted: ")[2]

    assert overridden(found(value=value, unit=unit), rule(), [override(advised)], "").verdict == "overridden"
    moved = overridden(found(value=value * 1.01 + 1e-3, unit=unit), rule(), [override(advised)], "")
    assert moved.override is not None
    assert f"write accepted: {accepted_text(value * 1.01 + 1e-3, unit)}" in moved.override["because"]


@given(st.floats(1e-9, 1e7) | st.floats(-1e7, -1e-9) | st.just(0.0), st.sampled_from(["A", "V", "kA", "%", "1", "mm2", "degC", "1/h", "day"]))  # fmt: skip
def test_what_is_advised_always_holds(value: float, unit: str) -> None:
    text = accepted_text(value, unit)

    assert "e" not in text.lower().replace("degc", "")
    assert overridden(found(value=value, unit=unit), rule(), [override(text)], "").verdict == "overridden"


@pytest.mark.parametrize("rig", ["built", "quoted", "boat", "cabin", "van", "lead"])
def test_what_is_advised_for_every_finding_of_a_demo_holds(rig: str) -> None:
    for f in engine.run(study_of(rig)):
        if f.value is not None:
            text = accepted_text(f.value, f.unit)
            answered = overridden(found(value=f.value, unit=f.unit), rule(), [override(text)], "")
            assert answered.verdict == "overridden", (f.number, f.value, f.unit, text)


def answered(number: str, subject: str, rig: str, *edits: Edit) -> Finding:
    return next(f for f in on_rig(study_of(rig, edits), number) if f.subject == subject)


@pytest.mark.parametrize("rig", ["built", "boat", "cabin"])
def test_every_look_of_a_demo_is_bound_and_holds(rig: str) -> None:
    """Where a demo was changed on purpose, `scripts/looks.py` binds its looks anew."""
    study = study_of(rig)

    assert {x.rule: x.of for x in study.rig.looked_at} == {x.rule: mark_of(study, x.rule, x.subject) for x in study.rig.looked_at}  # fmt: skip
    assert not [f for f in engine.run(study) if "looked on" in f.message]


ELSEWHERE = swap("inside: bunk-locker, at: 1.2 0 0.5 m", "inside: galley, at: -0.8 0.5 0.4 m")


class TestALookLapses:
    def test_when_the_battery_was_moved(self) -> None:
        moved = answered("E4", "B", "built", ELSEWHERE)

        assert answered("E4", "B", "built").verdict == "pass"
        assert (moved.verdict, moved.missing) == ("cannot-tell", ("looked-at place/sleeping-space B",))
        assert "shop looked on 2026-05-02" in moved.message
        assert "but since then where it stands changed" in moved.message
        assert f"write of: {mark_of(study_of('built', (ELSEWHERE,)), 'place/sleeping-space', 'B')}" in moved.remedy  # fmt: skip

    def test_when_its_place_was_moved(self) -> None:
        f = answered("B28", "B", "built", swap("inside: bunk-locker, at: 1.2 0 0.5 m", "inside: bunk-locker, at: 1.2 0 1.5 m"))  # fmt: skip

        assert f.verdict == "cannot-tell"

    def test_when_another_part_took_its_place(self) -> None:
        f = answered("B31", "SB", "boat", swap("SB: {is: battery-agm-100ah-12v", "SB: {is: battery-lfp-200ah-12v"))  # fmt: skip

        assert f.verdict == "cannot-tell"
        assert "what it is changed" in f.message

    def test_when_something_else_came_to_stand_beside_it(self) -> None:
        beside = add("parts", "XX: {is: battery-switch-500a, at: engine-space}")

        assert answered("E16", "SB", "boat").verdict == "pass"
        assert answered("E16", "SB", "boat", beside).verdict == "cannot-tell"
        assert answered("E19", "SB", "boat", beside).verdict == "pass"  # the strap is none of its business

    def test_when_the_vents_of_its_box_are_gone(self) -> None:
        assert answered("E4", "B", "built", swap("vents: 40 cm2 (m 2026-05-02), ", "")).verdict == "cannot-tell"  # fmt: skip

    def test_when_a_run_was_laid_since(self) -> None:
        laid = add("runs", "WX: {from: XP.3, to: U2.dc.+, cable: 4/0 AWG 105C red, length: 0.8 m}")

        f = answered("C18", "rig", "built", laid)

        assert answered("C18", "rig", "built").verdict == "pass"
        assert f.verdict == "cannot-tell"
        assert "since then its runs changed" in f.message

    def test_not_when_it_was_only_given_another_name(self) -> None:
        files = files_of("trailer")
        shelf = Shelf(job={p: b.decode() for p, b in files.items() if p.startswith("shelf/")})
        text = rename(files["rig-built.yaml"].decode(), "rig-built.yaml", "B", "BANK")
        study = Study(read_rig(text, "rig-built.yaml", shelf), today="2026-06-01")

        assert not [f for f in engine.run(study) if "looked on" in f.message]

    def test_until_somebody_looks_again_the_same_day(self) -> None:
        rule_id, subject = "place/sleeping-space", "B"
        now = mark_of(study_of("built", (ELSEWHERE,)), rule_id, subject)

        def again(text: str) -> str:
            look = f"  - {{rule: {rule_id}, subject: {subject}, found: closed and ducted there, by: shop, dated: 2026-05-02, of: {now}}}\n"
            return text.replace("\noverrides:", f"\n{look}overrides:", 1)

        f = answered("E4", "B", "built", ELSEWHERE, again)

        assert f.verdict == "pass"
        assert "closed and ducted there" in f.message

    def test_not_when_its_group_was_written_out(self) -> None:
        files = files_of("cabin")
        shelf = Shelf(job={p: b.decode() for p, b in files.items() if p.startswith("shelf/")})
        text = ungroup(files["rig.yaml"].decode(), "rig.yaml", "B", shelf)
        study = Study(read_rig(text, "rig.yaml", shelf), today="2026-06-01")

        assert "B.1: {is:" in text
        assert not [f for f in engine.run(study) if "looked on" in f.message and f.subject == "B"]

    def test_not_when_a_figure_of_it_was_measured(self) -> None:
        measured = part("B", "resistance: 2.5 mohm (m 2026-05-02)")

        assert answered("E4", "B", "built", measured).verdict == "pass"

    def test_not_where_it_bears_no_mark_but_the_mark_to_write_is_told(self) -> None:
        def unbound(text: str) -> str:
            return re.sub(r", of: [0-9a-f.]+\}", "}", text)

        f = answered("E4", "B", "built", unbound, ELSEWHERE)

        assert f.verdict == "pass"
        assert "Write of: " in f.remedy
