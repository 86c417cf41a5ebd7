"""A file from outside is measured before it is read, and what is no text is refused at its first byte."""

import os
import time
from pathlib import Path

import pytest

from ohmwright.store.reading import MOST_RIG_BYTES, read, sha256_of
from ohmwright.working import FileError


def refused(path: Path) -> FileError:
    with pytest.raises(FileError) as refusal:
        _ = read(path).text
    assert refusal.value.remedy
    assert "\n" not in str(refusal.value)
    return refusal.value


def test_a_text_comes_with_the_hash_of_its_bytes(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes("ohmwright: 1  # Ω\n".encode())

    loaded = read(path)

    assert loaded.text == "ohmwright: 1  # Ω\n"
    assert loaded.sha256 == sha256_of(path.read_bytes())


def test_the_hash_is_sha256() -> None:
    # FIPS 180-2 (2002), appendix B.1: the digest of "abc". Seen: memory.
    assert sha256_of(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_a_hundred_megabytes_are_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    with path.open("wb") as file:
        file.truncate(100_000_000)

    began = time.monotonic()
    error = refused(path)

    assert time.monotonic() - began < 0.5
    assert str(error).startswith(f"{path}:1:1: the file has 100.0 MB, at most 5 MB are read")


def test_the_limit_itself_is_read(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"#" * MOST_RIG_BYTES)
    assert len(read(path).data) == MOST_RIG_BYTES

    path.write_bytes(b"#" * (MOST_RIG_BYTES + 1))
    assert "at most 5 MB" in refused(path).message


def test_a_byte_order_mark_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(b"\xef\xbb\xbfohmwright: 1\n")

    assert read(path).text == "ohmwright: 1\n"


@pytest.mark.parametrize(
    ("data", "line", "column", "says"),
    [
        (b"a: 1\nb: caf\xe9\n", 2, 7, "byte 0xE9 is no UTF-8"),
        ("Ω: 1\nΩΩ: ".encode() + b"\xff", 2, 5, "byte 0xFF is no UTF-8"),
        ("a: Ω".encode()[:-1], 1, 4, "byte 0xCE is no UTF-8"),
        ("a: 1\n".encode("utf-16"), 1, 1, "UTF-16"),
    ],
)
def test_what_is_no_text_is_refused_at_its_place(
    tmp_path: Path, data: bytes, line: int, column: int, says: str
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_bytes(data)

    error = refused(path)

    assert (error.at.line, error.at.column) == (line, column)
    assert says in error.message


def test_what_is_no_plain_file_is_refused_without_waiting(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)  # opening it the usual way waits for a writer for ever

    assert "no file" in refused(pipe).message
    assert "no file" in refused(tmp_path).message
    assert "no file" in refused(Path("/dev/zero")).message
    assert "no such file" in refused(tmp_path / "absent.yaml").message
    assert "no such file" in refused(pipe / "below").message
    assert "no name" in refused(Path("a\0b")).message
    assert "too long" in refused(Path("x" * 5000)).message
