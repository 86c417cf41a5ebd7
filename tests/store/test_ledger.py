"""The ledger: nothing in it can be changed, removed or added without the next reader seeing it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ohmwright.store import ledger as ledger_module
from ohmwright.store.ledger import append, read_ledger
from ohmwright.working import FileError, OhmwrightError

AT = "2026-05-02T08:00:00Z"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A ledger of four entries."""
    path = tmp_path / "ledger.jsonl"
    append(path, at=AT, event="issued", by="ann", facts={"revision": "A", "stage": "quoted"})
    append(path, at=AT, event="bought", by="ben", facts={"what": "M", "count": 3})
    append(path, at=AT, event="cut", by="ben", facts={"what": "W01", "length_m": 12.3})
    append(path, at=AT, event="signed", by="ann", facts={"words": "Zeile\u2028mit Ω"})
    return path


def refused(path: Path) -> FileError:
    with pytest.raises(FileError) as refusal:
        read_ledger(path)
    assert refusal.value.remedy
    return refusal.value


def test_what_was_written_is_read_in_order(path: Path) -> None:
    entries = read_ledger(path)

    assert [(e.number, e.event, e.by) for e in entries] == [
        (1, "issued", "ann"),
        (2, "bought", "ben"),
        (3, "cut", "ben"),
        (4, "signed", "ann"),
    ]
    assert entries[2].facts == {"what": "W01", "length_m": 12.3}
    assert [e.before for e in entries[1:]] == [e.sha256 for e in entries[:-1]]


def test_appending_answers_the_entry_that_is_read_back(path: Path) -> None:
    entry = append(path, at=AT, event="fitted", by="ben", facts={"what": ["W01", None, True]})

    assert read_ledger(path)[-1] == entry


def test_no_ledger_is_an_empty_one(tmp_path: Path) -> None:
    assert read_ledger(tmp_path / "ledger.jsonl") == ()


def _changed(path: Path, number: int) -> None:
    lines = path.read_bytes().split(b"\n")
    told = json.loads(lines[number - 1])
    told["by"] = "eve"
    lines[number - 1] = json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()
    path.write_bytes(b"\n".join(lines))


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_changed_line_breaks_the_chain_behind_it(path: Path, number: int) -> None:
    _changed(path, number)

    error = refused(path)
    assert error.at.line == number + 1
    assert "does not follow" in error.message


def test_a_changed_last_line_is_seen_by_the_head(path: Path) -> None:
    _changed(path, 4)

    assert "last line is not the one" in refused(path).message


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_removed_line_is_seen(path: Path, number: int) -> None:
    lines = path.read_bytes().split(b"\n")
    del lines[number - 1]
    path.write_bytes(b"\n".join(lines))

    assert refused(path).at.line == number


@pytest.mark.parametrize("left", [0, 1, 2, 3])
def test_a_missing_end_is_seen(path: Path, left: int) -> None:
    path.write_bytes(b"".join(line + b"\n" for line in path.read_bytes().split(b"\n")[:left]))

    error = refused(path)
    assert f"4 entries were in it, {left} are left" in error.message


def test_a_ledger_that_is_gone_is_seen(path: Path) -> None:
    path.unlink()

    assert "the ledger is gone; 4 entries" in refused(path).message
    with pytest.raises(FileError):
        append(path, at=AT, event="cut", by="eve")
    assert not path.exists()


def test_a_missing_head_is_seen(path: Path) -> None:
    path.with_suffix(".head").unlink()

    assert "ledger.head is missing" in refused(path).message


@pytest.mark.parametrize("head", [b"", b"4\n", b"four " + b"0" * 64, b"4 " + b"0" * 64, b"\xff"])
def test_a_spoilt_head_is_seen(path: Path, head: bytes) -> None:
    path.with_suffix(".head").write_bytes(head)

    assert refused(path)


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"{}",
        b"[]",
        b"null",
        b'{"n":NaN}',
        b"[" * 5000,
        b"\xff\xfe",
        b'{"n":"2","at":"","event":"","by":"","before":""}',
    ],
    ids=repr,
)
def test_a_line_that_is_no_entry_is_refused_at_its_number(path: Path, line: bytes) -> None:
    lines = path.read_bytes().split(b"\n")
    lines[1] = line
    path.write_bytes(b"\n".join(lines))

    error = refused(path)
    assert error.at.line == 2
    assert "no ledger entry" in error.message


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_flipped_bit_goes_unseen(path: Path, data: st.DataObject) -> None:
    whole = path.read_bytes()
    spot = data.draw(st.integers(0, len(whole) - 1))
    bit = data.draw(st.integers(0, 7))
    spoilt = bytearray(whole)
    spoilt[spot] ^= 1 << bit
    path.write_bytes(spoilt)

    try:
        assert refused(path)
    finally:
        path.write_bytes(whole)


def test_a_line_that_a_power_cut_left_half_written_gives_way_to_the_next(path: Path) -> None:
    before = read_ledger(path)
    with path.open("ab") as file:
        file.write(b'{"n":5,"at":"2026-05-')

    assert read_ledger(path) == before
    entry = append(path, at=AT, event="cut", by="ben")
    assert read_ledger(path) == (*before, entry)


def test_a_power_cut_between_line_and_head_keeps_the_line(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def power_cut(*_: object) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(ledger_module, "_set_head", power_cut)
        with pytest.raises(OSError, match="Input/output"):
            append(path, at=AT, event="cut", by="ben")

    assert [e.event for e in read_ledger(path)][-1] == "cut"
    append(path, at=AT, event="fitted", by="ben")
    assert [e.number for e in read_ledger(path)] == [1, 2, 3, 4, 5, 6]


def test_lines_added_by_another_hand_are_seen(path: Path) -> None:
    head = path.with_suffix(".head").read_bytes()
    append(path, at=AT, event="cut", by="eve")
    append(path, at=AT, event="cut", by="eve")
    path.with_suffix(".head").write_bytes(head)

    assert "2 lines were added by another hand" in refused(path).message


def test_the_line_is_on_the_disk_before_append_returns(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[str] = []
    real = os.fsync

    def sync(handle: int) -> None:
        synced.append(Path(f"/proc/self/fd/{handle}").readlink().name.partition(".part")[0])
        real(handle)

    monkeypatch.setattr(os, "fsync", sync)
    append(path, at=AT, event="cut", by="ben")

    assert synced[0] == "ledger.jsonl"
    assert synced[1].startswith(".ledger.head.")


def test_a_fact_may_not_pass_for_the_ledgers_own_word(path: Path) -> None:
    with pytest.raises(OhmwrightError, match="its own before"):
        append(path, at=AT, event="cut", by="eve", facts={"before": "0" * 64})


def test_an_entry_too_long_or_without_a_number_is_refused(path: Path) -> None:
    with pytest.raises(OhmwrightError, match="at most 64000"):
        append(path, at=AT, event="cut", by="ben", facts={"words": "x" * 70_000})
    with pytest.raises(ValueError, match="not JSON compliant"):
        append(path, at=AT, event="cut", by="ben", facts={"length_m": float("nan")})
    assert len(read_ledger(path)) == 4


WRITER = """
import sys
from pathlib import Path
from ohmwright.store.ledger import append
for i in range(15):
    append(Path(sys.argv[1]), at="2026-05-02T08:00:00Z", event="cut", by=sys.argv[2], facts={"i": i})
"""


def test_two_who_write_at_once_lose_nothing_and_a_reader_is_never_misled(path: Path) -> None:
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), name]) for name in ("ann", "ben")]
    seen = 0
    while any(writer.poll() is None for writer in writers):
        now = len(read_ledger(path))
        assert now >= seen
        seen = now

    entries = read_ledger(path)
    assert [writer.returncode for writer in writers] == [0, 0]
    assert len(entries) == 34
    for name in ("ann", "ben"):
        assert [e.facts["i"] for e in entries[4:] if e.by == name] == list(range(15))
