"""Another language is one file: every sentence of every floor is turned, and nothing of the rig's own is."""

import importlib.util
import re
import time
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from tests.papers.packs import DEMOS, SMALL, Made

from ohmwright.checks.registry import rules
from ohmwright.drawing.shapes import Text as Lettering
from ohmwright.papers import catalogue
from ohmwright.papers.catalogue import Words, blanks, languages, templates, words
from ohmwright.papers.circuit_sheet import further_of, sheets_of
from ohmwright.papers.doc import Doc, tree
from ohmwright.papers.labour import costing
from ohmwright.papers.material import Material
from ohmwright.papers.order_list import order_for
from ohmwright.papers.pack import _binder, _shop
from ohmwright.papers.phrases import Phrases, phrases_of
from ohmwright.papers.press import Press, pdf_of
from ohmwright.papers.report import check_report
from ohmwright.papers.stamp import Stamp
from ohmwright.services.check import checked
from ohmwright.services.opening import open_rig
from ohmwright.services.papers import FONTS, material_of, papers
from ohmwright.services.year_kept import year_kept
from ohmwright.standards import all_figures
from ohmwright.study import Study
from ohmwright.working import OhmwrightError
from ohmwright.working.tree import Mapping, Sequence, read_tree

ROOT = Path(__file__).parents[2]
_BLANK = re.compile(r"(\{\w*\})")


def loud(text: str) -> str:
    """The language of these tests: English in capitals, between brackets."""
    told = "".join(p if p.startswith("{") else p.upper() for p in _BLANK.split(text))
    ends = re.fullmatch(r"([\s,;:.]*)(.*?)([\s,;:.]*)", told, re.DOTALL)
    assert ends
    return f"{ends[1]}[{ends[2]}]{ends[3]}"


def _script() -> Any:
    """The script that gathers the sentences, so that these tests read the program as it stands."""
    spec = importlib.util.spec_from_file_location("sentences", ROOT / "scripts" / "sentences.py")
    assert spec
    assert spec.loader
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script


@lru_cache(maxsize=1)
def _gathered() -> tuple[str, ...]:
    return tuple(x for found in _script().sentences().values() for x in found)


@pytest.fixture
def shouting(monkeypatch: pytest.MonkeyPatch) -> Words:
    """The papers in that language, made as a translator's file would make it."""
    english = words()
    told = Words(
        "xx",
        {k: loud(v) for k, v in english.texts.items()},
        {k: tuple(map(loud, v)) for k, v in english.lists.items()},
        {t: loud(t) for t in _gathered()},
    )
    real = catalogue.words
    for module in ("ohmwright.papers.phrases", "ohmwright.services.papers"):
        monkeypatch.setattr(
            f"{module}.words", lambda language="en": told if language == "xx" else real(language)
        )
    phrases_of.cache_clear()
    return told


def _material(rig: Path, told: Words) -> Material:
    opened = open_rig(str(rig))
    try:
        year = year_kept(opened, years=1)
    except OhmwrightError:
        year = None
    done = checked(opened, Study(opened.rig, year=year, today="2026-05-02"))
    return replace(material_of(done, year), words=told)


def _own_words(m: Material) -> str:
    """What the rig file and the shelf say, and titles of standards as they are cited: the same in every language."""
    cited = " ".join(
        f"{c.standard} {c.edition} {c.clause} {c.edition}"
        for r in rules().values()
        for c in r.clauses.values()
    )
    cited += " ".join(f"{f.clause.standard} {f.clause.clause}" for f in all_figures())
    cited += " ".join(f.clause for f in m.findings)
    shelf = " ".join(
        f"{p.record.id} {p.record.title} {' '.join(p.record.words.values())}" for p in m.rig.parts.values()
    )
    return " ".join(f"{m.rig.text} {shelf} {cited}".split())


def _left_english(m: Material, doc: Doc) -> list[str]:
    """Three words of small letters in a row that stand neither in the rig file nor on the shelf."""
    own = _own_words(m)
    found: list[tuple[str, str]] = []

    def look(value: object, key: str = "") -> None:
        if isinstance(value, dict):
            for k, v in value.items():
                look(v, k)
        elif isinstance(value, list):
            for v in value:
                look(v, key)
        elif isinstance(value, str) and key not in (
            "origins",
            "clause",
            "title",
            "program",
            "formula",
            "substituted",
        ):
            found.extend(
                (value, x) for x in re.findall(r"\b[a-z]{2,}(?: [a-z]{2,}){2,}", value) if x not in own
            )

    for block in doc.blocks:
        look(tree(block))
    return [f"{x}  IN  {value}" for value, x in found]


DEMO_RIGS = ("trailer/rig.yaml", "trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml")


@pytest.mark.parametrize("demo", DEMO_RIGS)
def test_no_sentence_of_any_paper_stays_english(shouting: Words, demo: str) -> None:
    m = _material(DEMOS / demo, shouting)
    order = order_for(m)
    shop = [(name, doc) for name, doc, _ in _shop(m, order, costing(m, order))]
    left = [f"{name}: {x}" for name, doc in (*_binder(m), *shop) for x in _left_english(m, doc)]
    assert left == []


def test_no_sentence_of_a_drawing_stays_english_though_lines_are_broken(shouting: Words) -> None:
    m = _material(DEMOS / "trailer/rig-built.yaml", shouting)
    own = _own_words(m)
    lettered = [
        t.text
        for _, sheets in (("circuit", sheets_of(m)), *further_of(m))
        for s in sheets
        for t in s.shapes()
        if isinstance(t, Lettering)
    ]
    assert any("LOCAL CODES" in t for t in lettered)
    left = [t for t in lettered for x in re.findall(r"\b[a-z]{2,}(?: [a-z]{2,}){2,}", t) if x not in own]
    assert left == []


def test_the_report_is_printed_in_that_language(shouting: Words, tmp_path: Path) -> None:
    doc = check_report(_material(DEMOS / "trailer" / "rig.yaml", shouting))
    (tmp_path / "a.pdf").write_bytes(
        pdf_of((doc,), Press(str(FONTS), Stamp("2026-05-02", "abc")), "a", doc.language)
    )
    text = Made(tmp_path, None).text("a.pdf")  # type: ignore[arg-type]
    assert "FOUND BY THE" in text
    assert "found by the" not in text


def test_values_are_carried_over_in_any_order_and_names_are_kept() -> None:
    told = Phrases(
        {
            "{0} A device, conductor {1} A ({2})": "Leiter {1} A, Gerät {0} A ({2})",
            ", used here as the shop's own rule": ", hier als Hausregel",
            "{0}: an overload heats the cable": "{0}: Überlast erhitzt das Kabel",
            "main switch": "Hauptschalter",
        },
        frozenset({"main switch"}),
    )
    assert (
        told.said(
            "30 A device, conductor 28.7 A (row 10, used here as the shop's own rule): an overload heats the cable."
        )
        == "Leiter 28.7 A, Gerät 30 A (row 10, hier als Hausregel): Überlast erhitzt das Kabel."
    )
    assert told.said("main switch") == "main switch"
    assert told.said("nothing of this is known") == "nothing of this is known"


def test_a_text_of_ten_thousand_letters_is_turned_in_no_time() -> None:
    told = Phrases({t: t for t in templates()})
    start = time.process_time()
    text = "a and b, of the is to " * 500
    assert told.said(text) == text
    assert time.process_time() - start < 5


def test_every_language_answers_every_sentence_with_its_own_numbers_in_braces() -> None:
    for language in languages():
        if language != "en":
            answers = words(language).sentences
            assert set(answers) == set(templates())
            for template, answer in answers.items():
                assert blanks(answer) <= blanks(template), template


def test_a_language_that_has_no_file_is_a_mistake_of_the_rig(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(SMALL.replace("units: us", "units: us, language: xx"))
    with pytest.raises(OhmwrightError, match="no papers in 'xx'"):
        papers(str(tmp_path / "rig.yaml"), str(tmp_path / "out"))


def test_a_skeleton_for_a_translator_has_everything_and_reads_back() -> None:
    script = _script()
    text = script.skeleton("nb")
    found = read_tree(text, "nb.yaml")
    assert isinstance(found, Mapping)
    pairs = found.get("sentences")
    assert isinstance(pairs, Sequence)
    assert len(pairs.items) == sum(map(len, script.sentences().values()))
