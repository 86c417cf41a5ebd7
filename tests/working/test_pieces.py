"""A file read in pieces says what the file read whole says, to the last place of every word."""

import random
from pathlib import Path

import pytest

from ohmwright.working import FileError
from ohmwright.working.pieces import read_again
from ohmwright.working.tree import read_tree

DEMOS = Path(__file__).parents[2] / "src/ohmwright/services/demos"
FILES = sorted(DEMOS.rglob("rig*.yaml"))
ODD = (
    "a: 1\nb: {x: 1,\ny: 2}\nc: 3\n",
    'a: "one\nb: two"\nc: 3\n',
    "a: |\n  text\n  b: no key\n\nb: 3\n",
    "a:\n- 1\n- 2\nb:\n  - x: 1\n    y: 2\n",
    "# first\n\na:   # remark\n    # deeper\n    x: 1\n\n    # between\n    y: {z: [1, 2]}\n  # less\nb: end",
    "a: one\n  two\nb: 'x'\n'c': 3\n",
    "a: 1\na: 2\n",
    "a: &x 1\nb: *x\n",
    "a: 1\n---\nb: 2\n",
    "a: 1\n\tb: 2\n",
    "a: {\n",
    "a:\n   x: 1\n  y: 2\n",
    "a: 1\r\nb: 2\r\n",
    "",
    "- 1\n",
)


def same(text: str) -> None:
    """Both ways give the same tree, or the same mistake."""
    try:
        whole: object = read_tree(text, "f")
    except FileError as error:
        whole = str(error)
    try:
        pieces: object = read_again(text, "f")
    except FileError as error:
        pieces = str(error)
    assert pieces == whole


@pytest.mark.parametrize("text", ODD)
def test_texts_that_are_hard_to_cut_say_the_same(text: str) -> None:
    same(text)
    same(text.replace("a:", "section-a:\n  # padding " + "x" * 500 + "\n  inner: 1\na:", 1))


@pytest.mark.parametrize("file", FILES, ids=lambda f: f"{f.parent.name} {f.stem}")
def test_a_rig_says_the_same_after_every_edit(file: Path) -> None:
    text, chance = file.read_text(encoding="utf-8"), random.Random(file.name)
    same(text)
    for _ in range(25):
        at = chance.randrange(len(text))
        cut = text[:at] + chance.choice(["", "7", "7", "x: 1", "\n", "{", "'", " ", "#", "\n  k: 2\n"])
        text_now = cut + text[at + chance.randrange(3) :]
        same(text_now)
        if chance.random() < 0.3:
            text = text_now


def test_what_stands_as_it_stood_is_the_very_same_entry() -> None:
    filler = "".join(f"  W{n}: {{from: a, to: b, length: {n} m}}\n" for n in range(30))
    before = read_again(f"runs:\n{filler}", "g")
    after = read_again(f"runs:\n{filler}".replace("length: 7 m", "length: 8 m"), "g")

    old, new = (t.get("runs").entries for t in (before, after))  # type: ignore[union-attr]
    assert [k for k in old if old[k] is not new[k]] == ["W7"]
