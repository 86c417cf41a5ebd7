"""After a change only what of the drawing is otherwise is sent, and put in place it is the drawing."""

import re
from xml.etree import ElementTree as ET

import pytest
from tests.web.conftest import Asked

from ohmwright.services.desk import Desk, Look, Put
from ohmwright.services.sheets import circuits
from ohmwright.web.circuit import marks_of
from ohmwright.web.redrawn import notes_between, pieces_between

HX = {"hx-request": "true"}


def _tree(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def _same(a: ET.Element, b: ET.Element) -> bool:
    for e in (*a.iter(), *b.iter()):
        e.tail = None
    return ET.tostring(a) == ET.tostring(b)


def _changed(bench: Asked, address: str, value: str) -> tuple[Look, Look]:
    desk = Desk(str(bench.folder))
    before = desk.look("trailer")
    return before, desk.put("trailer", before.sha256, [Put(address, value)]).after


def test_pieces_put_in_place_give_the_whole_drawing(bench: Asked) -> None:
    before, after = _changed(bench, "W12.length", "1.4 m")
    old = circuits(before)
    new = circuits(after, previous=old.kept)
    pieces = pieces_between(old, new)
    assert pieces
    trees = [_tree(s.svg) for s in old.sheets]
    for tree in trees:
        assert len(tree) > 10
    for piece in pieces:
        trees[piece.sheet][piece.at] = _tree(f'<svg xmlns="http://www.w3.org/2000/svg">{piece.svg}</svg>')[0]
    assert all(_same(tree, _tree(s.svg)) for tree, s in zip(trees, new.sheets, strict=True))
    assert sum(len(p.svg) for p in pieces) < sum(len(s.svg) for s in new.sheets) / 3


def test_a_drawing_of_other_sheets_is_sent_whole(bench: Asked, reading: Asked) -> None:
    trailer = circuits(Desk(str(bench.folder)).look("trailer"))
    cabin = circuits(Desk(str(reading.folder)).look("cabin"))
    assert pieces_between(trailer, cabin) is None
    assert pieces_between(None, cabin) is None


def test_only_notes_that_say_something_else_are_sent(bench: Asked) -> None:
    before, after = _changed(bench, "W12.length", "1.2 m")
    old = circuits(before)
    new = circuits(after, previous=old.kept)
    changed = notes_between(marks_of(before, old), marks_of(after, new))
    assert changed is not None
    assert 0 < len(changed) < len(new.notes) / 2
    told = {(m.finding.rule, m.finding.subject): m.finding.message for m in marks_of(before, old)}
    assert all(told[m.finding.rule, m.finding.subject] != m.finding.message or m.zone for m in changed)


def test_a_change_whose_drawing_is_quick_brings_it_along(bench: Asked, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr("ohmwright.web.bench.AT_ONCE_S", 60.0)
    bench.get("/jobs/trailer/one-line")
    form = {
        "opened": bench.opened("trailer"),
        "piece": "one-line",
        "choose": "W12",
        "set.W12.length": "1.4 m",
    }
    answer = bench.post("/jobs/trailer/put", form, headers=HX)
    redrawn = answer.text.partition('id="redrawn"')[2]
    assert re.search(r'<svg data-sheet="\d" data-at="\d+"><g data-ref="W12">', redrawn)
    assert "drawn=1" in answer.text


ROW = re.compile(r'<tr data-row="([^"]+)".*?</tr>', re.DOTALL)


def _rows(html: str) -> dict[str, str]:
    table = html.partition('id="rows"')[2].partition("</table>")[0]
    return {m[1]: m[0] for m in ROW.finditer(table)}


def _shown(html: str) -> str:
    found = re.search(r'id="rows" data-of="(\w+)"', html)
    assert found
    return found[1]


def _edit(bench: Asked, shown: str, length: str) -> str:
    form = {
        "opened": bench.opened("trailer"),
        "piece": "one-line",
        "choose": "W12",
        "list": "runs",
        "rows": shown,
    }
    answer = bench.post("/jobs/trailer/put", {**form, "set.W12.length": length}, headers=HX)
    assert answer.headers["x-put"] == "done"
    return answer.text


def _news(html: str) -> tuple[str, str, dict[str, str]]:
    found = re.search(r'<div id="rerowed"[^>]* data-was="(\w+)" data-of="(\w+)">(.*?)</div>', html, re.DOTALL)
    assert found
    return found[1], found[2], {m[1]: m[0] for m in ROW.finditer(found[3])}


@pytest.mark.parametrize("at_once_s", [60.0, 0.0])
def test_rows_put_in_place_give_the_whole_schedule(
    bench: Asked, monkeypatch: pytest.MonkeyPatch, at_once_s: float
) -> None:
    monkeypatch.setattr("ohmwright.web.bench.AT_ONCE_S", at_once_s)
    page = bench.get("/jobs/trailer/one-line?choose=W12&list=runs").text
    rows, shown, was = _rows(page), _shown(page), bench.opened("trailer")
    for length in ("1.4 m", "6 m"):
        answer = _edit(bench, shown, length)
        assert 'id="rows"' not in answer
        held_against, shown_now, news = _news(answer)
        assert held_against == shown
        assert "W12" in news
        assert len(news) < len(rows) / 2
        rows, shown = {**rows, **news}, shown_now
        if not at_once_s:
            now = bench.opened("trailer")
            with monkeypatch.context() as m:
                m.setattr("ohmwright.web.beat._years", lambda *_: None)
                m.setattr("ohmwright.web.beat._gone", _gone)
                stream = bench.get(f"/jobs/trailer/beat?was={was}&becomes={now}&rows={shown}").text
            held_against, shown_now, news = _news(stream.replace("\ndata: ", "\n"))
            assert held_against == shown
            rows, shown, was = {**rows, **news}, shown_now, now
    assert rows == _rows(bench.get("/jobs/trailer/one-line?choose=W12&list=runs").text)


async def _gone(*_: object) -> bool:
    return True


def test_a_schedule_that_the_bench_does_not_remember_is_sent_whole(bench: Asked) -> None:
    bench.get("/jobs/trailer/one-line?choose=W12&list=runs")
    answer = _edit(bench, "", "1.4 m")
    assert len(_rows(answer)) > 40
    assert "data-was=" not in answer.partition('id="rerowed"')[2]
