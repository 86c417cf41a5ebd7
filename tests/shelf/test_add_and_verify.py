"""A part from its data sheet, and what a record still owes."""

import pytest

from ohmwright.shelf.add import extended, new_record_text
from ohmwright.shelf.load import Shelf
from ohmwright.shelf.verify import owed
from ohmwright.working import Figure, OhmwrightError

GOOD = {
    "rated": "80 A @ 25 degC (p1)",
    "voltage": "80 V (p1)",
    "interrupt": "30 kA @ 80 V DC (p2)",
    "resistance": "0.9 mohm (p2)",
}


def made(**change: str) -> tuple[str, list[str]]:
    return new_record_text(
        "fuse-ours-80a",
        "fuse",
        "fuse sheet rev C",
        "2026-03-01",
        {**GOOD, **change},
        {"class": "dc-power", "price": "41.50 USD 2026-03-01 4 days"},
    )


def test_a_new_part_is_read_back_with_page_condition_and_price() -> None:
    text, _ = made()
    found = Shelf(shop={"fuses.yaml": text}).find("fuse-ours-80a")
    assert found is not None
    rated = found.figures["rated"]
    assert isinstance(rated, Figure)
    assert (rated.value, rated.condition, str(rated.origin)) == (80, "25 degC", "source d1 p1")
    assert found.price is not None
    assert (found.price.amount, found.price.lead_days) == ("41.50", 4)
    assert found.words["class"] == "dc-power"


def test_what_the_kind_still_lacks_is_named() -> None:
    text, missing = made()
    assert "melting" in missing
    assert "trips-at-200" in missing
    assert "rated" not in missing
    assert "not on file yet" in text


@pytest.mark.parametrize(
    ("figure", "value", "says"),
    [
        ("rated", "80 A @ 25 degC", "page"),
        ("rated", "80 A @ 25 degC (o)", "page"),
        ("rated", "80 A @ 25 degC (m 2026-05-02)", "page"),
        ("rated", "80 A (p1)", "without its condition"),
        ("interrupt", "30 kA (p2)", "without its condition"),
        ("interrupt", "30 kA @ 25 degC (p2)", "without its condition"),
        ("rated", "80 V @ 25 degC (p1)", "wanted is one in A"),
        ("rated", "80 @ 25 degC (p1)", "no unit"),
        ("raetd", "80 A @ 25 degC (p1)", "did you mean rated"),
    ],
)
def test_a_figure_that_would_mislead_is_refused(figure: str, value: str, says: str) -> None:
    with pytest.raises(OhmwrightError, match=says):
        made(**{figure: value})


@pytest.mark.parametrize(
    ("part", "kind", "says"),
    [
        ("Fuse 80", "fuse", "no id"),
        ("fuse", "fuse", "name of a kind"),
        ("fuse-ours-80a", "fuze", "did you mean fuse"),
    ],
)
def test_a_part_that_cannot_be_named_is_refused(part: str, kind: str, says: str) -> None:
    with pytest.raises(OhmwrightError, match=says):
        new_record_text(part, kind, "a sheet", "2026-03-01", GOOD, {})


def test_a_sheet_without_a_title_is_refused() -> None:
    with pytest.raises(OhmwrightError, match="title"):
        new_record_text("fuse-ours-80a", "fuse", " ", "2026-03-01", GOOD, {})


def test_a_word_that_the_kind_does_not_know_is_refused() -> None:
    with pytest.raises(OhmwrightError, match="none of its words"):
        new_record_text("fuse-ours-80a", "fuse", "a sheet", "2026-03-01", GOOD, {"class": "purple"})
    with pytest.raises(OhmwrightError, match="did you mean class"):
        new_record_text("fuse-ours-80a", "fuse", "a sheet", "2026-03-01", GOOD, {"clas": "bolt"})


def test_words_that_mean_something_to_a_file_stay_text() -> None:
    """A title may hold colons, quotes and brackets; it must not open a new key."""
    nasty = 'fuse "80 A": {rated: 1 A} # no'
    text, _ = new_record_text("fuse-ours-80a", "fuse", nasty, "2026-03-01", GOOD, {"title": nasty})
    found = Shelf(shop={"fuses.yaml": text}).find("fuse-ours-80a")
    assert found is not None
    assert found.title == nasty


def test_a_file_of_parts_grows_by_one_and_keeps_the_rest() -> None:
    first, _ = made()
    second, _ = new_record_text(
        "fuse-ours-100a", "fuse", "other sheet", "2026-04-01", {**GOOD, "rated": "100 A @ 25 degC (p3)"}, {}
    )
    text = extended(first, second, "fuses.yaml")
    for line in first.splitlines():
        if not line.startswith("sources"):
            assert line in text.splitlines()
    shelf = Shelf(shop={"fuses.yaml": text})
    old, new = shelf.find("fuse-ours-80a"), shelf.find("fuse-ours-100a")
    assert old is not None
    assert new is not None
    was, is_now = old.figures["rated"], new.figures["rated"]
    assert isinstance(was, Figure)
    assert isinstance(is_now, Figure)
    assert (str(was.origin), str(is_now.origin)) == ("source d1 p1", "source d2 p3")
    assert "d1:" in text
    assert "d2:" in text


def test_a_hand_written_file_grows_too() -> None:
    by_hand = "ohmwright-shelf: 1\n# ours\nparts:\n  fuse-a-80a: {like: fuse-class-t-80a}   # the old stock\n# the end\n"
    second, _ = made()
    text = extended(by_hand, second, "fuses.yaml")
    assert "# the old stock" in text
    assert "# the end" in text
    assert set(Shelf(shop={"fuses.yaml": text})) >= {"fuse-a-80a", "fuse-ours-80a"}


def test_the_same_part_twice_is_refused() -> None:
    text, _ = made()
    with pytest.raises(OhmwrightError, match="already"):
        extended(text, text, "fuses.yaml")


def test_an_invented_part_owes_every_page() -> None:
    record = Shelf().find("module-410w")
    assert record is not None
    debts = {o.name: o.debt for o in owed(record)}
    assert debts["beta"] == "no page"
    assert debts["noct"] == "class default"
    assert debts["beta-voltage"] == "not on file"


def test_a_part_with_pages_owes_only_what_is_missing() -> None:
    text, missing = made()
    record = Shelf(shop={"fuses.yaml": text}).find("fuse-ours-80a")
    assert record is not None
    found = owed(record)
    assert {o.debt for o in found} == {"not on file", "unknown"}
    assert [o.name for o in found if o.debt == "not on file"] == missing


def test_a_rating_without_its_condition_is_owed() -> None:
    record = Shelf(
        shop={
            "s.yaml": "ohmwright-shelf: 1\nparts:\n  my-fuse: {like: fuse-class-t-80a, rated: 80 A (d1 p1)}\n"
        }
    ).find("my-fuse")
    assert record is not None
    assert ("rated", "no condition") in {(o.name, o.debt) for o in owed(record)}


def test_an_unknown_word_and_an_asked_figure_are_owed() -> None:
    record = Shelf(
        shop={
            "s.yaml": "ohmwright-shelf: 1\nparts:\n  my-fuse: {kind: fuse, rated: unknown (asked 2026-04-02)}\n"
        }
    ).find("my-fuse")
    assert record is not None
    debts = {(o.name, o.debt) for o in owed(record)}
    assert ("rated", "unknown") in debts
    assert ("class", "unknown") in debts
