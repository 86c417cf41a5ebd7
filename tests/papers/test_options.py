"""The quote's options: whole rigs side by side, each told from its own model; two pages in all."""

import shutil
from pathlib import Path

import pytest
from tests.papers.packs import DEMOS, EPOCH, Made

from ohmwright.checks.place.weight import laden_of
from ohmwright.papers.options import _first
from ohmwright.services.papers import papers
from ohmwright.services.year_kept import year_kept
from ohmwright.working import OhmwrightError, known

NAMES = ("rig.yaml", "rig-swapped.yaml", "rig-built.yaml")


@pytest.fixture(scope="module")
def quoted(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The trailer as quoted, with what else is offered."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        out = tmp_path_factory.mktemp("quoted")
        return Made(out, papers(str(DEMOS / "trailer" / "rig.yaml"), str(out), years=1))


def test_a_quote_with_options_is_two_pages(quoted: Made) -> None:
    assert quoted.about("quote.pdf")[0] == 2
    assert "What else there is" in quoted.text("quote.pdf", "-f", "2")


def test_each_column_tells_what_its_own_rig_tells(quoted: Made) -> None:
    from ohmwright.services.check import check
    from ohmwright.services.opening import open_rig

    page = quoted.text("quote.pdf", "-f", "2")
    rows = {"weight left": [], "may it be built": []}  # type: dict[str, list[str]]
    for name in NAMES:
        rig = DEMOS / "trailer" / name
        done = check(str(rig))
        laden, _ = laden_of(done.study)
        gross = known(done.study.rig.host.masses["gvwr"])
        assert laden
        assert gross
        rows["weight left"].append(f"{gross.value - laden.value:.0f} kg")
        dangers = len(done.dangers())
        rows["may it be built"].append(f"NO: dangers {dangers}" if dangers else "no danger among")
        year = year_kept(open_rig(str(rig)), years=1)
        for promise in year.promises:
            assert promise.got.rstrip(".").partition(";")[0] in page
    row = quoted.text("quote.pdf", "-layout", "-f", "2")
    assert "weight left " + " ".join(rows["weight left"]) in row
    for told in rows["may it be built"]:
        assert told in page


def test_what_differs_from_the_first_is_underlined_and_nothing_else() -> None:
    from tests.papers.packs import material

    from ohmwright.papers.catalogue import words
    from ohmwright.papers.doc import Bids
    from ohmwright.papers.labour import costing
    from ohmwright.papers.options import Bid, tabulation
    from ohmwright.papers.order_list import order_for

    made = [material(f"trailer/{name}", words()) for name in NAMES]
    table = next(
        b for b in tabulation(tuple(Bid(m, costing(m, order_for(m))) for m in made)) if isinstance(b, Bids)
    )
    assert len(table.heads) == 4
    assert table.rows
    for question, answers in table.rows:
        assert [marked for _, marked in answers] == [a != answers[0][0] for a, _ in answers], question


def test_an_option_that_is_not_there_is_told_and_stops_nothing(tmp_path: Path) -> None:
    text = (DEMOS / "trailer" / "rig.yaml").read_text()
    shutil.copytree(DEMOS / "trailer" / "shelf", tmp_path / "shelf")
    (tmp_path / "rig.yaml").write_text(text.replace("rig-swapped.yaml, rig-built.yaml", "../../gone.yaml"))
    done = Made(tmp_path / "out", papers(str(tmp_path / "rig.yaml"), str(tmp_path / "out"), years=1))
    assert done.has("quote.pdf", "Option ../../gone.yaml is named in the file and could not be read")


def test_what_the_call_names_must_be_there_and_be_two_at_most(tmp_path: Path) -> None:
    rig = str(DEMOS / "trailer" / "rig.yaml")
    with pytest.raises(OhmwrightError):
        papers(rig, str(tmp_path), years=1, options=("gone.yaml",))
    with pytest.raises(OhmwrightError, match="3 options"):
        papers(rig, str(tmp_path), years=1, options=(rig, rig, rig))


def test_a_long_answer_ends_where_one_of_its_clauses_does() -> None:
    told = "6 nights from any day of setting out in 62 of 100 years, from 91 of 102 such days over all years; in one year in 10 the worst of them gives 3 nights"

    assert _first(told) == "6 nights from any day of setting out in 62 of 100 years"
    assert _first("kept on every day in 54 of 100 years") == "kept on every day in 54 of 100 years"
