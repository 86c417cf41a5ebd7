"""Setting a device into a run and taking things out: the file stays readable and reads back as a rig."""

from pathlib import Path

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.rig.rework import (
    CutIn,
    can_join,
    cut_in,
    goes_along,
    join_again,
    restrung,
    strings_of,
    take_out,
)
from ohmwright.shelf.load import Shelf
from ohmwright.shelf.record import Record
from ohmwright.working import FileError, known

SHELF = Shelf()
VAN = """\
# A van.
ohmwright: 1
host:
  kind: van
  places: {roof: {regime: outside}, locker: {regime: cabin}}
parts:
  M:  {is: module-175w, at: roof}                 # one module
  U1: {is: pv-controller-20a-100v, at: locker}
  B:  {is: battery-lfp-100ah-12v, at: locker}
  R1: {is: shunt-150a-50mv, counts: B, at: locker}
  PD: {is: panel-dc-6way, ways: {1: 10 A}}
  XN: {is: busbar-100a-6stud}
use:
  loads:
    lamp: {fed: PD.1, power: 10 W}
runs:
  W01: {from: M, to: U1.pv, cable: pv 4 mm2, length: 3 m}
  # the battery's own
  W02: {from: B.+, to: U1.bat.+, cable: 10 mm2 105C red, length: 1 m}
  W03: {from: {"+": U1.bat.+, "-": XN.1}, to: PD.feed, cable: 2 x 6 mm2 105C, length: 2 m}
  W04: {from: B.-, to: R1.bank, cable: 10 mm2 105C black, length: 0.4 m}
  W05: {from: R1.loads, to: XN.2, cable: 10 mm2 105C black, length: 0.2 m}
looked-at:
  - {rule: battery/held-down, subject: B, found: strap, by: Ada, dated: 2026-03-01}
"""


def read(text: str) -> Rig:
    return read_rig(text, "rig.yaml", SHELF)


def record(name: str) -> Record:
    found = SHELF.find(name)
    assert found is not None
    return found


def wired(rig: Rig) -> dict[str, tuple[object, ...]]:
    return {
        r.id: (r.cores, round(m.value, 6) if (m := known(r.length)) else None)
        for r in rig.runs.values()
        if not r.part_of
    }


def test_a_fuse_near_the_battery_leaves_a_short_piece_and_the_rest() -> None:
    cut = CutIn("W02", "from", "", "F1", record("fuse-bolt-30a"), "W06", 0.1)
    text = cut_in(VAN, "rig.yaml", read(VAN), cut)

    assert "  W02: {from: F1.load, to: U1.bat.+, cable: 10 mm2 105C red, length: 0.9 m}\n" in text
    assert "  W06: {from: B.+, to: F1.line, cable: 10 mm2 105C red, length: 0.1 m}\n" in text
    assert "  F1: {is: fuse-bolt-30a, at: locker}\n" in text
    assert "# the battery's own\n" in text
    read(text)


def test_a_fuse_in_one_pole_of_a_cable_of_two_leaves_the_other_pole_where_it_was() -> None:
    cut = CutIn("W03", "from", "+", "F1", record("fuse-bolt-30a"), "W06", 0.1)
    text = cut_in(VAN, "rig.yaml", read(VAN), cut)

    assert (
        '  W03: {from: {"+": F1.load, "-": XN.1}, to: PD.feed, cable: 2 x 6 mm2 105C, length: 1.9 m}\n'
        in text
    )
    assert "  W06: {from: U1.bat.+, to: F1.line, cable: 6 mm2 105C red, length: 0.1 m}\n" in text
    rig = read(text)
    assert [c.a for c in rig.runs["W03"].cores] == ["F1.load", "XN.1"]


def test_a_breaker_of_two_poles_cuts_both() -> None:
    cut = CutIn("W01", "to", "", "Q1", record("pv-disconnect-20a-150v-2p"), "W06", 0.3)
    rig = read(cut_in(VAN, "rig.yaml", read(VAN), cut))

    assert (rig.runs["W01"].start, rig.runs["W01"].stop) == ("M", "Q1.line")
    assert (rig.runs["W06"].start, rig.runs["W06"].stop) == ("Q1.load", "U1.pv")


def test_what_was_cut_in_and_taken_out_again_leaves_the_rig_as_it_was() -> None:
    before = read(VAN)
    for run, end, pole in (("W02", "from", ""), ("W02", "to", ""), ("W03", "from", "+"), ("W03", "to", "-")):
        text = cut_in(VAN, "x", before, CutIn(run, end, pole, "F1", record("fuse-bolt-30a"), "W06", 0.1))
        rig = read(text)
        assert can_join(rig, "F1") == (run, "W06")
        again = read(join_again(text, "x", rig, "F1"))

        assert wired(again) == wired(before)
        assert again.parts == before.parts


def test_a_part_goes_with_its_runs_and_what_was_said_of_it() -> None:
    rig = read(VAN)
    assert goes_along(rig, "B").runs == ("W02", "W04")
    assert goes_along(rig, "PD").loads == ("lamp",)
    text = take_out(VAN, "rig.yaml", rig, "B")

    assert "looked-at" not in text
    assert "R1: {is: shunt-150a-50mv, at: locker}" in text
    assert "# one module" in text
    assert set(read(text).runs) & {"W02", "W04"} == set()
    assert "lamp: {power: 10 W}" in take_out(VAN, "rig.yaml", rig, "PD")
    assert "lamp" not in read(take_out(VAN, "rig.yaml", rig, "lamp")).use.loads


def test_what_stands_in_no_conductor_cannot_be_set_into_one() -> None:
    with pytest.raises(FileError, match="does not stand in a conductor"):
        cut_in(
            VAN, "x", read(VAN), CutIn("W02", "from", "", "U2", record("pv-controller-20a-100v"), "W06", 0.1)
        )


@pytest.mark.parametrize("demo", ["trailer", "boat", "cabin", "van"])
def test_every_part_and_run_of_the_demo_rigs_is_taken_out_or_refused_in_words(demo: str) -> None:
    path = Path(__file__).parents[2] / "src/ohmwright/services/demos" / demo / "rig.yaml"
    text = path.read_text(encoding="utf-8")
    shelf = Shelf(job={p.name: p.read_text(encoding="utf-8") for p in path.parent.glob("shelf/*.yaml")})
    rig = read_rig(text, "x", shelf)
    names = [p.id for p in rig.parts.values() if not p.group] + [
        r.id for r in rig.runs.values() if not r.part_of
    ]
    refused = []
    for name in names[::3]:
        try:
            read_rig(take_out(text, "x", rig, name), "x", shelf)
        except FileError as error:
            refused.append(error)
    assert all(error.remedy for error in refused)
    assert len(refused) < len(names[::3]) / 2


def test_three_modules_in_series_take_fuses_and_join_of_six_strings_with_them() -> None:
    """The trailer's change order: six modules in parallel give way to three in series on the same disconnect."""
    folder = Path(__file__).parents[2] / "src/ohmwright/services/demos/trailer"
    shelf = Shelf(job={p.name: p.read_text(encoding="utf-8") for p in folder.glob("shelf/*.yaml")})
    text = (folder / "rig.yaml").read_text(encoding="utf-8")
    offered = read_rig((folder / "rig-swapped.yaml").read_text(encoding="utf-8"), "x", shelf)
    rig = read_rig(text, "x", shelf)

    goes = strings_of(rig, "M")
    assert goes.parts == ("FS1", "FS2", "FS3", "FS4", "FS5", "FS6", "XJ")
    assert goes.left == ("S1.line",)
    new = read_rig(restrung(text, "x", rig, "M", "module-410w", (3, 1), ("W50", "pv 10 AWG")), "x", shelf)

    assert set(new.parts) == set(offered.parts)
    assert wired(new)["W50"][1] == wired(offered)["W01"][1]
    assert [(c.a, c.b) for c in new.runs["W50"].cores] == [(c.a, c.b) for c in offered.runs["W01"].cores]


def test_another_module_in_the_same_strings_changes_one_word() -> None:
    rig = read(VAN)
    text = restrung(VAN, "x", rig, "M", "module-230w", (1, 1), ("", ""))

    assert text == VAN.replace("module-175w", "module-230w")
