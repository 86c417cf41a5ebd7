"""The surface that carries modules: outline, obstacles, horizon, trees, and where modules lie."""

from collections.abc import Callable

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.ungroup import ungroup
from ohmwright.shelf.load import Shelf
from ohmwright.working import Figure, FileError, Unknown

Read = Callable[[str], Rig]

TEXT = """ohmwright: 1
job: {id: lid}
host:
  kind: trailer
  places:
    roof:
      regime: outside
      at: 0.4 0 2.9 m
      outline: 6.2 x 2.3 m
      obstacles: {vent: {at: 1.2 0.4 m, size: 0.4 x 0.4 m, height: 0.12 m, open: 350 mm}, mast: {at: -0.2 1.1 m, size: 0.1 x 0.1 m, height: unknown (asked 2026-05-02)}}
      horizon: {250: 18 deg, 225: 12 deg}
      trees: {wood: {from: 90 deg, to: 270 deg, up-to: 40 deg, leaf-on: 0.2, leaf-off: 60 %}}
parts:
  M: {is: module-410w, array: 2s1p, at: roof, laid: {1.1: 0.3 0.2 m, 1.2: 2.1 0.2 m turned}}
use:
  stays:
    - {span: 01-01..12-31, place: Duluth, heading: 200 deg, under-trees: 40 %, trees: {wood: {from: 0 deg, to: 360 deg, up-to: 60 deg}}}
"""


def test_everything_that_throws_a_shadow_is_read(read: Read) -> None:
    rig = read(TEXT)
    roof, stay = rig.host.places["roof"], rig.use.stays[0]

    assert roof.outline == (6.2, 2.3)
    vent, mast = roof.obstacles["vent"], roof.obstacles["mast"]
    assert (vent.at, vent.size) == ((1.2, 0.4), (0.4, 0.4))
    assert isinstance(vent.open, Figure)
    assert vent.open.value == pytest.approx(0.35)
    assert vent.open.address == "roof.obstacles.vent.open"
    assert isinstance(mast.height, Unknown)
    assert isinstance(roof.figures["obstacles.mast.height"], Unknown)
    assert list(roof.horizon) == [225.0, 250.0]
    assert isinstance(roof.trees["wood"].leaf_off, Figure)
    assert roof.trees["wood"].leaf_off.value == pytest.approx(0.6)
    assert isinstance(stay.heading, Figure)
    assert isinstance(stay.under_trees, Figure)
    assert (stay.heading.value, stay.under_trees.value) == (200.0, 0.4)
    assert list(stay.trees) == ["wood"]


def test_modules_lie_where_the_file_says(read: Read) -> None:
    rig = read(TEXT)

    assert (rig.parts["M.1.1"].laid, rig.parts["M.1.1"].turned) == ((0.3, 0.2), False)
    assert (rig.parts["M.1.2"].laid, rig.parts["M.1.2"].turned) == ((2.1, 0.2), True)


def test_a_word_turns_all_modules(read: Read) -> None:
    rig = read(TEXT.replace("1.2: 2.1 0.2 m turned", "1.2: 2.1 0.2 m, turned: yes"))

    assert rig.parts["M.1.1"].turned
    assert rig.parts["M.1.2"].turned


def test_ungrouped_modules_stay_where_they_lie(read: Read) -> None:
    rig = read(ungroup(TEXT, "rig.yaml", "M", Shelf()))

    assert rig.parts["M.1.2"].laid == (2.1, 0.2)
    assert rig.parts["M.1.2"].turned


def test_a_file_that_says_nothing_of_its_roof_reads_as_before(read: Read) -> None:
    rig = read(TEXT.replace("      outline: 6.2 x 2.3 m\n", "").replace(", laid: {1.1: 0.3 0.2 m, 1.2: 2.1 0.2 m turned}", ""))  # fmt: skip

    assert rig.host.places["roof"].outline is None
    assert rig.parts["M.1.1"].laid is None


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("1.2: 2.1", "1.3: 2.1", "has no module 1.3"),
        ("1.1: 0.3 0.2 m", "1.1: 0.3 m", "is not 2 lengths"),
        ("250: 18 deg", "450: 18 deg", "no bearing"),
        ("leaf-on: 0.2", "leaf-on: 1.2", "more than 1"),
        ("up-to: 40 deg, ", "", "has no 'up-to'"),
        ("height: 0.12 m", "height: 0.12 kg", "kg"),
        ("{1.1: 0.3 0.2 m, 1.2: 2.1 0.2 m turned}", "0.3 0.2 m", "2 modules and one place"),
        ("1.2: 2.1 0.2 m turned", "turned: sideways", "neither yes nor no"),
    ],
)
def test_a_mistake_on_the_roof_is_told_with_its_place(read: Read, old: str, new: str, message: str) -> None:
    assert TEXT.count(old) == 1

    with pytest.raises(FileError, match=message) as caught:
        read(TEXT.replace(old, new))

    assert caught.value.at.line > 1


def test_only_modules_are_laid(read: Read) -> None:
    text = TEXT.replace("parts:\n", "parts:\n  U1: {is: pv-controller-85a-150v, laid: 0.3 0.2 m}\n")

    with pytest.raises(FileError, match="no module"):
        read(text)
