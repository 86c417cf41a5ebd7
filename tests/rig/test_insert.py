"""Whole entries come and go by a line of their own; every other line of the file stays as it was."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.rig.insert import put_entry, swap_record, take_entry, take_keys
from ohmwright.working import FileError
from ohmwright.working.tree import Mapping, Scalar, read_tree

TEXT = """\
# a comment
parts:
  F1: {is: fuse-a, at: bay, voltage: unknown, found: no plate (f)}   # remark
  B:  {is: battery, count: 2,
       each: {F: fuse-b}}
  U1:
    is: pump
    rated: 3 A
runs:
  W1: {from: F1.load, to: U1.+}
cases:
  one: {set: {C1.to: out, F1: open}}
settings:
  U1: {float: 13.5 V}
"""


def keys(text: str, *path: str) -> list[str]:
    tree = read_tree(text, "x")
    for word in path:
        assert isinstance(tree, Mapping)
        found = tree.get(word)
        assert found is not None
        tree = found
    assert isinstance(tree, Mapping)
    return list(tree)


def test_a_new_entry_stands_on_the_line_behind_its_neighbour_and_nothing_else_moves() -> None:
    new = put_entry(TEXT, "x", "parts", "F2", "{is: fuse-c}", after="F1")

    before, after = TEXT.splitlines(), new.splitlines()
    assert after[3] == "  F2: {is: fuse-c}"
    assert after[:3] + after[4:] == before


def test_a_new_entry_goes_behind_an_entry_of_several_lines() -> None:
    assert keys(put_entry(TEXT, "x", "parts", "F2", "{is: c}", after="B"), "parts") == ["F1", "B", "F2", "U1"]


def test_a_section_that_is_not_there_yet_is_made() -> None:
    assert keys(put_entry("ohmwright: 1\n", "x", "runs", "W1", "{from: a}"), "runs") == ["W1"]


def test_a_taken_id_is_refused() -> None:
    with pytest.raises(FileError, match="is taken"):
        put_entry(TEXT, "x", "parts", "F1", "{is: fuse-c}")


def test_an_entry_goes_with_its_line_and_with_what_set_its_states() -> None:
    new = take_entry(TEXT, "x", "parts", "F1")

    assert "fuse-a" not in new
    assert "# a comment" in new
    assert keys(new, "parts") == ["B", "U1"]
    assert keys(new, "cases", "one", "set") == ["C1.to"]


def test_a_part_that_goes_takes_its_settings_with_it() -> None:
    assert "U1:" not in take_entry(TEXT, "x", "parts", "U1").split("settings:")[1]


def test_another_record_leaves_the_old_ones_figures_behind() -> None:
    new = swap_record(TEXT, "x", ("parts", "F1"), "fuse-z", frozenset({"voltage", "found", "interrupt"}))

    assert "  F1: {is: fuse-z, at: bay}   # remark" in new


def test_a_device_of_each_member_is_swapped_in_its_place() -> None:
    assert "each: {F: fuse-z}}" in swap_record(TEXT, "x", ("parts", "B", "each", "F"), "fuse-z", frozenset())


@given(st.sets(st.sampled_from(["a", "b", "c", "d"])), st.sampled_from(["flow", "block", "folded"]))
def test_whatever_keys_are_taken_the_others_stay(gone: set[str], how: str) -> None:
    pairs = [(k, f"value {n}") for n, k in enumerate("abcd")]
    body = {
        "flow": "m: {" + ", ".join(f"{k}: {v}" for k, v in pairs) + "}\nz: end\n",
        "block": "m:\n" + "".join(f"  {k}: {v}\n" for k, v in pairs) + "  e: last\nz: end\n",
        "folded": "m: {" + ",\n    ".join(f"{k}: {v}" for k, v in pairs) + "}\nz: end\n",
    }[how]
    new = take_keys(body, "x", ("m",), frozenset(gone))

    kept = [k for k in "abcd" if k not in gone] + (["e"] if how == "block" else [])
    assert keys(new, "m") == kept
    tree = read_tree(new, "x")
    assert isinstance(tree, Mapping)
    end, m = tree.get("z"), tree.get("m")
    assert isinstance(end, Scalar)
    assert end.text == "end"
    assert isinstance(m, Mapping)
    assert all(isinstance(v := m.get(k), Scalar) and v.text == dict([*pairs, ("e", "last")])[k] for k in kept)
