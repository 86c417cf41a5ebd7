"""What the bench proposes while a rig is built: parts, ids, ends, cables, and what comes next."""

from pathlib import Path

import pytest

from ohmwright.services.building import next_steps, proposed_id
from ohmwright.services.cable_for import cables_for
from ohmwright.services.desk import Desk, Look
from ohmwright.services.ends import joined, loose_things, meant, other_studs
from ohmwright.services.new import First, from_nothing
from ohmwright.services.offers import devices_for, offered

PARTS = """\
parts:
  M:  {is: module-230w, at: roof}
  U1: {is: pv-controller-20a-100v, at: locker}
  B:  {is: battery-lfp-100ah-12v, at: locker}
  F1: {is: fuse-bolt-30a, at: locker}
  F2: {is: fuse-blade-25a, at: locker}
  XP: {is: busbar-100a-6stud, at: locker}
  XN: {is: busbar-100a-6stud, at: locker}
  PD: {is: panel-dc-6way, at: locker, ways: {1: 10 A, 2: 5 A}}
runs:
  W01: {from: B.+, to: XP.1, cable: 25 mm2 70C red, length: 1 m}
  W02: {from: B.-, to: XN.1, cable: 25 mm2 70C black, length: 1 m}
"""


@pytest.fixture
def empty(tmp_path: Path) -> Look:
    places = (("roof", "outside"), ("locker", "cabin"))
    from_nothing(str(tmp_path / "sprat"), First("Sprat", "van", "eu", "Ines", places=places))
    return Desk(str(tmp_path)).look("sprat")


@pytest.fixture
def half(empty: Look, tmp_path: Path) -> Look:
    assert not empty.rig.parts
    file = tmp_path / "sprat" / "rig.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("parts:\nruns:\n", PARTS), encoding="utf-8")
    return Desk(str(tmp_path)).look("sprat")


# 33 CFR 183.425, Table 5, conductors of 60 degC outside engine spaces, as printed (official text): 12 AWG 25 A, 10 AWG 40 A.
# 4 mm2 holds less metal than 10 AWG (5.26 mm2) and counts as 12 AWG; 6 mm2 counts as 10 AWG.
@pytest.mark.parametrize(("fuse", "cable"), [("F1.line", "6 mm2 70C red"), ("F2.line", "4 mm2 70C red")])
def test_the_cable_behind_a_fuse_is_the_smallest_that_it_protects(half: Look, fuse: str, cable: str) -> None:
    first = cables_for(half, "U1.bat.+", fuse, ("+",))[0]

    assert first.proposed
    assert first.text == cable


def test_an_array_asks_for_156_per_cent_of_its_short_circuit_current(half: Look) -> None:
    """NFPA 70 690.8: 125 % for bright skies, 125 % for hours on end; the module's plate says 11.9 A."""
    first = cables_for(half, "M", "U1.pv", ("+", "-"))[0]

    assert first.text.startswith("pv ")
    assert "18.6 A" in first.told


def test_the_other_pole_has_the_same_size_in_black(half: Look) -> None:
    assert cables_for(half, "B.-", "XN.2", ("-",))[0].text == "25 mm2 70C black"


def test_a_stud_and_a_port_ask_for_the_stud_of_the_other_pole(half: Look) -> None:
    start, _ = meant(half, "XP")
    stop, _ = meant(half, "PD.feed")
    assert start is not None
    assert stop is not None
    how = joined(half, start, stop, {})
    assert how is not None
    assert (start.address, how.asks, how.lone) == ("XP.2", ("+", "-"), "from")
    assert other_studs(half, how)["-"] == "XN.2"
    both = joined(half, start, stop, {"+": "XP.2", "-": "XN.2"})
    assert both is not None
    assert (both.start, both.stop, both.poles) == ('{"+": XP.2, "-": XN.2}', "PD.feed", ("+", "-"))


def test_ports_without_a_pole_in_common_are_not_joined(half: Look) -> None:
    start, _ = meant(half, "U1.bat")
    stop, _ = meant(half, "U1.case")
    assert start is not None
    assert stop is not None
    assert joined(half, start, stop, {}) is None or stop.poles == ("PE",)


@pytest.mark.parametrize(
    ("words", "first", "never"), [("fuse 30", "30a", "300a"), ("battery 100", "100ah", "1000")]
)
def test_a_figure_in_a_search_is_a_whole_figure(empty: Look, words: str, first: str, never: str) -> None:
    found, count = offered(empty.opened.shelf, words, "", "EUR")

    assert count >= len(found) > 0
    assert first in found[0].id
    assert not any(never in o.id for o in found)


def test_ids_go_by_the_class_letter_and_count_on(half: Look, empty: Look) -> None:
    assert [proposed_id(empty.rig, k) for k in ("battery", "module", "fuse")] == ["B", "M", "F1"]
    assert [proposed_id(half.rig, k) for k in ("battery", "fuse", "busbar")] == ["B1", "F3", "X1"]


def test_what_comes_next_is_said_in_its_order(empty: Look, half: Look) -> None:
    told = [t for t, _, _ in next_steps(empty)]
    assert told[0].startswith("Nothing is drawn yet")
    assert "Nothing takes power yet" in told[1]
    told = [t for t, _, _ in next_steps(half)]
    assert told[0].startswith("No run lands yet on")
    assert "M" in loose_things(half)
    assert "B" not in loose_things(half)


def test_devices_that_protect_a_cable_come_first(half: Look) -> None:
    offered = devices_for(half, half.rig.runs["W01"])

    assert offered[0].fits
    assert offered[0].kind == "fuse"
    assert not offered[-1].fits
