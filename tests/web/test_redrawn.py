"""After a change only what of the drawing is otherwise is sent, and put in place it is the drawing."""

import re
from xml.etree import ElementTree as ET

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
