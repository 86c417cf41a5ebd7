"""The atomic save: order of the calls, permissions, links, what is refused, and what it costs to import."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from ohmwright.store.ahead import Ahead
from ohmwright.store.save import STALE_SECONDS, save, save_new


def parts(folder: Path) -> list[Path]:
    return list(folder.glob(".*.part"))


def test_old_or_new_and_nothing_else_lies_there(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    save(path, b"old")
    save(path, b"new")

    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


def test_the_text_is_on_the_disk_before_it_takes_the_name_and_the_name_before_the_return(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[str] = []
    real_sync, real_replace = os.fsync, os.replace

    def sync(handle: int) -> None:
        calls.append("sync folder" if Path(f"/proc/self/fd/{handle}").is_dir() else "sync file")
        real_sync(handle)

    def replace(old: str, new: str) -> None:
        calls.append("rename")
        real_replace(old, new)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(os, "replace", replace)
    save(tmp_path / "rig.yaml", b"text")

    assert calls == ["sync file", "rename", "sync folder"]


@pytest.mark.parametrize("failing", ["write", "fsync", "replace", "fchmod"])
def test_a_full_disk_leaves_the_old_text_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, failing, fail)
        with pytest.raises(OSError, match="No space left"):
            save(path, b"new")

    assert path.read_bytes() == b"old"
    assert parts(tmp_path) == []


def test_a_short_write_is_continued(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, data[:3]))

    save(tmp_path / "rig.yaml", b"ohmwright: 1\n")

    assert (tmp_path / "rig.yaml").read_bytes() == b"ohmwright: 1\n"


def test_permissions_stay(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"old")
    path.chmod(0o640)

    save(path, b"new")

    assert path.stat().st_mode & 0o777 == 0o640


def test_a_new_file_follows_the_habits_of_the_user(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        save(tmp_path / "rig.yaml", b"new")
    finally:
        os.umask(before)

    assert (tmp_path / "rig.yaml").stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "rig.yaml", tmp_path / "rig.yaml"
    real.write_bytes(b"old")
    link.symlink_to(real)

    save(link, b"new")

    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_a_file_that_nobody_may_write_is_not_replaced(tmp_path: Path) -> None:
    # Root may write anything; the program still does not.
    path = tmp_path / "A.rig.yaml"
    path.write_bytes(b"issued")
    path.chmod(0o444)

    with pytest.raises(PermissionError, match="never rewritten"):
        save(path, b"forged")
    assert path.read_bytes() == b"issued"
    assert parts(tmp_path) == []


def test_a_new_file_never_covers_another(tmp_path: Path) -> None:
    path = tmp_path / "A.rig.yaml"
    save_new(path, b"first", 0o444)

    with pytest.raises(FileExistsError):
        save_new(path, b"second", 0o444)
    assert path.read_bytes() == b"first"
    assert path.stat().st_mode & 0o777 == 0o444
    assert parts(tmp_path) == []


def test_a_disk_without_links_still_never_covers_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    path = tmp_path / "A.rig.yaml"
    save_new(path, b"first", 0o444)

    with pytest.raises(FileExistsError):
        save_new(path, b"second", 0o444)
    assert path.read_bytes() == b"first"


def test_what_a_killed_save_left_is_swept_after_an_hour(tmp_path: Path) -> None:
    stale, fresh = tmp_path / ".rig.yaml.1.1.part", tmp_path / ".rig.yaml.2.1.part"
    other = tmp_path / ".other.yaml.1.1.part"
    for part in (stale, fresh, other):
        part.write_bytes(b"half")
    for part in (stale, other):
        then = part.stat().st_mtime - STALE_SECONDS - 60
        os.utime(part, (then, then))

    save(tmp_path / "rig.yaml", b"new")

    assert sorted(parts(tmp_path)) == sorted([fresh, other])


def test_saving_imports_nothing_of_ohmwright_and_nothing_slow() -> None:
    ask = "import sys; before = set(sys.modules); import ohmwright.store.save; print(*sorted(set(sys.modules) - before))"
    answer = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)

    new = set(answer.stdout.split())
    assert {m for m in new if m.startswith("ohmwright")} == {
        "ohmwright",
        "ohmwright.store",
        "ohmwright.store.save",
    }
    assert new - {"ohmwright", "ohmwright.store", "ohmwright.store.save"} <= {"time", "errno", "os"}


def test_what_is_sent_ahead_is_the_file_once_it_is_saved_and_not_before(tmp_path: Path) -> None:
    target = tmp_path / "rig.yaml"
    save(target, b"old")

    with Ahead(target, b"new") as ahead:
        assert target.read_bytes() == b"old"
        save(target, ahead.data, ahead.part)

    assert target.read_bytes() == b"new"
    assert [p.name for p in tmp_path.iterdir()] == ["rig.yaml"]


def test_what_is_sent_ahead_in_vain_leaves_nothing_behind(tmp_path: Path) -> None:
    target = tmp_path / "rig.yaml"
    save(target, b"old")

    with pytest.raises(ValueError, match="the rules are at fault"), Ahead(target, b"new"):
        raise ValueError("the rules are at fault")

    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["rig.yaml"]


def test_what_cannot_be_sent_ahead_is_told_when_it_is_saved(tmp_path: Path) -> None:
    target = tmp_path / "gone" / "rig.yaml"

    with Ahead(target, b"new") as ahead, pytest.raises(FileNotFoundError):
        save(target, ahead.data, ahead.part)
