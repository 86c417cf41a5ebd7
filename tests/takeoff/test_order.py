"""The order against the cut list and the shelf."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from ohmwright.services.opening import open_rig
from ohmwright.shelf.record import Record, Shelf
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.order import order_of
from ohmwright.working import known

DEMOS = Path(__file__).resolve().parents[2] / "src" / "ohmwright" / "services" / "demos"


@pytest.mark.parametrize(
    "name", ["trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml"]
)
def test_metres_ordered_are_the_metres_cut_each_cable_once(name: str) -> None:
    opened = open_rig(str(DEMOS / name))
    takeoff = takeoff_of(opened.rig)
    order = order_of(takeoff, opened.shelf, opened.rig.job.currency)
    pieces = {c.piece: c.cut_m for c in takeoff.cuts if not c.made and c.cut_m is not None}
    assert sum(c.metres for c in order.cables) == pytest.approx(sum(pieces.values()))
    assert sum(c.pieces for c in order.cables) == len(pieces)
    assert all(c.bought_m >= c.metres for c in order.cables)


def test_lugs_ordered_are_the_rings_of_the_cut_list() -> None:
    opened = open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))
    takeoff = takeoff_of(opened.rig)
    order = order_of(takeoff, opened.shelf, "USD")
    rings = Counter(e for c in takeoff.cuts if not c.made for e in (c.lug_a, c.lug_b) if e.startswith("ring"))
    assert {f"ring {x.size} {x.stud}": x.count for x in order.lugs} == dict(rings)


def test_a_cables_price_is_metres_bought_times_the_shelfs_price() -> None:
    opened = open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))
    order = order_of(takeoff_of(opened.rig), opened.shelf, "USD")
    # 4/0 AWG 105C red: 15 pieces, 5.15 m by the cut list, 5 % spare -> 6 m at 39 USD (shelf/parts/cables.yaml).
    heavy = next(c for c in order.cables if c.text == "4/0 AWG 105C" and c.colour == "red")
    assert heavy.metres == pytest.approx(5.15)
    assert heavy.bought_m == 6.0
    assert heavy.price == Decimal("234.00")


class _Few:
    """A shelf with some of another shelf's records."""

    def __init__(self, whole: Shelf, *names: str) -> None:
        self.whole, self.names = whole, names

    def find(self, id: str) -> Record | None:  # noqa: A002 - the shelf's own word
        return self.whole.find(id) if id in self.names else None

    def __iter__(self) -> Iterator[str]:
        return iter(self.names)


def test_a_lug_of_another_size_is_no_lug_for_this_cable() -> None:
    # 4/0 AWG is 107 mm2 (ASTM B258); rings of 95 and of 120 mm2 are not its crimp.
    opened = open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))
    few = _Few(opened.shelf, "lug-95mm2-m10", "lug-120mm2-m10")
    order = order_of(takeoff_of(opened.rig), few, "USD")
    assert {(x.record, x.price) for x in order.lugs if x.size == "4/0 AWG"} == {("", None)}


@pytest.mark.parametrize("name", ["trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml"])
def test_every_lug_of_a_demo_job_is_on_the_shelf_in_its_own_size(name: str) -> None:
    opened = open_rig(str(DEMOS / name))
    order = order_of(takeoff_of(opened.rig), opened.shelf, opened.rig.job.currency)
    assert order.lugs
    for x in order.lugs:
        record = opened.shelf.find(x.record)
        assert record is not None, x
        assert record.title == f"Ring lug {x.size} {x.stud}"
        assert x.price is not None


def test_a_stud_in_inches_takes_no_metric_lug() -> None:
    # 3/8 in = 9.525 mm, 5/16 in = 7.9375 mm (1 in = 25.4 mm): a hole for M10 is slack on 3/8.
    opened = open_rig(str(DEMOS / "trailer" / "rig-built.yaml"))
    for inch, metric in (("3-8in", "m10"), ("5-16in", "m8")):
        ours, theirs = (opened.shelf.find(f"lug-4-0awg-{stud}") for stud in (inch, metric))
        assert ours is not None
        assert theirs is not None
        a, b = (known(r.figures["stud"]) for r in (ours, theirs))
        assert a is not None
        assert b is not None
        assert abs(a.value - b.value) > 0.00005


def test_copper_clad_aluminium_is_never_priced_as_copper() -> None:
    opened = open_rig(str(DEMOS / "van" / "rig.yaml"))
    order = order_of(takeoff_of(opened.rig), opened.shelf, "GBP")
    clad = [c for c in order.cables if "CCA" in c.text]
    assert clad
    assert all(c.record == "" for c in clad)
