"""Two people, one working file."""

import threading
from pathlib import Path

import pytest

from ohmwright.store.conflict import ChangedUnderneathError, changed_underneath, save_unless_changed
from ohmwright.store.locked import locked
from ohmwright.store.reading import read
from ohmwright.working import FileError, OhmwrightError


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "rig.yaml"
    path.write_text("ohmwright: 1\n")
    return path


def test_a_file_left_alone_is_saved(path: Path) -> None:
    opened = read(path).sha256

    new = save_unless_changed(path, "ohmwright: 1\njob: {id: a}\n", opened)

    assert path.read_text() == "ohmwright: 1\njob: {id: a}\n"
    assert read(path).sha256 == new
    assert changed_underneath(path, opened)
    assert not changed_underneath(path, new)


def test_a_file_changed_underneath_is_left_as_the_other_wrote_it(path: Path) -> None:
    opened = read(path).sha256
    path.write_text("ohmwright: 1  # the other's\n")

    with pytest.raises(ChangedUnderneathError, match="changed by someone else") as refusal:
        save_unless_changed(path, "mine", opened)

    assert path.read_text() == "ohmwright: 1  # the other's\n"
    assert "nothing was overwritten" in refusal.value.remedy


def test_a_file_touched_but_not_changed_is_saved(path: Path) -> None:
    opened = read(path).sha256
    path.write_text("ohmwright: 1\n")

    assert save_unless_changed(path, "mine", opened)


def test_a_file_removed_underneath_is_told(path: Path) -> None:
    opened = read(path).sha256
    path.unlink()

    with pytest.raises(ChangedUnderneathError, match="has been removed"):
        save_unless_changed(path, "mine", opened)
    assert not path.exists()


def test_a_text_too_large_to_open_again_is_not_saved(path: Path) -> None:
    with pytest.raises(FileError, match="larger than a rig file may be"):
        save_unless_changed(path, "x" * 5_000_001, read(path).sha256)


def test_of_many_who_save_at_once_exactly_one_wins(path: Path) -> None:
    opened = read(path).sha256
    won, lost = [], []
    together = threading.Barrier(8)

    def one(name: str) -> None:
        together.wait()
        try:
            save_unless_changed(path, name, opened)
            won.append(name)
        except ChangedUnderneathError:
            lost.append(name)

    threads = [threading.Thread(target=one, args=(f"text {i}",)) for i in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(won) == 1
    assert len(lost) == 7
    assert path.read_text() == won[0]


def test_patience_with_another_writer_ends(path: Path) -> None:
    with (
        locked(path),
        pytest.raises(OhmwrightError, match="being written by another program"),
        locked(path, 0.02),
    ):
        pass
