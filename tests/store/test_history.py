"""The texts of a working file outlive the program, and a damaged one is never offered."""

from pathlib import Path

from ohmwright.store import history
from ohmwright.store.history import MOST_TEXTS, Trail, keep, read_trail, stand, text_of


def test_what_was_kept_is_read_by_another_process_with_its_order(tmp_path: Path) -> None:
    keep(tmp_path, Trail(), ("one\n", "two\n"))
    keep(tmp_path, read_trail(tmp_path), ("two\n", "three\n"))
    told = read_trail(tmp_path)
    assert [text_of(tmp_path, m) for m in told.marks] == ["one\n", "two\n", "three\n"]
    assert told.at == 2


def test_a_change_after_undoing_gives_up_what_was_ahead(tmp_path: Path) -> None:
    keep(tmp_path, Trail(), ("one\n", "two\n", "three\n"))
    stand(tmp_path, Trail(read_trail(tmp_path).marks, 0))
    keep(tmp_path, read_trail(tmp_path), ("one\n", "other\n"))
    assert [text_of(tmp_path, m) for m in read_trail(tmp_path).marks] == ["one\n", "other\n"]
    assert len(list((tmp_path / "history").glob("*.yaml"))) == 2, "texts that nothing names are gone"


def test_a_text_that_was_damaged_on_the_disk_is_not_offered(tmp_path: Path) -> None:
    first = keep(tmp_path, Trail(), ("one\n", "two\n")).marks[0]
    (tmp_path / "history" / f"{first}.yaml").write_text("on", encoding="utf-8")
    assert text_of(tmp_path, first) is None


def test_a_damaged_index_is_an_empty_trail(tmp_path: Path) -> None:
    for damage in (b"", b"{", b"[]", b'{"marks": 3, "at": 0}', b'{"marks": ["../../etc/passwd"], "at": "x"}'):
        keep(tmp_path, Trail(), ("one\n", "two\n"))
        (tmp_path / "history" / "trail.json").write_bytes(damage)
        assert read_trail(tmp_path) == Trail()


def test_the_trail_is_bounded_in_number_and_in_bytes(tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    for n in range(MOST_TEXTS + 15):
        keep(tmp_path, read_trail(tmp_path), (f"{n}\n",))
    assert len(read_trail(tmp_path).marks) == MOST_TEXTS
    assert len(list((tmp_path / "history").glob("*.yaml"))) == MOST_TEXTS
    monkeypatch.setattr(history, "MOST_BYTES", 30)
    keep(tmp_path, read_trail(tmp_path), ("x" * 20 + "\n",))
    sizes = [f.stat().st_size for f in (tmp_path / "history").glob("*.yaml")]
    assert sum(sizes) <= 30
