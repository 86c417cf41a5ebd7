"""The shelf on the bench: what no page proves is marked, and a page typed there proves it, in one line of the shop's own file."""

from pathlib import Path

import pytest
from tests.web.conftest import Asked

from ohmwright.services.opening import shop_shelf
from ohmwright.services.shelf import owes
from ohmwright.store.jobs import Job
from ohmwright.working import Figure

SHOP = """\
# what the shop buys
ohmwright-shelf: 1
parts:
  fuse-shop-60a:      # the blue drawer
    kind: fuse
    title: bolt fuse 60 A
    rated: 60 A
    voltage: 58 V (s)
    interrupt: 2 kA @ 58 V DC (s)
  breaker-shop: {kind: breaker, title: breaker of the shop, rated: 30 A @ 40 degC (s)}
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop's shelf with figures that nobody has looked up."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "ours.yaml").write_text(SHOP, encoding="utf-8")
    monkeypatch.setenv("OHMWRIGHT_SHELF", str(folder))
    return folder / "ours.yaml"


def _sent(bench: Asked, part: str, **more: str) -> tuple[int, str]:
    told = {
        "sheet": "bolt fuses",
        "dated": "2026-01-10",
        **{k.replace("__", "."): v for k, v in more.items()},
    }
    answer = bench.post(f"/shelf/part/{part}", told)
    return answer.status_code, answer.text


def test_a_page_and_a_condition_prove_a_figure_and_nothing_else_moves(bench: Asked, shop: Path) -> None:
    """By hand: the fuse owes a page of three figures and a condition of its rating; a page proves what it stands beside."""
    assert "CONDITION" in bench.get("/shelf/part/fuse-shop-60a").text
    before = set(owes("fuse-shop-60a"))
    assert ("fuse-shop-60a", "rated", "no condition", "60 A") in before
    status, _ = _sent(
        bench, "fuse-shop-60a", value__rated="60 A", condition__rated="25 degC", page__rated="p1",
        value__voltage="58 V", value__interrupt="2 kA", condition__interrupt="58 V DC", page__interrupt="p2",
        value__resistance="1.1 mohm", page__resistance="p2",
    )  # fmt: skip
    assert status == 303
    text = shop.read_text(encoding="utf-8")
    assert text.splitlines()[:4] == [
        "# what the shop buys",
        "ohmwright-shelf: 1",
        'sources: {d1: {title: "bolt fuses", dated: "2026-01-10"}}',
        "parts:",
    ]
    assert "  fuse-shop-60a:      # the blue drawer" in text
    assert text.splitlines()[-1] == SHOP.splitlines()[-1], "another part stays as it is"
    record = shop_shelf().find("fuse-shop-60a")
    assert record is not None
    rated, volts, interrupt, ohm = (
        record.figures[n] for n in ("rated", "voltage", "interrupt", "resistance")
    )
    assert isinstance(rated, Figure)
    assert (rated.value, rated.condition, str(rated.origin)) == (60, "25 degC", "source d1 p1")
    assert isinstance(volts, Figure)
    assert not volts.origin.verified, "it got no page"
    assert isinstance(interrupt, Figure)
    assert str(interrupt.origin) == "source d1 p2"
    assert isinstance(ohm, Figure)
    assert {(n, d) for _, n, d, _ in owes("fuse-shop-60a") if d in ("no page", "no condition")} == {
        ("voltage", "no page")
    }
    page = bench.get("/shelf/part/fuse-shop-60a").text
    assert "source d1 p1" in page
    assert "1 figure is not proved" in page
    _sent(bench, "fuse-shop-60a", value__voltage="58 V", page__voltage="p1")
    assert shop.read_text(encoding="utf-8").count("bolt fuses") == 1, "one sheet has one tag"
    assert "Every figure on file has its page" in bench.get("/shelf/part/fuse-shop-60a").text


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"value__rated": "60 A", "page__rated": "p1"}, "rating without its condition"),
        ({"value__rated": "60 V", "condition__rated": "25 degC", "page__rated": "p1"}, "wanted is one in A"),
        ({"value__rated": "sixty", "page__rated": "p1"}, "sixty"),
        ({"value__rated": "60 A", "condition__rated": "25 degC", "page__rated": "the back"}, "page"),
        ({"value__rated": "60 A"}, "no figure has a page yet"),
        ({"value__rated": "60 A (d9 p9", "page__rated": "p1"}, "rated"),
        (
            {"sheet": " ", "value__voltage": "58 V", "page__voltage": "p1"},
            "title of the data sheet is missing",
        ),
        ({"value__nonsense": "1 V", "page__nonsense": "p1"}, "no figure of a"),
    ],
)
def test_what_proves_nothing_is_refused_beside_what_was_typed(
    bench: Asked, shop: Path, more: dict[str, str], says: str
) -> None:
    status, page = _sent(bench, "fuse-shop-60a", **more)
    assert status == 422
    assert says in page
    assert shop.read_text(encoding="utf-8") == SHOP
    if "value__rated" in more:
        assert f'value="{more["value__rated"]}"' in page


def test_one_of_our_generic_parts_takes_no_page_but_leads_to_a_new_one(bench: Asked, shop: Path) -> None:
    status, page = _sent(bench, "fuse-class-t-300a", value__voltage="125 V", page__voltage="p1")
    assert status == 422
    assert "no data sheet proves" in page
    assert (
        "/shelf/add?kind=fuse&amp;like=fuse-class-t-300a" in bench.get("/shelf/part/fuse-class-t-300a").text
    )
    form = bench.get("/shelf/add?kind=fuse&like=fuse-class-t-300a").text
    assert "the generic part says 300 A 25 degC" in form
    assert 'value="300 A"' not in form, "what is invented is never filled in"
    assert shop.read_text(encoding="utf-8") == SHOP


def test_a_rating_for_seconds_is_typed_with_its_seconds_as_the_condition(bench: Asked, shop: Path) -> None:
    made = bench.post(
        "/shelf/add",
        {"kind": "battery", "part": "battery-shop", "title": "of the shop", "sheet": "cells", "dated": "2026-02-02", "to": "shop",
         "value.discharge_peak": "400 A", "condition.discharge_peak": "10 s", "page.discharge_peak": "p3"},
    )  # fmt: skip
    assert made.status_code == 303, made.text
    assert (shop.parent / "battery-shop.yaml").is_file()
    record = shop_shelf().find("battery-shop")
    assert record is not None
    peak = record.figures["discharge_peak"]
    assert isinstance(peak, Figure)
    assert (peak.value, peak.seconds) == (400, 10)


def test_what_a_job_keeps_for_itself_is_listed_and_proved_there(bench: Asked) -> None:
    """The trailer's own shelf has `source: d0 p2` for its modules, so a page of a new sheet gets a tag of its own."""
    assert "/shelf?job=trailer" in bench.get("/shelf").text
    listed = bench.get("/shelf?job=trailer").text
    assert "module-200w" in listed
    assert "fuse-class-t-300a" not in listed
    own = bench.folder / "trailer" / "shelf" / "sheets.yaml"
    before = own.read_text(encoding="utf-8").splitlines()
    answer = bench.post(
        "/shelf/part/module-200w",
        {
            "job": "trailer",
            "sheet": "modules",
            "dated": "2026-03-03",
            "value.mass": "11.2 kg",
            "page.mass": "p4",
        },
    )
    assert answer.status_code == 303
    after = own.read_text(encoding="utf-8").splitlines()
    assert [line for line in before if line not in after] == [
        next(line for line in before if line.lstrip().startswith("module-200w"))
    ]
    record = shop_shelf(Job(str(bench.folder / "trailer"))).find("module-200w")
    assert record is not None
    mass = record.figures["mass"]
    assert isinstance(mass, Figure)
    assert (mass.value, str(mass.origin)) == (11.2, "source d9 p4")
    assert bench.get("/shelf?job=nix").status_code == 404


def test_a_part_with_a_hostile_name_or_file_stays_text(bench: Asked, shop: Path) -> None:
    shop.write_text(SHOP.replace("bolt fuse 60 A", '"<img src=x onerror=alert(1)>"'), encoding="utf-8")
    page = bench.get("/shelf/part/fuse-shop-60a").text
    assert "<img" not in page
    _sent(bench, "fuse-shop-60a", sheet='<script>"\\x', value__voltage="58 V", page__voltage="p1")
    assert "<script>" not in bench.get("/shelf/part/fuse-shop-60a").text.replace('<script src="', "")
    assert shop_shelf().find("fuse-shop-60a") is not None


def test_what_is_owed_stands_first_and_what_is_not_on_file_last(bench: Asked, shop: Path) -> None:
    """By the file: of three figures on file the one with a page comes behind the two without."""
    shop.write_text(SHOP.replace("rated: 60 A", "rated: 60 A @ 25 degC (d1 p1)"), encoding="utf-8")
    page = bench.get("/shelf/part/fuse-shop-60a").text
    order = [page.index(f'name="value.{n}"') for n in ("voltage", "interrupt", "rated", "melting")]
    assert order == sorted(order)
