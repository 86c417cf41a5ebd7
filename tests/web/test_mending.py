"""The mend sheet: answers one by one, each proved again before it goes into the file; long work that can be ended."""

import re
from threading import Event

import pytest
from tests.web.conftest import Asked, ended

from ohmwright.checks.types import Finding
from ohmwright.mend.edits import SetAt
from ohmwright.mend.types import Change
from ohmwright.rig.edit import set_value
from ohmwright.services.desk import Desk
from ohmwright.services.mend import mend
from ohmwright.services.mending import Item, NeedsError, accepted, items_of
from ohmwright.web.app import make_app
from ohmwright.web.works import Work, Works
from ohmwright.working import OhmwrightError


def _finding(rule: str, subject: str) -> Finding:
    return Finding(rule, "C1", subject, "danger", "fail", "in a test")


def _item(number: int, address: str, value: str, rule: str = "wiring/overload") -> Item:
    return Item(
        number,
        _finding(rule, address.partition(".")[0]),
        (Change("cable", address, "", value, (SetAt(address, value),)),),
    )


def test_an_answer_that_brings_a_danger_is_not_put_in(bench: Asked) -> None:
    """A 12 AWG conductor behind 60 A is a danger in every table of the rule sets."""
    look = Desk(str(bench.folder)).look("trailer")
    thin = _item(1, "W20.cable", "12 AWG 105C red")
    with pytest.raises(OhmwrightError, match=r"brings a danger, C1 W20"):
        accepted(look, (thin,), frozenset({1}), frozenset({1}))


def test_an_answer_that_needs_another_says_which(bench: Asked) -> None:
    look = Desk(str(bench.folder)).look("trailer")
    thin, again = _item(1, "W20.cable", "12 AWG 105C red"), _item(2, "W20.cable", "4 AWG 105C red")
    with pytest.raises(NeedsError) as needs:
        accepted(look, (thin, again), frozenset({1, 2}), frozenset({1}))
    assert needs.value.more == {2}
    assert "4 AWG" in accepted(look, (thin, again), frozenset({1, 2}), frozenset({1, 2}))
    with pytest.raises(OhmwrightError, match="not put in"):
        accepted(look, (thin, again), frozenset({1}), frozenset({1}))


def test_an_answer_without_a_place_in_the_file_is_not_put_in(bench: Asked) -> None:
    look = Desk(str(bench.folder)).look("trailer")
    with pytest.raises(OhmwrightError, match="does not fit the file"):
        accepted(look, (_item(1, "W99.cable", "4 AWG"),), frozenset({1}), frozenset({1}))


def test_long_work_tells_how_far_it_is_and_ends_when_asked() -> None:
    works: Works[int] = Works()
    at_work, go_on = Event(), Event()

    def do(work: Work[int]) -> int:
        for n in range(1000):
            work.heed(f"{n} done")
            at_work.set()
            assert go_on.wait(5.0)
        return 1000

    work = works.begin("a", do)
    assert at_work.wait(5.0)
    assert works.begin("a", do) is work, "one at a time"
    assert work.going
    assert work.told == "0 done"
    work.stop()
    go_on.set()
    work.wait(5.0)
    assert (work.going, work.stopped, work.result) == (False, True, None)
    assert works.begin("a", lambda _: 7) is not work


def test_trouble_in_long_work_is_told() -> None:
    def do(_: Work[int]) -> int:
        raise OhmwrightError("the shelf is empty", remedy="fill it")

    work = Works[int]().begin("a", do)
    work.wait(5.0)
    assert "the shelf is empty" in work.trouble


def test_the_work_can_be_stopped_and_nothing_was_changed(bench: Asked) -> None:
    before = bench.text("trailer")
    assert bench.post("/jobs/trailer/mend/begin", {}).status_code == 303
    going = bench.get("/jobs/trailer/mend").text
    assert "Looking for answers" in going
    assert "Stop looking" in bench.get("/jobs/trailer/mend").text, "a reload finds it again"
    assert bench.post("/jobs/trailer/mend/stop", {}).status_code == 303
    assert "Stopped; nothing was changed" in ended(bench, "trailer", "mend")
    assert bench.text("trailer") == before


def test_what_was_not_found_cannot_be_accepted(bench: Asked) -> None:
    before = bench.text("trailer")
    for number in ("1", "0", "-1", "x", "", "1 2"):
        answer = bench.post(
            "/jobs/trailer/mend/settle",
            {"opened": bench.opened("trailer"), "number": number, "how": "accept"},
        )
        assert answer.status_code == 422
        assert "no such answer" in answer.text
    assert bench.text("trailer") == before


def test_an_issued_revision_is_not_mended(bench: Asked) -> None:
    bench.post("/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "IR"})
    assert "Look for answers" not in bench.get("/jobs/trailer@A/mend").text
    assert bench.post("/jobs/trailer@A/mend/begin", {}).status_code == 422


@pytest.mark.slow
def test_answers_are_those_of_the_command_and_go_in_one_by_one(bench: Asked) -> None:
    folder = str(bench.folder / "trailer")
    done = mend(folder)
    items = items_of(done)
    bench.post("/jobs/trailer/mend/begin", {})
    page = ended(bench, "trailer", "mend")
    assert len(re.findall(r'id="answer-\d+"', page)) == len(items)
    assert done.statement() in page
    assert f"{done.mended.price:.2f} {done.mended.currency}" in page
    assert not re.search(r"\bsafe", page, re.IGNORECASE)
    for item in items:
        assert all(c.address in page for c in item.changes)
    last = str(len(items))
    assert (
        bench.post(
            "/jobs/trailer/mend/settle", {"opened": bench.opened("trailer"), "number": last, "how": "pass"}
        ).status_code
        == 303
    )
    for item in items[:-1]:
        data = {"opened": bench.opened("trailer"), "number": str(item.number), "how": "accept"}
        assert bench.post("/jobs/trailer/mend/settle", data).status_code == 303, item.number
    page = bench.get("/jobs/trailer/mend").text
    assert page.count('<span class="word">accepted</span>') == len(items) - 1
    assert page.count('<span class="word">passed over</span>') == 1
    assert "What follows" in page
    bench.post(
        "/jobs/trailer/mend/settle", {"opened": bench.opened("trailer"), "number": last, "how": "again"}
    )
    data = {"opened": bench.opened("trailer"), "number": last, "how": "accept"}
    assert bench.post("/jobs/trailer/mend/settle", data).status_code == 303
    assert bench.text("trailer") == done.mended.text, (
        "all accepted, the file is the one that the command writes"
    )
    bench.post(
        "/jobs/trailer/step", {"opened": bench.opened("trailer"), "by": "undo", "back": "/jobs/trailer/mend"}
    )
    assert bench.get("/jobs/trailer/mend").text.count('<span class="word">accepted</span>') == len(items) - 1
    later = Asked(make_app(str(bench.folder)), bench.folder).get("/jobs/trailer/mend").text
    assert later.count('<span class="word">accepted</span>') == len(items) - 1, (
        "a restart finds what was settled"
    )
    text = set_value(bench.text("trailer"), "rig.yaml", "W12.length", "1.1 m")
    (bench.folder / "trailer" / "rig.yaml").write_text(text, encoding="utf-8")
    page = bench.get("/jobs/trailer/mend").text
    assert "has changed since these answers were found" in page
    assert ">Accept answer" not in page
