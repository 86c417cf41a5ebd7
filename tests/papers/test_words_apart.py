"""No word of a paper lies on another, read from the PDF by poppler."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from tests.papers.packs import Made, Word, material

from ohmwright.papers.catalogue import words
from ohmwright.papers.contents import contents
from ohmwright.papers.press import Press, pdf_of
from ohmwright.papers.stamp import Stamp
from ohmwright.services.papers import FONTS

#: Points that boxes of words may share: they reach a little beyond the ink.
BESIDE_pt, ABOVE_ratio = 1.0, 0.35
MOST_ON_A_LINE = 400


def laid_over(told: list[Word]) -> Iterator[tuple[int, str, str]]:
    """Pairs of words whose boxes lie on each other, with their page."""
    down = sorted(told, key=lambda w: (w[0], w[2]))
    for k, (page, a1, b1, c1, d1, one) in enumerate(down):
        for other_page, a2, b2, c2, d2, other in down[k + 1 : k + MOST_ON_A_LINE]:
            if other_page != page or b2 > d1:
                break
            if min(c1, c2) - max(a1, a2) > BESIDE_pt and min(d1, d2) - b2 > ABOVE_ratio * min(
                d1 - b1, d2 - b2
            ):
                yield page, one, other


def test_no_word_of_a_pack_lies_on_another(trailer: Made, van: Made) -> None:
    for pack in (trailer, van):
        for paper in pack.done.made:
            if paper["format"] == "pdf" and paper["paper"] != "binder":
                assert not list(laid_over(pack.words(paper["file"]))), paper["file"]


def test_a_verdict_that_fills_its_line_stands_clear_of_the_code_on_the_contents_page(tmp_path: Path) -> None:
    m = replace(
        material("boat/rig.yaml", words("en")),
        statement="No danger found among the 153 rules applied, but 1 danger cannot be told.",
    )
    page = tmp_path / "contents.pdf"
    press = Press(str(FONTS), Stamp("2026-05-02", "abc"))
    page.write_bytes(
        pdf_of([contents(m, [("How it lives", "how-it-lives.pdf", "0" * 12)])], press, "Contents")
    )
    read = Made(tmp_path, None).words("contents.pdf")  # type: ignore[arg-type]
    assert "153" in [w[-1] for w in read]
    assert not list(laid_over(read))
