"""The change order sheet says what the command says, and prints on two pages."""

import html
import re

import pytest
from tests.web.conftest import Asked, ended

from ohmwright.services.changes import findings_of, sides
from ohmwright.services.compare import compare, compare_json
from ohmwright.services.ledger import add
from ohmwright.web.app import make_app

PAIR = "/jobs/trailer/change-order?old=working&new=rig-swapped.yaml"


@pytest.fixture(scope="module")
def page(reading: Asked) -> str:
    return html.unescape(reading.get(PAIR).text)


def test_the_figures_are_those_of_the_command(reading: Asked, page: str) -> None:
    folder = reading.folder / "trailer"
    told = compare_json(compare(str(folder), str(folder / "rig-swapped.yaml")))
    assert (
        f"{len(told['changes'])} things are otherwise; {len(told['findings_new'])} findings are new, {len(told['findings_gone'])} are no longer open"
        in page
    )
    assert told["statement"] in page
    shown = len(re.findall(r'<th scope="row" class="wrap">[^<]+<br><span class="small">', page))
    unshown = re.search(r"(\d+) more figures moved", page)
    assert shown == len(told["figures"])
    assert unshown is not None
    for f in told["figures"]:
        assert f["name"] in page
    for f in told["findings_new"]:
        assert f["message"] in page
    for c in told["changes"]:
        assert f'<th scope="row" class="wrap">{c["address"]}</th>' in page


def test_what_weighs_most_comes_first(page: str) -> None:
    """A string in the cold above its controller's limit destroys it: it stands before all that only disappoints."""
    body = page.partition("New, and to be settled")[2]
    assert body.index("DANGER") < body.index("DISAPPOINTS") < body.index("CANNOT TELL")


def test_what_was_bought_in_vain_is_told_with_its_price(bench: Asked) -> None:
    folder = str(bench.folder / "trailer")
    add(folder, "bought", ("XJ",), amount="88.50 USD", dated="2026-05-02")
    page = bench.get(PAIR).text
    assert "88.50 USD" in page
    assert "Together 88.50 USD" in page
    assert "bought 2026-05-02" in page


def test_an_issued_revision_can_be_set_beside_the_working_file(bench: Asked) -> None:
    bench.post("/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "IR"})
    bench.put("trailer", "W12.length", "9 m")
    assert [s.key for s in sides(str(bench.folder / "trailer"))] == [
        "working",
        "@A",
        "rig-built.yaml",
        "rig-swapped.yaml",
    ]
    page = bench.get("/jobs/trailer/change-order?old=@A&new=working").text
    assert '<th scope="row" class="wrap">W12.length</th>' in page
    assert "From revision A to the working file" in page
    bench.put("trailer", "W12.length", "0.9 m")
    assert "0 things are otherwise" in bench.get("/jobs/trailer/change-order?old=@A&new=working").text


@pytest.mark.slow
def test_its_figures_can_be_asked_why_of_the_rig_that_becomes(bench: Asked) -> None:
    """A longer home run: volts, mass, cable, and what rules judge."""
    bench.post("/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "IR"})
    bench.put("trailer", "W07.length", "16 m")
    page = bench.get("/jobs/trailer/change-order?old=@A&new=working").text
    asked = re.findall(
        r'class="wrap"><a class="ask" href="([^"]+)">([^<]+)</a>.*?data-l="after">([^<]*)<', page
    )
    told = {name for _, name, _ in asked}
    assert {"home run, volts lost", "mass of the parts counted"} <= told
    for href, name, after in asked:
        answer = bench.get(html.unescape(href))
        assert answer.status_code == 200, name
        value = re.search(r'<p class="lead"><b>([^<]+)</b></p>', answer.text)
        if value and after != "none" and not name.startswith("promise"):
            assert float(value[1].split()[0]) == pytest.approx(float(after.split()[0]), rel=6e-4), name


@pytest.mark.parametrize(
    "pair",
    [
        "old=working&new=working",
        "old=working&new=../van/rig.yaml",
        "old=%3Cimg%3E&new=working",
        "old=@Z&new=working",
        "old=ledger.jsonl&new=working",
    ],
)
def test_what_cannot_be_set_side_by_side_is_refused(reading: Asked, pair: str) -> None:
    answer = reading.get(f"/jobs/trailer/change-order?{pair}")
    assert answer.status_code == 404
    assert "<img" not in answer.text
    assert "Not done" in answer.text


def test_a_file_with_a_hostile_name_stays_text_and_a_link_out_of_the_folder_is_not_followed(
    bench: Asked,
) -> None:
    folder = bench.folder / "trailer"
    evil = '"><img src=x onerror=alert(1)>.yaml'
    (folder / evil).write_text(
        bench.text("trailer").replace("length: 0.9 m", "length: 1.9 m"), encoding="utf-8"
    )
    (folder / "notes.yaml").write_text("shopping: list\n", encoding="utf-8")
    (folder / "link.yaml").symlink_to(folder / "rig-built.yaml")
    for path in ("/jobs/trailer/change-order", ""):
        page = bench.send(
            "GET",
            path or "/jobs/trailer/change-order",
            params={} if path else {"old": "working", "new": evil},
        ).text
        assert "<img" not in page
        assert "notes.yaml" not in page
        assert "link.yaml" not in page
    assert "W12.length" in page


def test_findings_of_one_rule_share_a_line_and_none_is_lost(reading: Asked) -> None:
    folder = reading.folder / "trailer"
    gone = compare(str(folder), str(folder / "rig-swapped.yaml"), with_papers=False).follows.findings_gone
    grouped = findings_of(gone)
    assert len(grouped) < len(gone)
    assert {(g.first.rule, s) for g in grouped for s in g.subjects} == {(f.rule, f.subject) for f in gone}


def test_the_paper_to_sign_is_made_and_taken_away_and_goes_stale_with_the_rig(bench: Asked) -> None:
    data = {"old": "working", "new": "rig-swapped.yaml"}
    assert bench.get("/jobs/trailer/change-order/paper/change-order.pdf").status_code == 404
    assert bench.post("/jobs/trailer/change-order/paper", {**data, "new": "../x"}).status_code == 422
    assert bench.post("/jobs/trailer/change-order/paper", data, token="wrong").status_code == 422
    assert bench.post("/jobs/trailer/change-order/paper", data).status_code == 303
    ended(bench, "trailer", "change-order")
    assert "change-order.pdf" in bench.get(PAIR).text
    assert "change-order.pdf" not in bench.get(PAIR.replace("swapped", "built")).text, "of another order"
    again = Asked(make_app(str(bench.folder)), bench.folder)
    assert "change-order.pdf" in again.get(PAIR).text, "a bench that is started again finds it"
    taken = bench.get("/jobs/trailer/change-order/paper/change-order.pdf")
    assert taken.content.startswith(b"%PDF")
    assert taken.headers["content-disposition"].startswith("attachment")
    assert bench.get("/jobs/trailer/change-order/paper/..%2f..%2frig.yaml").status_code == 404
    bench.put("trailer", "W12.length", "9 m")
    assert "Make the paper to sign" in bench.get(PAIR).text
