"""What the ledger says was cut, against what the rig wants: off-cuts come first, and nothing is cut twice."""

from pathlib import Path

import pytest

from ohmwright.rig.edit import set_value
from ohmwright.services import ledger, new
from ohmwright.services.ledger import cut_of
from ohmwright.services.opening import open_rig
from ohmwright.store.jobs import open_job
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.order import CableLine, Made, bench_of, order_of


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The trailer as quoted, of which the bench has cut both runs of 2 AWG red and one of another size."""
    folder = new.like(str(tmp_path / "larkspur"), "trailer")
    ledger.add(str(folder), "cut", ("W33", "W36"), dated="2026-04-20", by="bench")
    return folder


def _lines(job: Path) -> dict[str, CableLine]:
    opened = open_rig(str(job))
    takeoff = takeoff_of(opened.rig)
    order = order_of(takeoff, opened.shelf, "USD", bench_of(takeoff, cut_of(open_job(job))))
    return {f"{c.text} {c.colour}": c for c in order.cables}


def test_the_ledger_keeps_the_length_that_was_cut(job: Path) -> None:
    cuts = {c.piece: c for c in takeoff_of(open_rig(str(job)).rig).cuts}
    told = cut_of(open_job(job))
    assert [(m.run, m.cable, m.metres) for m in told] == [
        (w, cuts[w].cable, cuts[w].cut_m) for w in ("W33", "W36")
    ]


def test_what_is_cut_needs_no_coil_and_costs_the_customer_the_same(job: Path) -> None:
    opened = open_rig(str(job))
    takeoff = takeoff_of(opened.rig)
    plain = order_of(takeoff, opened.shelf, "USD")
    for before, after in zip(plain.cables, _lines(job).values(), strict=True):
        planned = {name for d in after.cutting.drums for name, _ in d.pieces}
        assert planned == {name for d in before.cutting.drums for name, _ in d.pieces} - {"W33", "W36"}
        assert (after.metres, after.bought_m, after.price) == (before.metres, before.bought_m, before.price)
    assert {name for c in _lines(job).values() for name in c.cut} == {"W33", "W36"}


def test_a_piece_that_is_not_wanted_any_more_is_an_off_cut_of_its_cable(job: Path) -> None:
    rig = job / "rig.yaml"
    was = {c.piece: c for c in takeoff_of(open_rig(str(job)).rig).cuts}["W33"]
    rig.write_text(set_value(rig.read_text(), "rig.yaml", "runs.W33.cable", "1 AWG 105C red"))
    lines = _lines(job)
    assert "W33" in {name for d in lines["1 AWG 105C red"].cutting.drums for name, _ in d.pieces}
    same = next(c for c in lines.values() if c.text == was.cable.removesuffix(" red") and c.colour == "red")
    spare = [d for d in same.cutting.drums if d.source == "off-cut"]
    assert [d.length_mm for d in spare] == [round((was.cut_m or 0) * 1000)]


def test_a_piece_cut_twice_is_an_off_cut_once(job: Path) -> None:
    ledger.add(str(job), "cut", ("W33",), dated="2026-04-21", by="bench")
    takeoff = takeoff_of(open_rig(str(job)).rig)
    bench = bench_of(takeoff, cut_of(open_job(job)))
    assert bench.cut == {"W33", "W36"}
    assert sum(len(x) for x in bench.offcuts.values()) == 1


def test_a_length_that_no_run_has_is_an_off_cut() -> None:
    takeoff = takeoff_of(open_rig(str(Path(new.__file__).parent / "demos" / "trailer" / "rig.yaml")).rig)
    bench = bench_of(takeoff, (Made("X99", "2 AWG 105C red", 2.5), Made("X99", "2 AWG 105C red", 1.0)))
    assert bench.cut == frozenset()
    assert bench.offcuts == {"2 AWG 105C red": (1000, 2500)}


def test_off_cuts_are_used_before_a_coil_is_opened(job: Path) -> None:
    opened = open_rig(str(job))
    takeoff = takeoff_of(opened.rig)
    cut = next(c for c in takeoff.cuts if c.run == "W36")
    bench = bench_of(takeoff, (Made("X99", cut.cable, 60.0),))
    plain, with_it = (
        next(
            c.cutting
            for c in order_of(takeoff, opened.shelf, "USD", b).cables
            if "W36" in {n for d in c.cutting.drums for n, _ in d.pieces}
        )
        for b in (None, bench)
    )
    assert (plain.coils, with_it.coils) == (1, 0)
    assert {d.source for d in with_it.drums if d.pieces} == {"off-cut"}
