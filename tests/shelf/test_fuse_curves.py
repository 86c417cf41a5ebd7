"""The invented curves of our shelf keep inside what their class allows, and contradict themselves nowhere."""

import pytest

from ohmwright.physics.fault import melts_s
from ohmwright.shelf.load import Shelf
from ohmwright.shelf.record import Record
from ohmwright.standards import find
from ohmwright.working import known

FUSES = Shelf().of_kind("fuse")
BREAKERS = [r for r in Shelf().of_kind("breaker") if "holds_at_200" in r.figures]
TIMES = (135, 200, 300, 600)


def of(record: Record, name: str) -> float | None:
    found = known(record.figures[name]) if name in record.figures else None
    return found.value if found is not None else None


def each(word: str) -> list[Record]:
    return [r for r in FUSES if r.words.get("class") == word]


@pytest.mark.parametrize("fuse", each("blade"), ids=lambda r: r.id)
@pytest.mark.parametrize("percent", [135, 200, 600])
def test_a_blade_fuse_keeps_between_the_gates_of_its_standard(fuse: Record, percent: int) -> None:
    # ISO 8820-3, from memory; physics notes of the trade say so as well, "editions differ: verify".
    holds, trips = of(fuse, f"holds_at_{percent}"), of(fuse, f"trips_at_{percent}")
    assert holds is not None
    assert trips is not None
    assert find(f"fuses/blade-holds-{percent}").value <= holds
    assert trips <= find(f"fuses/blade-trips-{percent}").value


@pytest.mark.parametrize("fuse", each("blade"), ids=lambda r: r.id)
def test_between_two_gates_a_blade_fuse_claims_no_more_than_the_later_one_promises(fuse: Record) -> None:
    # Times never rise with the current: at 300 % it holds what it holds at 350 %, and opens later than at 350 %.
    holds, trips = of(fuse, "holds_at_300"), of(fuse, "trips_at_300")
    assert holds is not None
    assert trips is not None
    assert holds <= find("fuses/blade-holds-350").value
    assert find("fuses/blade-trips-350").value <= trips <= find("fuses/blade-trips-200").value


@pytest.mark.parametrize("fuse", each("class-t"), ids=lambda r: r.id)
def test_a_class_t_fuse_lets_through_no_more_than_its_case_size_may(fuse: Record) -> None:
    # UL 248-15, clearing integrals at 50 kA, from memory.
    rated, clearing = of(fuse, "rated"), of(fuse, "clearing")
    assert rated is not None
    assert clearing is not None
    size = next(s for s in (100, 200, 400) if rated <= s)
    assert clearing <= find(f"fuses/class-t-clears-{size}").value


@pytest.mark.parametrize("record", [*FUSES, *BREAKERS], ids=lambda r: r.id)
def test_the_two_edges_of_a_curve_fall_and_never_cross(record: Record) -> None:
    holds = [(p, v) for p in TIMES if (v := of(record, f"holds_at_{p}")) is not None]
    trips = [(p, v) for p in TIMES if (v := of(record, f"trips_at_{p}")) is not None]

    assert [v for _, v in holds] == sorted((v for _, v in holds), reverse=True)
    assert [v for _, v in trips] == sorted((v for _, v in trips), reverse=True)
    for p, v in holds:
        # What it may take at a current it may take at any smaller one.
        assert all(v < longest for q, longest in trips if q <= p)


@pytest.mark.parametrize("fuse", [f for f in FUSES if "melting" in f.figures], ids=lambda r: r.id)
def test_a_fuse_melts_before_its_longest_time_and_clears_after_it_melts(fuse: Record) -> None:
    rated, melting, last = of(fuse, "rated"), of(fuse, "melting"), of(fuse, "trips_at_600")
    assert rated is not None
    assert melting is not None
    assert last is not None
    assert melts_s(melting, 6 * rated) < last
    clearing = of(fuse, "clearing")
    assert clearing is None or melting < clearing <= 1.01 * last * (6 * rated) ** 2
