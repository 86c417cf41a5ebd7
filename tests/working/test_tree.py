"""The text-only YAML reader: places are right to the character, and no file, however broken, gets past it as anything but a FileError."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.working import FileError
from ohmwright.working.tree import MAX_CHARACTERS, MAX_SCALAR, Mapping, Scalar, Sequence, Tree, read_tree

SAMPLE = """\
# A trailer, shortened.
ohmwright: 1
job: {id: larkspur, units: metric}
parts:
  M:  {is: module-410w, array: 3s1p, at: roof, gap: 30 mm}   # flat
  B:  {is: battery-lfp-200ah-12v, count: 4, each: {F: fuse-150a},
       join: {as: chain, link: 4/0 AWG 105C, link-length: 0.32 m}}
runs:
  W01: {from: M, to: S1, length: 9.2 m}
settings:
  U1: [absorb 14.2 V, "float: none", 'it''s off']
notes: |
  Two lines
  of text — with Ω and 😀.
on: 12:30
"""


def tree(text: str) -> Mapping:
    found = read_tree(text, "rig.yaml")
    assert isinstance(found, Mapping)
    return found


def refused(text: str) -> FileError:
    with pytest.raises(FileError) as refusal:
        read_tree(text, "rig.yaml")
    error = refusal.value
    assert error.remedy
    assert error.at.line >= 1
    assert error.at.column >= 1
    assert "\n" not in str(error)
    return error


def scalars(of: Tree) -> list[Scalar]:
    if isinstance(of, Scalar):
        return [of]
    if isinstance(of, Sequence):
        return [s for item in of.items for s in scalars(item)]
    return [s for e in of.entries.values() for s in (e.key, *scalars(e.value))]


def test_every_scalar_is_text_and_knows_its_place() -> None:
    found = scalars(tree(SAMPLE))

    plain = [s for s in found if s.plain]
    assert len(plain) > 40
    for s in plain:
        assert SAMPLE[s.at.offset : s.at.end] == s.text
        assert s.at.line == SAMPLE.count("\n", 0, s.at.offset) + 1
        assert s.at.column == s.at.offset - SAMPLE.rfind("\n", 0, s.at.offset)


@pytest.mark.parametrize(
    "text", ["on", "yes", "no", "null", "~", "1e3", "12:30", "0o17", "0x1F", "2026-04-02", "1_000", ".inf"]
)
def test_no_word_turns_into_something_else(text: str) -> None:
    value = tree(f"key: {text}").get("key")

    assert isinstance(value, Scalar)
    assert (value.text, value.plain) == (text, True)


def test_a_quoted_text_is_known_as_quoted() -> None:
    value = tree('key: "none"').get("key")

    assert isinstance(value, Scalar)
    assert (value.text, value.plain) == ("none", False)


@pytest.mark.parametrize(
    ("text", "line", "column", "says"),
    [
        ("a: 1\nb: {x: 1, x: 2}", 2, 11, "stands twice"),
        ("a: 1\r\nb: 2\r\nb: 3", 3, 1, "stands twice"),
        ("a: 1\nb: 😀\nb: 2", 3, 1, "stands twice"),
        ("a: &x 1\nb: *x", 1, 4, "an anchor &x"),
        ('{"a":&x 1,"b":*x}', 1, 6, "an anchor &x"),
        ("a: [*x]", 1, 5, "an alias *x"),
        ("*x : 1", 1, 1, "an alias *x"),
        ("a: {<<: {b: 1}}", 1, 5, "a merge key"),
        ("a: !!int 1", 1, 4, "a tag"),
        ("a: !!str 1", 1, 4, "a tag"),
        ("a: ! 1", 1, 4, "a tag"),
        ("!rig\na: 1", 1, 1, "a tag"),
        ("a: !!python/object/apply:os.system [ls]", 1, 4, "a tag"),
        ("[a, b]: 1", 1, 1, "a key that is no word"),
        ("? {a: 1}\n: 2", 1, 3, "a key that is no word"),
        ("? \n: 1", 1, 2, "a key that is no word"),
        ("a: 1\n---\nb: 2", 2, 1, "second document"),
        ("a:\n\tb: 1", 2, 1, "cannot start any token"),
        ("a: 1\n\tb: 2", 2, 1, "tab"),
        ("a: \x00", 1, 4, "U+0000"),
        ('a: "\\x00"', 1, 4, "U+0000"),
        ("a: 1\nb: \x07", 2, 4, "U+0007"),
        ("a: b\x85c: d", 1, 5, "U+0085"),
        ("a: b\u2028c: d", 1, 5, "U+2028"),
        ("a: \ud800", 1, 4, "U+D800"),
        ("\ufeffa: 1", 1, 1, "byte order mark"),
        ("", 1, 1, "empty"),
        ("# only a remark\n", 1, 1, "empty"),
        ("a: b: c", 1, 5, "mapping values"),
        ("a: 'x", 1, 6, "ends in the middle"),
        ("a: [1, 2", 1, 9, "ends in the middle"),
        ("a: " + "x" * (MAX_SCALAR + 1), 1, 4, "characters"),
        ("".join(" " * i + "a:\n" for i in range(60)), 41, 41, "levels deep"),
    ],
)
def test_what_is_refused_is_refused_at_its_place(text: str, line: int, column: int, says: str) -> None:
    error = refused(text)

    assert (error.at.line, error.at.column) == (line, column)
    assert says in error.message


DEEP = 100_000


@pytest.mark.parametrize(
    "text",
    [
        "a: " + "[" * DEEP,
        "a: " + "[" * DEEP + "]" * DEEP,
        "{a: " * DEEP,
        "- " * DEEP + "a",
        "? " * DEEP + "a",
        "- ? " * DEEP + "a",
        "a: &a [x,x]\n"
        + "".join(f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)},*{chr(97 + i)}]\n" for i in range(20)),
        "a: [" + "1," * 990_000 + "]",
        "[" + "a: b, " * 330_000 + "]",
        "a: >\n" + " \n" * 900_000,
        "<<" * 900_000,
        "a: '" + "''" * 900_000,
        "x" * (MAX_CHARACTERS + 1),
    ],
    ids=lambda text: f"{text[:8]!r}...{len(text)}",
)
def test_a_file_made_to_hurt_is_refused_at_once(text: str) -> None:
    began = time.monotonic()
    refused(text)

    assert time.monotonic() - began < 5  # measured: below 0.2 s each; a quadratic reader takes minutes


def outcome(text: str) -> str:
    """`read`, or where and why not; anything but a FileError is let through."""
    try:
        read_tree(text, "rig.yaml")
    except FileError as error:
        return str(error)
    return "rig.yaml: read"


def test_a_file_cut_short_anywhere_is_read_or_refused() -> None:
    told = [outcome(SAMPLE[:cut]) for cut in range(len(SAMPLE))]

    assert all(t.startswith("rig.yaml:") for t in told)
    assert sum("ends in the middle" in t for t in told) > 50


def test_a_file_with_one_character_gone_wrong_is_read_or_refused() -> None:
    spoilt = [SAMPLE[:i] + wrong + SAMPLE[i + 1 :] for i in range(0, len(SAMPLE), 3) for wrong in "\t{]&'\n"]

    assert all(outcome(text).startswith("rig.yaml:") for text in spoilt)


@settings(max_examples=200)
@given(st.text(st.sampled_from("ab:-?[]{},&*!|>'\"%@`#\n\t <~\\x0"), max_size=60) | st.text(max_size=60))
def test_no_text_gets_past_as_anything_but_a_file_error(text: str) -> None:
    assert outcome(text).startswith("rig.yaml:")


def test_a_file_that_ends_in_a_comment_was_cut_short() -> None:
    with pytest.raises(FileError, match="middle of a comment"):
        read_tree("parts:\n  F1: {is: fuse}   # at the po", "rig.yaml")

    assert read_tree("parts:\n  F1: {is: fuse}   # at the post\n", "rig.yaml")
