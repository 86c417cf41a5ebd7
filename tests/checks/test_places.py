"""Rules that read where parts and vents sit. `LIMITS` and `RIGS` are read by test_every_rule_is_tested.

Geometry is worked by hand beside each case; what the standards say of vents (at the floor, at the highest point) is from memory.
"""

import pytest
from tests.checks.test_limits import Case as Limit
from tests.checks.test_limits import pair
from tests.checks.test_on_rigs import Case as OnRig
from tests.checks.test_on_rigs import Edit, U, add, found, part, study_of, swap

from ohmwright.checks.place import free_space, gas_vents, heat_under, parts_fit, reach
from ohmwright.rig.bay_fit import BayFit
from ohmwright.rig.standing import Box, Free

BOX = Box((0.0, 0.0, 0.0), (0.2, 0.2, 0.1))


def stands(*, over_m: float | None = 0.0, on: tuple[str, ...] = ()) -> BayFit:
    return BayFit("U1", "bay", BOX, over_m, on, 0.05 if on else 0.0, Free(), ())


LIMITS: list[Limit] = [
    Limit("E26", "at the limit: up to the edge", lambda: parts_fit.judge(stands()), "pass"),
    Limit("E26", "a finger over the edge", lambda: parts_fit.judge(stands(over_m=0.02)), "fail", "fails"),
    Limit("E26", "in another part", lambda: parts_fit.judge(stands(on=("U2",))), "fail", "fails"),
    *pair("E27", lambda v: free_space.judge("U1", "above", 0.1, v, "XP"), 0.1, least=True, severity="fails"),
    Limit("E27", "a place without a size", lambda: free_space.judge("U1", "above", 0.1, None, "", "bay.size"), "cannot-tell"),
    Limit("E28", "a box before the fuse", lambda: reach.judge((("F1", ("U2",)),), 2), "fail", "fails"),
    Limit("E28", "nothing before either", lambda: reach.judge((), 2), "pass"),
    Limit("E28", "a fuse of unknown size", lambda: reach.judge((), 1, ("F1.size",)), "cannot-tell"),
    # 0.3 m: common practice, no source
    *pair("E29", lambda v: heat_under.judge("B", "U2", v), 0.3, least=True, severity="disappoints"),
    Limit("E29", "a battery of unknown size", lambda: heat_under.judge("B", "", None, ("B.size",)), "cannot-tell"),
    # 50 mm between vent and floor or top: common practice, no source
    *pair("E30", lambda v: gas_vents.judge("lp-gas", v, vents=True), 0.05, severity="danger"),
    *pair("E30", lambda v: gas_vents.judge("hydrogen", v, vents=True), 0.05, severity="danger"),
    Limit("E30", "no vent at all", lambda: gas_vents.judge("lp-gas", None, vents=False), "fail", "danger"),
    Limit("E30", "nobody knows where", lambda: gas_vents.judge("hydrogen", None, vents=True, missing=("bay.vents",)), "cannot-tell"),
]  # fmt: skip

#: The side bay of the built trailer is 900 x 500 x 600 mm; U2 stands at 100 100 mm and is 362 x 258 x 218 mm.
ON_THE_INVERTER = swap("stands: 0.58 0.17 m", "stands: 0.45 0.17 m")
OVER_THE_EDGE = swap("stands: 0.09 0.5 m", "stands: 0.09 0.55 m")
NEAR_THE_CONTROLLER = swap("stands: 0.6 0.005 m", "stands: 0.6 0.05 m")
BEFORE_THE_FUSE = swap("stands: 0.815 0.06 0.1 m right", "stands: 0.43 0.48 0.2 m")


def box(words: str) -> Edit:
    """The box of the lead battery, told otherwise."""
    return swap("vents: 100 cm2}", f"{words}}}")


def locker(words: str) -> tuple[Edit, ...]:
    return (swap("places:\n", f"places:\n    locker: {{regime: locker, vapour: lp-gas{words}}}\n"),)


FLAT = ("size: 0.6 x 0.4 x 0.4 m",)
STOOD = box("size: 1 x 0.5 x 0.6 m, vents: 100 cm2")
RIGS: list[OnRig] = [
    OnRig("E26", "built", "host.side-bay", "pass"),
    OnRig("E26", "built", "host.side-bay", "fail", (ON_THE_INVERTER,), "the controller in the inverter"),
    OnRig("E26", "built", "host.side-bay", "fail", (OVER_THE_EDGE,), "a bar through the roof of the bay"),
    OnRig("E26", "built", "host.side-bay", "cannot-tell", (part("R1", f"size: {U}"),), missing="R1.size"),
    OnRig("E26", "van", "rig", "skip"),
    OnRig("E27", "built", "U1", "pass"),
    OnRig("E27", "built", "U1", "fail", (NEAR_THE_CONTROLLER,), "a fuse 65 mm below it"),
    OnRig("E27", "van", "rig", "skip"),
    OnRig("E28", "built", "host.side-bay", "pass"),
    OnRig("E28", "built", "host.side-bay", "fail", (BEFORE_THE_FUSE,), "the switch before two fuses"),
    OnRig("E28", "built", "host.side-bay", "cannot-tell", (part("F5", f"size: {U}"),), missing="F5.size"),
    OnRig("E29", "built", "rig", "skip"),
    OnRig("E29", "lead", "B.1", "fail", (STOOD, part("B", "size: 260 x 270 x 180 mm", "stands: {1: 0 0.2 m, 2: 0.3 0.2 m}"), swap("array: 1s1p", "array: 1s1p"), add("parts", "U9: {is: pv-controller-20a-100v, at: box, stands: 0.05 0.05 m}")), "35 mm over a controller"),
    OnRig("E29", "lead", "B.2", "pass", (STOOD, part("B", "size: 260 x 270 x 180 mm", "stands: {1: 0 0.2 m, 2: 0.3 0.2 m}"), add("parts", "U9: {is: pv-controller-20a-100v, at: box, stands: 0.05 0.05 m}")), "beside its warm air"),
    OnRig("E30", "built", "rig", "skip"),
    OnRig("E30", "lead", "host.box", "cannot-tell", missing="host.places.box.vent-high"),
    OnRig("E30", "lead", "host.box", "fail", (box("size: 0.6 x 0.4 x 0.4 m, vents: 100 cm2, vent-high: 0.3 0.2 m"),), "165 mm of hydrogen under the lid"),
    OnRig("E30", "lead", "host.box", "pass", (box("size: 0.6 x 0.4 x 0.4 m, vents: 100 cm2, vent-high: 0.3 0.35 m"),)),
    OnRig("E30", "lead", "host.box", "fail", (box("size: 0.6 x 0.4 x 0.4 m, vents: none"),), "a box without a vent"),
    OnRig("E30", "lead", "host.locker", "fail", locker(", vents: {louvre: {area: 100 cm2, at: 0.2 0.3 m}}"), "gas below the only vent"),
    OnRig("E30", "lead", "host.locker", "pass", locker(", vents: {louvre: {area: 100 cm2, at: 0.2 0.06 m}}")),
    OnRig("E30", "lead", "host.locker", "cannot-tell", locker(""), missing="host.places.locker.vents"),
    # IEC 62485-2, each opening: 0.05 x 6 x 20 x 225 / 1000 = 1.35 m3/h, 37.8 cm2 each; two of 50 do, 40 and 30 do not
    OnRig("E2", "lead", "B", "pass"),
    OnRig("E2", "lead", "B", "fail", (box("vents: 70 cm2"),), "two of 35 cm2"),
    OnRig("E2", "lead", "B", "fail", (box("vents: {a: {area: 40 cm2}, b: {area: 30 cm2}}"),), "the smaller of two"),
    OnRig("E2", "lead", "B", "fail", (box("vents: 200 cm2, vent-low: none"),), "one vent alone"),
    # 20 mA/Ah and 225 Ah: 28.8 x cbrt(20) x cbrt(225) = 475 mm; from the battery's box, its vents may be anywhere on it
    OnRig("E16", "lead", "B", "pass", (STOOD, part("B", "size: 260 x 270 x 180 mm", "stands: {1: 0 0 m floor, 2: 0 0 0.2 m floor}"), part("F1", "stands: 0.8 0.3 m"))),
    OnRig("E16", "lead", "B", "fail", (STOOD, part("B", "size: 100 x 100 x 100 mm", "stands: {1: 0 0 m floor, 2: 0.12 0 m floor}"), part("F1", "stands: 0.1 0.15 m"))),
    OnRig("E16", "lead", "B", "cannot-tell", (STOOD, part("B", "size: 260 x 270 x 180 mm", "stands: {1: 0 0 m floor, 2: 0.27 0 m floor}"), part("F1", "stands: 0.7 0.3 m")), "near the box, and its vents may be far enough"),
]  # fmt: skip


@pytest.mark.parametrize("case", LIMITS, ids=lambda c: f"{c.number} {c.name}")
def test_a_rule_at_its_limit(case: Limit) -> None:
    judged = case.judge()

    assert judged.verdict == case.verdict, judged.message
    if case.severity and judged.severity is not None:
        assert judged.severity == case.severity
    if judged.verdict == "cannot-tell":
        assert judged.missing


@pytest.mark.parametrize("case", RIGS, ids=lambda c: f"{c.number} {c.rig} {c.subject} {c.verdict} {c.name}".strip())  # fmt: skip
def test_a_rule_on_a_rig(case: OnRig) -> None:
    all_said = found(study_of(case.rig, case.edits), case.number)
    said = [f for f in all_said if f.subject == case.subject]

    assert case.verdict in {f.verdict for f in said}, [(f.subject, f.verdict, f.message) for f in all_said]
    if case.missing:
        assert case.missing in {m for f in said for m in f.missing}


def test_the_wall_that_a_part_is_screwed_to_is_not_in_its_way() -> None:
    """U3 asks for 50 mm around and stands on the left wall."""
    (said,) = (f for f in found(study_of("built"), "E27") if f.subject == "U3")
    assert said.verdict == "pass"
    back = swap("stands: 0 0.15 0.27 m left", "stands: 0 0.38 m")
    (flat,) = (f for f in found(study_of("built", (back,)), "E27") if f.subject == "U3")
    assert (flat.verdict, flat.value) == ("fail", 0.0)


def test_rigs_that_place_nothing_are_told_nothing_new() -> None:
    for rig in ("boat", "cabin", "van"):
        for number in ("E26", "E27", "E28", "E29"):
            assert [f.verdict for f in found(study_of(rig), number)] == ["skip"]
