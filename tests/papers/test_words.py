"""The sentences: one catalogue, every key used is there, nothing in it is forbidden, every language says the same things."""

import csv
import re
import string
from pathlib import Path

import pytest
from tests.papers.packs import material

from ohmwright.papers.catalogue import Words, blanks, languages, words
from ohmwright.papers.doc import Heading, Table
from ohmwright.papers.pack import pack_of
from ohmwright.papers.press import Press
from ohmwright.papers.report import check_report
from ohmwright.papers.stamp import Stamp
from ohmwright.working import OhmwrightError

PAPERS = Path(__file__).resolve().parents[2] / "src" / "ohmwright" / "papers"


def test_every_sentence_that_is_asked_for_is_there() -> None:
    english = words("en")
    source = "\n".join(p.read_text() for p in PAPERS.glob("*.py"))
    asked = re.findall(r'\.say\(\s*"([a-z0-9.-]+)"', source)
    assert len(asked) > 150
    assert [k for k in asked if k not in english.texts] == []
    assert [k for k in re.findall(r'\.all\(\s*"([a-z0-9.-]+)"', source) if k not in english.lists] == []
    for names in re.findall(r"(?:\.cautions\(|cautions(?:: [^=]+)? = \()([^)]*)\)", source):
        assert [n for n in re.findall(r'"([a-z-]+)"', names) if f"caution.{n}" not in english.texts] == []


def test_every_sentence_is_used() -> None:
    source = "\n".join(p.read_text() for p in PAPERS.glob("*.py")).replace("'", '"')
    quoted = set(re.findall(r'"([a-z0-9.-]+)"', source))
    made = [
        re.sub(r"\\\{[^}]*\\\}", "[A-Za-z0-9-]+", re.escape(x))
        for x in re.findall(r'f"([a-z0-9{}._-]+)"', source)
    ]
    for key in {*words("en").texts, *words("en").lists} - {"language"}:
        by_name = key in quoted or key.rpartition(".")[2] in quoted
        assert by_name or any(re.fullmatch(x, key) for x in made if "." in x), key


@pytest.mark.parametrize("language", languages())
def test_every_language_has_the_same_keys_and_the_same_blanks(language: str) -> None:
    english, other = words("en"), words(language)
    assert set(other.texts) == set(english.texts)
    assert set(other.lists) == set(english.lists)
    for key, text in english.texts.items():
        assert blanks(other.texts[key]) == blanks(text), key


@pytest.mark.parametrize("language", languages())
def test_no_sentence_calls_anything_safe_or_compliant(language: str) -> None:
    told = words(language)
    for text in (*told.texts.values(), *(x for items in told.lists.values() for x in items)):
        assert not re.search(r"\bsafe(ly|ty)?\b|complian|\bcomplies\b", text, re.IGNORECASE), text


@pytest.mark.parametrize("language", languages())
def test_a_sentence_holds_no_figure_of_a_rig(language: str) -> None:
    # Blanks are names, never positions or expressions.
    for key, text in words(language).texts.items():
        for _, name, spec, convert in string.Formatter().parse(text):
            if name is not None:
                assert re.fullmatch(r"[A-Za-z_]+", name), key
                assert not spec, key
                assert convert is None, key


def test_a_second_language_is_a_file_and_reaches_every_heading() -> None:
    english = words("en")
    marked = Words(
        "en",
        {k: f"‹{v}›" for k, v in english.texts.items()},
        {k: tuple(f"‹{x}›" for x in v) for k, v in english.lists.items()},
    )
    docs = [p for p in pack_of(material("van/rig.yaml", marked)) if p.format == "csv"]
    assert docs
    for planned in docs:
        first = planned.write(Press("", Stamp("2026-05-02", ""))).decode("utf-8").splitlines()[0]
        for title in next(csv.reader([first])):
            assert title.startswith("‹"), (planned.file, title)
    report = check_report(material("van/rig.yaml", marked))
    assert all(b.text.startswith("‹") for b in report.blocks if isinstance(b, Heading))
    assert all(c.title.startswith("‹") for b in report.blocks if isinstance(b, Table) for c in b.columns)


def test_a_language_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(OhmwrightError, match="no papers in 'tlh'"):
        words("tlh")
