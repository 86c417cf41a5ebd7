"""Letters that the faces lack: a mark and a note, on the paper, never an empty box."""

import pytest
from fontTools.ttLib import TTFont
from tests.papers.packs import EPOCH, SMALL, Made, make

from ohmwright.papers.letters import MARK, known
from ohmwright.services.papers import FONTS

#: Upright faces and weights that the templates use.
FACES = (
    "SourceSans3-Regular",
    "SourceSans3-Semibold",
    "SourceSans3-Bold",
    "SourceSerif4-Regular",
    "SourceSerif4-Semibold",
    "SourceSerif4-Bold",
)


def test_the_table_of_letters_is_what_all_the_faces_have() -> None:
    # fontTools reads the character maps of the faces themselves.
    maps = [set(TTFont(FONTS / f"{name}.ttf").getBestCmap()) for name in FACES]
    assert {ord(c) for c in known()} == set.intersection(*maps)


@pytest.fixture(scope="module")
def foreign(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A rig whose names are in four scripts, with an accent that stands apart from its letter."""
    folder = tmp_path_factory.mktemp("foreign")
    title = "漢字 שלום e\u0301tape Ærø Ω"
    (folder / "rig.yaml").write_text(
        SMALL.replace("title: one battery", f'title: "{title}", designer: "{title}"'), encoding="utf-8"
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        return make(folder / "rig.yaml", folder / "out")


@pytest.mark.parametrize("name", ["contents", "emergency-card", "cut-list", "quote", "binder"])
def test_a_letter_that_is_not_there_is_marked_and_the_paper_says_so(foreign: Made, name: str) -> None:
    text = foreign.text(f"{name}.pdf")
    assert f"{MARK * 2} {MARK * 4} étape" in text
    assert f"{MARK} stands for letters that these printing faces do not have: U+05D5, U+05DC, U+05DD" in text
    assert "漢" not in text


def test_a_drawing_marks_its_letters_and_says_so_at_its_foot(foreign: Made) -> None:
    text = foreign.text("circuit-1.pdf")
    assert f"{MARK * 2}" in text
    assert f"{MARK} stands for letters that these printing faces do not have: U+5B57, U+6F22" in text


def test_the_lists_for_machines_keep_every_letter(foreign: Made) -> None:
    assert "漢字" in (foreign.folder / "circuit-1.svg").read_text(encoding="utf-8")


def test_no_paper_of_a_demo_needs_a_mark(trailer: Made, van: Made) -> None:
    for made in (trailer, van):
        for p in made.done.made:
            if p["format"] == "pdf":
                assert MARK not in made.text(p["file"]), p["file"]
